package server

import (
	"math"
	"slices"

	"fairlead/analytics/assess"
	"fairlead/analytics/trend"
	"fairlead/analytics/volume"
	"fairlead/models"
)

// courseSaid is what the volume says, as a heading, and what has to stand beside it so
// that nobody takes one way of looking at it for the other.
type courseSaid struct {
	code    string // which of the headings it is
	heading string
	beside  []string
}

// The codes of headings that say how a volume that the course judges has changed.
const (
	saidPassed   = "passed"  // probably beyond a limit
	saidTold     = "told"    // probably beyond the size that is told early
	saidTwice    = "twice"   // by two days in a row, against the course
	saidClosing  = "closing" // will probably reach a limit
	saidSlope    = "slope"   // fast
	saidChanged  = "changed" // beyond measurement, and that is all
	saidSettled  = "settled" // the same, and steady by now
	saidSteady   = "steady"  // no change, and steady
	saidNoChange = "no-change"
	saidDoubt    = "doubt" // the same, but nothing can be told before the newest is measured again
)

// volumeRules are those that speak of the volume of the limb.
var volumeRules = []assess.Rule{
	assess.VolumeFast, assess.VolumeChange, assess.VolumeClosing, assess.VolumeSlope, assess.VolumeUnresolved, assess.MeasureAgainRule,
}

// drawsCourse tells whether the course by all visits together is shown.
func (m sheetMaker) drawsCourse() bool { return m.view.Course != nil && m.view.Course.Judges }

// sayCourse says what the newest volume says, in every case.
func (m sheetMaker) sayCourse() courseSaid {
	taped := m.view.Taped
	said := courseSaid{code: "none"}
	switch {
	case !m.view.History.Limb.Level.HasCone():
		said.heading = m.text("follow.volume.no-cone")
		return said
	case taped == nil:
		said.heading, said.beside = m.text("follow.volume.none"), m.otherwise(said.code)
		return said
	case m.view.Judged():
		said = m.sayJudged()
	case taped.Change == nil && m.tapedCount() > 1:
		said.heading = m.text("follow.volume.itself", "Volume", m.millilitres(taped.Volume.VolumeML))
	case taped.Change == nil:
		said.heading = m.text("follow.volume.only", "Volume", m.millilitres(taped.Volume.VolumeML))
	default:
		said.code, said.heading = m.sayTwo()
		if m.drawsCourse() {
			said.beside = append(said.beside, m.text("follow.course.until", "Change", m.byAll()))
		}
	}
	if m.volumeFound(assess.MeasureAgainRule) != nil && said.code != saidDoubt {
		said.heading = m.text("follow.course.again", "Heading", said.heading)
	}
	said.beside = slices.Concat(said.beside, m.otherwise(said.code), m.expectedChange(), m.missing(said.code))
	return said
}

// sayTwo says the change between two visits.
func (m sheetMaker) sayTwo() (code, heading string) {
	change := *m.view.Taped.Change
	code = "two-" + verdictCode(change.Verdict)
	return code, m.text("follow.volume.heading."+verdictCode(change.Verdict), "Since", m.since(),
		"Size", m.decimal(math.Abs(change.ChangePercent), 1), "Interval", m.interval(change.LoPercent, change.HiPercent))
}

// sayJudged says what all visits together say, or what the rules found against them.
func (m sheetMaker) sayJudged() courseSaid {
	change := m.view.Course.Result.Change
	code := m.judgedCode()
	parts := []any{
		"Since", m.since(), "Size", m.decimal(math.Abs(change.Estimate), 1),
		"Change", m.percentChange(change.Estimate), "Interval", m.interval(change.Lo, change.Hi), "Way", m.text("follow.course.way." + m.wayOf(change)),
	}
	if m.volumeFound(assess.VolumeChange) != nil { // more likely than not, even where the interval holds 0
		parts[len(parts)-1] = m.wayFound(change)
	}
	said := courseSaid{code: code}
	switch code {
	case saidPassed, saidTold:
		f := m.volumeFound(assess.VolumeChange)
		parts = append(parts, "Beyond", m.limitPercent(math.Copysign(figure(*f, "beyond"), change.Estimate)), "Probability", m.probability(figure(*f, "probability")))
	case saidTwice:
		two := *m.view.Taped.Change
		parts = []any{"Since", m.since(), "Size", m.decimal(math.Abs(two.ChangePercent), 1), "Way", m.text("follow.course.way." + verdictCode(two.Verdict))}
		said.beside = append(said.beside, m.text("follow.course.against", "Change", m.byAll()))
	case saidClosing:
		parts = append(parts, m.closingParts(*m.volumeFound(assess.VolumeClosing))...)
	case saidSlope:
		parts = append(parts, "Slope", m.percentChange(figure(*m.volumeFound(assess.VolumeSlope), "slope")))
	}
	id := "follow.course.head." + code
	if code == saidClosing && m.volumeFound(assess.VolumeChange) != nil {
		id = "follow.course.head.told-closing"
	}
	said.heading = upperFirst(m.text(id, parts...))
	if two := m.view.Taped.Change; code != saidTwice && two != nil && two.Comparable {
		said.beside = append(said.beside, m.text("follow.course.alone", "Change", m.percentChange(two.ChangePercent),
			"Interval", m.interval(two.LoPercent, two.HiPercent), "Verdict", lowerFirst(m.verdict(two.Verdict))))
	}
	return said
}

