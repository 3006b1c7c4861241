package server

import (
	"errors"
	"net/url"
	"strings"

	"fairlead/analytics/assess"
	"fairlead/analytics/clearance"
	"fairlead/server/chart"
	"fairlead/server/followup"
	"fairlead/server/form"
)

// volumeSection is the course of volume, weight, socks and comfort on one time
// axis, with its table and how it was computed.
type volumeSection struct {
	Heading, Lede string
	Beside        []string // what stands beside the heading: two measurements by themselves, open flags, what is missing
	Said          []string // how it was measured, and the sound limb beside it
	Chart         *chart.Chart
	CSV           string
	Computed      *computedView // how the course was worked out
	Budget        *budgetView
}

func (m sheetMaker) volume() volumeSection {
	said := m.sayCourse()
	v := volumeSection{Heading: said.heading, Beside: said.beside}
	if len(m.view.Visits) == 0 {
		return v
	}
	v.CSV = limbPath(m.view.Record.Limb) + "/volume.csv?since=" + url.QueryEscape(string(m.view.Since))
	if v.Chart = m.courseChart(strings.Join(append([]string{fullStop(v.Heading)}, v.Beside...), " ")); v.Chart != nil {
		v.Lede = m.text("follow.volume.lede-none")
		switch {
		case m.view.Taped == nil:
		case m.drawsCourse() && len(m.view.Course.Ahead()) > 0:
			v.Lede = m.text("follow.volume.lede-forecast")
		case m.drawsCourse():
			v.Lede = m.text("follow.volume.lede-course")
		default:
			v.Lede = m.text("follow.volume.lede")
		}
		if m.drawsCourse() && len(m.sources()) > 1 {
			v.Lede = joinSentences(v.Lede, m.text("follow.volume.lede-sources"))
		}
	}
	v.Computed, v.Budget, v.Said = m.computed(), m.budget(), m.measured()
	return v
}

// courseChart is nil where there is no course to draw yet.
func (m sheetMaker) courseChart(description string) *chart.Chart {
	if len(m.view.Visits) < 2 {
		return nil
	}
	drawn, err := m.course(description).Chart()
	switch {
	case errors.Is(err, chart.ErrEmpty):
		return nil
	case err != nil:
		m.lost("course", err)
		return nil
	}
	return &drawn
}

// measured says how the newest volume was measured, in what that differs from
// the reference, and how the sound limb changed over the same time.
func (m sheetMaker) measured() []string {
	taped := m.view.Taped
	if taped == nil {
		return nil
	}
	said := []string{m.measuredHow(*taped)}
	if len(m.view.Differs) > 0 {
		said = append(said, m.text("finding.conditions", "Conditions", m.words("differ", strings.Join(m.view.Differs, ","))))
	}
	if c := m.view.Control; c != nil {
		said = append(said, m.text("follow.volume.sound", "Sound", m.percentChange(taped.SoundChange.ChangePercent),
			"Beside", m.percentChange(c.DifferencePercent), "Interval", m.interval(c.LoPercent, c.HiPercent)))
	}
	return said
}

func (m sheetMaker) measuredHow(at followup.VisitView) string {
	how := []string{m.text("follow.volume.tape", "By", m.people[at.Checkin.MeasuredBy]), m.date(at.Assessed.On), form.FormatClock(at.Local, at.Local.Location())}
	if off := at.LimbVisit.Seen.MinutesOff; off != nil {
		how = append(how, m.text("follow.volume.off", "Count", int(*off)))
	}
	if posture := at.LimbVisit.Seen.Posture; posture != "" {
		how = append(how, posture)
	}
	return strings.Join(how, ", ") + "."
}

func (m sheetMaker) tapedCount() int {
	n := 0
	for _, at := range m.view.Visits {
		if at.Volume != nil {
			n++
		}
	}
	return n
}

// stateMark is the mark of a gap's state: soon, watch or none.
func stateMark(s clearance.State) string {
	switch s {
	case clearance.Touching, clearance.BelowAct, clearance.BelowWarn:
		return string(assess.Soon)
	case clearance.Unsure:
		return string(assess.Watch)
	}
	return ""
}
