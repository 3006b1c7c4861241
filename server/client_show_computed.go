package server

import (
	"math"

	"fairlead/analytics/trend"
	"fairlead/server/followup"
)

// computedView are the figures that the course by all visits together came from, for
// whoever wants to know; the words come first.
type computedView struct {
	Words       []string
	Facts       []computedFact
	Caption     string
	Head        []string
	Rows        [][]string // of the series, oldest first
	Assumptions []string
}

// computedFact is one of the results with what it rests on.
type computedFact struct{ Name, Value string }

// computed is nil where two visits alone are compared.
func (m sheetMaker) computed() *computedView {
	if !m.drawsCourse() {
		return nil
	}
	course := m.view.Course
	result := course.Result
	v := &computedView{
		Words:   []string{m.text("follow.computed.words"), m.text("follow.computed.words-baseline"), m.text("follow.computed.words-doubt")},
		Caption: m.text("follow.computed.caption"),
	}
	fact := func(id, value string) {
		if value != "" {
			v.Facts = append(v.Facts, computedFact{m.text("follow.computed." + id), value})
		}
	}
	fact("model", m.model(result))
	fact("change", m.byAll())
	fact("slope", m.text("follow.computed.slope-value", "Slope", m.percentChange(result.Slope.Estimate), "Interval", m.interval(result.Slope.Lo, result.Slope.Hi)))
	if result.HasTheilSen {
		fact("theil-sen", m.text("follow.computed.theil-sen-value", "Slope", m.percentChange(result.TheilSen)))
	}
	fact("newest", m.text("follow.computed.newest-value", "Slip", m.probability(100*result.Wild), "Step", m.probability(100*result.Step)))
	fact("loss", m.forecast(course.Loss))
	fact("gain", m.forecast(course.Gain))
	fact("steady", m.steady(result))
	v.Head, v.Rows = m.computedTable(course.Volumes)
	v.Assumptions = m.assumptions()
	return v
}

// model names the model, for an early limb with the weights of its shapes.
func (m sheetMaker) model(result *trend.Result) string {
	if !result.Early {
		return m.text("follow.computed.model-level")
	}
	id := "follow.computed.model-log"
	if result.DecayShape >= result.LogShape {
		id = "follow.computed.model-decay"
	}
	return m.text(id, "Decay", m.probability(100*result.DecayShape), "Log", m.probability(100*result.LogShape))
}

// forecast says whether and when a limit is reached.
func (m sheetMaker) forecast(f *trend.Forecast) string {
	if f == nil {
		return ""
	}
	limit := m.limitPercent(f.Limit)
	switch f.Kind {
	case trend.ForecastPast:
		return m.text("follow.computed.forecast-past", "Limit", limit, "Probability", m.probability(100*f.Probability))
	case trend.ForecastGiven:
		result := m.view.Course.Result
		day := func(days int) string {
			if days == trend.NoDay {
				return m.text("follow.computed.not-within")
			}
			return m.date(result.DateOf(days))
		}
		id := "follow.computed.forecast-given"
		if f.P05 == trend.NoDay {
			id = "follow.computed.forecast-hardly"
		}
		probability := m.probability(100 * f.Probability)
		if f.P05 == trend.NoDay && f.Probability >= 0.045 { // which would be rounded to 5 %
			probability = m.text("say.under", "Figure", "5"+narrow+"%")
		}
		return m.text(id, "Limit", limit, "Probability", probability,
			"Count", f.HorizonDays, "By", m.date(result.DateOf(f.HorizonDays)), "P05", day(f.P05), "P50", day(f.P50), "P95", day(f.P95))
	}
	return m.text("follow.computed.forecast-few", "Limit", limit, "More", m.moreVisits(f.MissingDays, f.FromDay))
}

// steady says whether measurements are steady, and why.
func (m sheetMaker) steady(result *trend.Result) string {
	s := result.Steadiness
	switch {
	case s.Verdict == trend.Steady:
		return m.text("follow.computed.steady-yes", "Interval", m.interval(s.Slope.Lo, s.Slope.Hi))
	case s.Verdict == trend.SteadyFew || s.Verdict == trend.SteadyOne:
		return m.text("follow.computed.steady-few", "More", m.moreVisits(s.MissingDays, s.FromDay))
	case s.Apart:
		first, second := result.Visits[s.First], result.Visits[s.Second]
		return m.text("follow.computed.steady-apart", "First", m.date(first.Date), "Second", m.date(second.Date))
	}
	return m.text("follow.computed.steady-slope", "Interval", m.interval(s.Slope.Lo, s.Slope.Hi))
}

// computedTable is the series with what became of every volume.
func (m sheetMaker) computedTable(volumes []followup.CourseVolume) (head []string, rows [][]string) {
	for _, id := range []string{
		"follow.date", "follow.fitter", "follow.course.measured", "follow.course.u", "follow.computed.level",
		"follow.course.together", "follow.course.together-interval", "follow.course.slip",
	} {
		head = append(head, m.text(id))
	}
	for _, at := range volumes {
		on := m.date(at.On)
		if at.Rounds > 1 {
			on = m.text("working.course.round", "On", on, "Round", at.Round)
		}
		rows = append(rows, []string{
			on, m.people[at.MeasuredBy], m.decimal(at.VolumeML, 1), m.decimal(at.UML, 1),
			m.text("follow.computed.level-value", "Level", m.decimal(at.LevelML, 1), "Lo", m.decimal(at.LevelLoML, 1), "Hi", m.decimal(at.LevelHiML, 1)),
			m.percentChange(at.SmoothChange.Estimate), m.interval(at.SmoothChange.Lo, at.SmoothChange.Hi), m.probability(at.SlipPercent),
		})
	}
	return head, rows
}

// assumptions are the constants of the model.
func (m sheetMaker) assumptions() []string {
	s := trend.DefaultSettings()
	percent := func(v float64) string { return m.short(v) + narrow + "%" }
	return []string{
		m.text("follow.computed.assume-slope", "Least", m.decimal(s.SlopeSDs[0], 2)+narrow+"%", "Most", percent(s.SlopeSDs[len(s.SlopeSDs)-1])),
		m.text("follow.computed.assume-day", "Least", percent(s.DayToDaySDs[0]), "Most", percent(s.DayToDaySDs[len(s.DayToDaySDs)-1])),
		m.text("follow.computed.assume-source", "Offset", percent(s.SourceSD)),
		m.text("follow.computed.assume-slip", "Count", int(math.Round(1/s.WildPrior)), "Size", percent(s.WildSD)),
		m.text("follow.computed.assume-step", "Count", int(math.Round(1/s.StepRate)), "Size", percent(s.StepSD)),
	}
}