// closingParts are the limit that a course closes towards, by when, and how surely.
func (m sheetMaker) closingParts(f assess.Finding) []any {
	sign := 1.0
	if f.Words["way"] == "loss" {
		sign = -1
	}
	by := m.view.Course.Result.DateOf(int(figure(f, "horizon")))
	return []any{"Limit", m.limitPercent(math.Copysign(f.Limit.Value, sign)), "By", m.date(by), "Probability", m.probability(figure(f, "probability"))}
}

// judgedCode chooses the heading: what the rules found comes first, so that no heading
// is calmer than a flag. Steady is said by its verdict alone, and not beside anything
// found or open about the volume: a limb that is steady beyond its limit is beyond it.
func (m sheetMaker) judgedCode() string {
	change, closing := m.volumeFound(assess.VolumeChange), m.volumeFound(assess.VolumeClosing) != nil
	switch {
	case change != nil && !byCourse(*change):
		return saidTwice
	case change != nil && change.Words["told"] != "early":
		return saidPassed
	case closing:
		return saidClosing
	case change != nil:
		return saidTold
	}
	if m.volumeFound(assess.VolumeSlope) != nil {
		return saidSlope
	}
	result := m.view.Course.Result
	steady := result.Steadiness.Verdict == trend.Steady && len(m.view.Course.Found) == 0 && len(m.openVolume()) == 0
	changed := m.wayOf(result.Change) != wayNone
	switch {
	case changed && steady:
		return saidSettled
	case changed:
		return saidChanged
	case steady:
		return saidSteady
	case m.volumeFound(assess.MeasureAgainRule) != nil:
		return saidDoubt
	}
	return saidNoChange
}

// The ways of a change, as they stand in the ids of texts.
const (
	waySmaller = "smaller"
	wayLarger  = "larger"
	wayNone    = "no-change" // the interval holds 0
)

// wayOf is the way of a change that leaves out 0 by what is shown of it.
func (m sheetMaker) wayOf(change trend.Interval) string {
	const shown = 0.05 // less is shown as 0.0
	switch {
	case change.Hi < 0 && change.Estimate <= -shown:
		return waySmaller
	case change.Lo > 0 && change.Estimate >= shown:
		return wayLarger
	}
	return wayNone
}

// wayFound says which way a change goes that a rule found.
func (m sheetMaker) wayFound(change trend.Interval) string {
	way := m.wayOf(change)
	switch {
	case way != wayNone:
		return m.text("follow.course.way." + way)
	case change.Estimate < 0:
		return m.text("follow.course.way.probably-smaller")
	}
	return m.text("follow.course.way.probably-larger")
}

// byAll is the change by all visits together with its interval.
func (m sheetMaker) byAll() string {
	change := m.view.Course.Result.Change
	return m.text("follow.course.figure", "Change", m.percentChange(change.Estimate), "Interval", m.interval(change.Lo, change.Hi))
}

// volumeFound is the finding of a rule about the volume, counted from the reference shown;
// nil when there is none.
func (m sheetMaker) volumeFound(rule assess.Rule) *assess.Finding {
	if m.view.Course == nil || m.view.Reference == nil {
		return nil
	}
	for i, f := range m.view.Course.Found {
		if f.Rule == rule && f.AgainstVisitID == m.view.Reference.Assessed.ID {
			return &m.view.Course.Found[i]
		}
	}
	return nil
}

