package server

import (
	"errors"
	"net/url"
	"strings"
	"time"

	"fairlead/analytics/assess"
	"fairlead/analytics/clearance"
	"fairlead/models"
	"fairlead/server/chart"
	"fairlead/server/followup"
	"fairlead/server/form"
)

// volumeSection is the course of volume, weight, socks and comfort on one time
// axis, with its table and how it was computed.
type volumeSection struct {
	Heading, Lede string
	Said          []string // how it was measured, and the sound limb beside it
	Chart         *chart.Chart
	CSV           string
	Budget        *budgetView
}

func (m sheetMaker) volume() volumeSection {
	v := volumeSection{Heading: m.volumeHeading()}
	if len(m.view.Visits) == 0 {
		return v
	}
	v.CSV = limbPath(m.view.Record.Limb) + "/volume.csv?since=" + url.QueryEscape(string(m.view.Since))
	if v.Chart = m.courseChart(v.Heading); v.Chart != nil {
		v.Lede = m.text("follow.volume.lede-none")
		if m.view.Taped != nil {
			v.Lede = m.text("follow.volume.lede")
		}
	}
	v.Budget, v.Said = m.budget(), m.measured()
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

// volumeHeading says what the newest volume says, in every case.
func (m sheetMaker) volumeHeading() string {
	taped := m.view.Taped
	switch {
	case !m.view.History.Limb.Level.HasCone():
		return m.text("follow.volume.no-cone")
	case taped == nil:
		return m.text("follow.volume.none")
	case taped.Change == nil && m.tapedCount() > 1:
		return m.text("follow.volume.itself", "Volume", m.millilitres(taped.Volume.VolumeML))
	case taped.Change == nil:
		return m.text("follow.volume.only", "Volume", m.millilitres(taped.Volume.VolumeML))
	}
	change := *taped.Change
	return m.text("follow.volume.heading."+verdictCode(change.Verdict), "Since", m.since(),
		"Size", m.decimal(max(change.ChangePercent, -change.ChangePercent), 1), "Interval", m.interval(change.LoPercent, change.HiPercent))
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

// course is the chart's data.
func (m sheetMaker) course(description string) chart.Course {
	c := chart.Course{Description: description, Until: m.now(), Words: m.courseWords(), OnPaper: m.onPaper}
	for i := range m.view.Visits {
		c.Visits = append(c.Visits, m.courseVisit(m.view.Visits[i]))
	}
	for _, e := range m.view.Record.Events {
		at, ok := e.On.Time()
		if !ok {
			continue
		}
		c.Events = append(c.Events, chart.Event{At: at.Add(12 * time.Hour), DateWords: m.shortDate(e.On), Words: m.eventWords(e)})
	}
	if m.view.Taped != nil && m.view.Reference != nil && m.tapedCount() > 1 {
		loss, gain := m.limits()
		c.Lower, c.Upper = &loss, &gain
	}
	return c
}

// now is the day of today, up to which the axis runs.
func (m sheetMaker) now() time.Time {
	at, _ := m.today.Time()
	return at
}

// limits are those of a change of volume, with who set them.
func (m sheetMaker) limits() (loss, gain chart.Limit) {
	set, starting := m.view.History.VolumeLimits, assess.StartingVolumeLimits
	one := func(percent, fallback, sign float64) chart.Limit {
		if percent <= 0 {
			return chart.Limit{Percent: sign * fallback, Words: m.text("follow.volume.limit-starting", "Limit", m.limitPercent(sign*fallback))}
		}
		return chart.Limit{Percent: sign * percent, Words: m.text("follow.volume.limit-set",
			"Limit", m.limitPercent(sign*percent), "Origin", m.limitsOrigin(*m.view.Record.LimitsInForce()))}
	}
	return one(set.LossPercent, starting.LossPercent, -1), one(set.GainPercent, starting.GainPercent, 1)
}

func (m sheetMaker) courseVisit(at followup.VisitView) chart.Visit {
	v := chart.Visit{
		At: at.Local, DateWords: m.date(at.Assessed.On), Reference: at.IsReference, OtherFitter: at.OtherFitter,
		FitterWords: m.people[at.Checkin.MeasuredBy],
	}
	switch {
	case at.Volume == nil:
	case at.Change == nil:
		v.Residual, v.Note = &chart.Change{Words: m.text("follow.volume.baseline")}, m.text("follow.volume.baseline-note")
		if !at.IsReference {
			v.Residual, v.Note = nil, ""
		}
	case !at.Change.Comparable:
		v.Note = m.notComparable(at.Change.Why.Code)
	default:
		v.Residual = m.courseChange(at.Change.ChangePercent, at.Change.LoPercent, at.Change.HiPercent)
		v.Note = m.verdict(at.Change.Verdict)
	}
	if s := at.SoundChange; s != nil && s.Comparable {
		v.Sound = m.courseChange(s.ChangePercent, s.LoPercent, s.HiPercent)
	}
	if g := at.Checkin.WeightG; g != nil {
		kg := float64(*g) / 1000
		v.WeightKG = &chart.Figure{Value: kg, Words: m.decimal(kg, 1) + narrow + "kg"}
	}
	if at.SocksAsked && !m.view.History.Limb.NoSocket {
		v.SockMM = &chart.Figure{Value: at.SockMM, Words: m.gap(at.SockMM)}
	}
	if comfort := at.Assessed.Comfort; comfort != nil {
		v.Comfort = &chart.Figure{Value: float64(*comfort), Words: m.decimal(float64(*comfort), 0)}
	}
	return v
}

func (m sheetMaker) courseChange(percent, lo, hi float64) *chart.Change {
	return &chart.Change{
		Percent: percent, LoPercent: lo, HiPercent: hi, Words: m.percentChange(percent), IntervalWords: m.interval(lo, hi),
	}
}

func (m sheetMaker) courseWords() chart.CourseWords {
	return chart.CourseWords{
		Volume: m.text("follow.course.volume", "Since", m.since()), Weight: m.text("follow.course.weight"),
		Socks: m.text("follow.course.socks"), Comfort: m.text("follow.course.comfort"), Date: m.text("follow.date"),
		Change: m.text("follow.course.change"), Interval: m.text("follow.course.interval"), Fitter: m.text("follow.fitter"),
		Note: m.text("follow.course.note"), SoundChange: m.text("follow.course.sound-change"),
		SameFitter: m.text("follow.course.same-fitter"), OtherFitter: m.text("follow.course.other-fitter"),
		SoundLimb: m.text("follow.course.sound-limb"), Events: m.text("follow.course.events"),
	}
}

// eventWords says an event in a few words: what was written, or its kind.
func (m sheetMaker) eventWords(e models.Event) string {
	if e.Kind == models.OtherEvent && e.What != "" {
		return e.What
	}
	return m.word("event-kind", string(e.Kind))
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
