package server

import (
	"slices"
	"time"

	"fairlead/analytics/assess"
	"fairlead/models"
	"fairlead/server/chart"
	"fairlead/server/followup"
)

// course is the chart's data.
func (m sheetMaker) course(description string) chart.Course {
	c := chart.Course{Description: description, Until: m.now(), Words: m.courseWords(), OnPaper: m.onPaper}
	sources := m.sources()
	for _, s := range sources {
		c.Sources = append(c.Sources, m.sourceWords(s))
	}
	for i := range m.view.Visits {
		at := m.view.Visits[i]
		v := m.courseVisit(at)
		for _, p := range at.Points {
			v.Readings = append(v.Readings, m.courseReading(sources, p))
		}
		c.Visits = append(c.Visits, v)
	}
	if m.drawsCourse() {
		c.Smooth, c.Ahead = m.smooth(), m.ahead()
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
		At: at.Local, DateWords: m.date(at.Assessed.On), Reference: at.IsReference,
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

// source is a method in the hands of a person.
type source struct{ device, fitter string }

// sources are those of all points, the first in time first.
func (m sheetMaker) sources() []source {
	var all []source
	for _, at := range m.view.Visits {
		for _, p := range at.Points {
			if s := (source{p.Device, p.Fitter}); !slices.Contains(all, s) {
				all = append(all, s)
			}
		}
	}
	return all
}

func (m sheetMaker) sourceWords(s source) string {
	device := s.device
	if device == followup.Tape {
		device = m.text("follow.course.tape")
	}
	if s.fitter == "" {
		return m.text("follow.course.source-unknown", "Method", device)
	}
	return m.text("follow.course.source", "Method", device, "By", m.people[s.fitter])
}

// courseReading is one point with what is told of it.
func (m sheetMaker) courseReading(sources []source, p followup.VolumePoint) chart.Reading {
	r := chart.Reading{
		Percent: p.Percent.Estimate, LoPercent: p.Percent.Lo, HiPercent: p.Percent.Hi,
		Source: slices.Index(sources, source{p.Device, p.Fitter}), Doubtful: p.Doubtful(),
	}
	r.Cells.Volume, r.Cells.U = m.decimal(p.VolumeML, 0), m.decimal(p.UML, 1)
	if p.Rounds > 1 {
		r.Cells.Round = m.text("follow.course.round-of", "Round", p.Round, "Rounds", p.Rounds)
		r.Lines = append(r.Lines, r.Cells.Round)
	}
	r.Lines = append(r.Lines, m.text("follow.course.point", "Volume", m.decimal(p.VolumeML, 0), "Half", m.half95(p.UML, 0)))
	if p.Smooth != nil {
		r.Cells.Smooth, r.Cells.Within = m.percentChange(p.Smooth.Estimate), m.interval(p.Smooth.Lo, p.Smooth.Hi)
		r.Cells.Slip = m.probability(*p.SlipPercent)
		r.Lines = append(r.Lines, m.text("follow.course.point-together", "Change", r.Cells.Smooth, "Interval", r.Cells.Within))
	}
	if r.Doubtful {
		r.Lines = append(r.Lines, m.text("follow.course.point-doubtful", "Slip", r.Cells.Slip))
	}
	return r
}

// smooth is the line of the course.
func (m sheetMaker) smooth() []chart.Smooth {
	var line []chart.Smooth
	for _, day := range m.view.Course.Days() {
		line = append(line, chart.Smooth{
			At: m.visitTime(day.VisitID), Percent: day.Change.Estimate, LoPercent: day.Change.Lo, HiPercent: day.Change.Hi,
			Words: m.percentChange(day.Change.Estimate), IntervalWords: m.interval(day.Change.Lo, day.Change.Hi),
		})
	}
	return line
}

// ahead is the forecast; its last day is told in words.
func (m sheetMaker) ahead() []chart.Ahead {
	course := m.view.Course
	days := course.Ahead()
	from := m.visitTime(course.Volumes[len(course.Volumes)-1].VisitID)
	fan := make([]chart.Ahead, len(days))
	for i, day := range days {
		fan[i] = chart.Ahead{
			At: from.AddDate(0, 0, day.After), Percent: day.Within90.Estimate,
			Lo90: day.Within90.Lo, Hi90: day.Within90.Hi, Lo50: day.Within50.Lo, Hi50: day.Within50.Hi,
		}
	}
	if n := len(days); n > 0 {
		fan[n-1].DateWords = m.date(course.Result.DateOf(days[n-1].After))
		fan[n-1].Words = m.text("follow.course.forecast-point", "Change", m.percentChange(fan[n-1].Percent),
			"Wide", m.interval(fan[n-1].Lo90, fan[n-1].Hi90), "Half", m.interval(fan[n-1].Lo50, fan[n-1].Hi50))
	}
	return fan
}

// visitTime is when a visit was measured by the clock of the place.
func (m sheetMaker) visitTime(id string) time.Time {
	for _, at := range m.view.Visits {
		if at.Assessed.ID == id {
			return at.Local
		}
	}
	return time.Time{}
}

func (m sheetMaker) courseWords() chart.CourseWords {
	return chart.CourseWords{
		Volume: m.text("follow.course.volume", "Since", m.since()), Weight: m.text("follow.course.weight"),
		Socks: m.text("follow.course.socks"), Comfort: m.text("follow.course.comfort"), Date: m.text("follow.date"),
		Change: m.text("follow.course.change-alone"), Interval: m.text("follow.course.interval"), Fitter: m.text("follow.fitter"),
		Round: m.text("follow.course.round"), MeasuredML: m.text("follow.course.measured"), U: m.text("follow.course.u"),
		Smooth: m.text("follow.course.together"), Within: m.text("follow.course.together-interval"), Slip: m.text("follow.course.slip"),
		Note: m.text("follow.course.note"), SoundChange: m.text("follow.course.sound-change"),
		SoundLimb: m.text("follow.course.sound-limb"), Doubtful: m.text("follow.course.doubtful"), Others: m.text("follow.course.others"),
		Course: m.text("follow.course.line"), Forecast: m.text("follow.course.forecast"), Events: m.text("follow.course.events"),
	}
}

// eventWords says an event in a few words: what was written, or its kind.
func (m sheetMaker) eventWords(e models.Event) string {
	if e.Kind == models.OtherEvent && e.What != "" {
		return e.What
	}
	return m.word("event-kind", string(e.Kind))
}