// openVolume are the open flags about the volume of the limb.
func (m sheetMaker) openVolume() []models.Flag {
	return slices.DeleteFunc(m.open(), func(f models.Flag) bool { return !slices.Contains(volumeRules, assess.Rule(f.Rule)) })
}

// headingRules are those whose findings a heading tells.
func headingRules(code string) []assess.Rule {
	switch code {
	case saidPassed, saidTold, saidTwice:
		return []assess.Rule{assess.VolumeChange, assess.MeasureAgainRule}
	case saidClosing:
		return []assess.Rule{assess.VolumeChange, assess.VolumeClosing, assess.MeasureAgainRule}
	case saidSlope:
		return []assess.Rule{assess.VolumeSlope, assess.MeasureAgainRule}
	case "two-" + verdictCode(volume.Smaller), "two-" + verdictCode(volume.Larger):
		return []assess.Rule{assess.VolumeChange, assess.MeasureAgainRule}
	case "two-" + verdictCode(volume.CannotTell):
		return []assess.Rule{assess.VolumeUnresolved, assess.MeasureAgainRule}
	}
	return []assess.Rule{assess.MeasureAgainRule}
}

// otherwise are the claims about the volume that the heading does not make: of open
// flags, and of what was found beside it or against another visit than the reference.
func (m sheetMaker) otherwise(code string) []string {
	told := func(f *assess.Finding) bool { return f != nil && slices.Contains(headingRules(code), f.Rule) }
	var claims []string
	for _, f := range m.openVolume() {
		found, claim := m.volumeFound(assess.Rule(f.Rule)), m.flag(f).Claim
		if !told(found) || found.Place != f.Place || m.claim(*found) != claim {
			claims = append(claims, m.text("follow.course.flag", "Claim", claim))
		}
	}
	if m.view.Course == nil || m.view.Reference == nil {
		return claims
	}
	for i, f := range m.view.Course.Found {
		flagged := slices.ContainsFunc(m.openVolume(), func(open models.Flag) bool { return open.Rule == string(f.Rule) && open.Place == f.Place })
		switch {
		case flagged:
		case f.AgainstVisitID != m.view.Reference.Assessed.ID:
			claims = append(claims, m.text("follow.course.found", "Claim", m.claim(f)))
		case !told(&m.view.Course.Found[i]):
			claims = append(claims, m.text("follow.course.found-beside", "Claim", m.claim(f)))
		}
	}
	return claims
}

// expectedChange says that change is expected of a limb anyway.
func (m sheetMaker) expectedChange() []string {
	var said []string
	if m.view.History.Limb.Early(m.view.Taped.Assessed.On) {
		said = append(said, m.text("follow.course.early"))
	}
	if m.view.History.Limb.StillGrowing {
		said = append(said, m.text("follow.course.growing"))
	}
	return said
}

// missing says what it takes before more can be said: a course, a forecast, whether
// measurements are steady.
func (m sheetMaker) missing(code string) []string {
	course := m.view.Course
	if course == nil || code == "two-not-comparable" {
		return nil
	}
	result := course.Result
	if !course.Judges {
		return []string{m.text("follow.course.few", "More", m.moreVisits(assess.CourseDays-result.Days, 0))}
	}
	var said []string
	if f := result.Forecast; !f.Told() {
		said = append(said, m.text("follow.course.no-forecast", "More", m.moreVisits(f.MissingDays, f.FromDay)))
	}
	if s := result.Steadiness; s.Verdict == trend.SteadyFew || s.Verdict == trend.SteadyOne {
		said = append(said, m.text("follow.course.no-steady", "More", m.moreVisits(s.MissingDays, s.FromDay)))
	}
	return said
}

// moreVisits says how many visits are missing, and until when unless that day, counted
// from the first, has passed.
func (m sheetMaker) moreVisits(days, fromDay int) string {
	more := m.text("follow.course.more", "Count", days, "Number", m.count(days))
	on := m.view.Course.Result.DateFrom(fromDay)
	if on <= m.view.Taped.Assessed.On {
		return more
	}
	return m.text("follow.course.not-before", "Count", days, "More", more, "On", m.date(on))
}

// claim is what a finding says in short.
func (m sheetMaker) claim(f assess.Finding) string { return m.sayer.finding(f).Claim }
