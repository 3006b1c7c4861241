package assess

import (
	"math"
	"strings"

	"fairlead/analytics/trend"
	"fairlead/analytics/volume"
)

// The probabilities from which a rule of the course speaks. They were worked out on
// simulated limbs, in both directions of a change; DEVELOPERS.md has the table of
// false and missed flags that belongs to them. Row V6 of the domain notes is the
// 0.80 of a change beyond 3 %, row K8 the 0.60 of closing. A claim is gone at half
// of its probability.
const (
	toldAt    = 0.50 // a change beyond the size that is told early: watch
	SoonAt    = 0.80 // the same: soon
	passedAt  = 0.50 // a change beyond the limit
	reviewAt  = 0.80 // the same, with an estimate at the limit of a review (V7)
	closingAt = 0.60 // the limit is reached within the horizon
)

// toldOf is the part of the limit from which a change is told early: 3 % of the
// starting 5 %, about one compressed ply (V6). It keeps its place below a limit that
// a prosthetist set (ours).
const toldOf = 0.6

// Row V9: a slope counts as fast from 1 % a month on, over at least four days with
// a volume and six weeks.
const (
	slopePercent  = 1.0 // a month
	slopeDays     = 4
	slopeSpanDays = 42
)

// courseFindings judge the newest visit by the course of all visits since the base:
// a change told early or beyond its limit, else one that closes towards it, and a
// fast slope.
//
// Words: "by" ("course"), "way" of closing ("loss", "gain"), "told" ("early" for a
// change below its limit), "on" (date of the newest visit), "with" (see
// volumeFindings), "since", "events", "conditions", "still-growing", "early-limb" as
// there.
func (c Course) courseFindings(h History, v Visit) []Finding {
	var findings []Finding
	if f, ok := c.change(h, v); ok {
		findings = append(findings, f)
	}
	if f, ok := c.closing(h, v); ok {
		findings = append(findings, f)
	}
	if f, ok := c.fastSlope(h, v); ok {
		findings = append(findings, f)
	}
	return findings
}

// beyond returns the probability that the change is beyond a size in percent, in
// the direction of way: −1 for a loss, +1 for a gain.
func (c Course) beyond(way, percent float64) float64 {
	if way < 0 && percent >= 100 { // nothing can be lost more than once
		return 0
	}
	return c.filter.Beyond(way * percent)
}

// way is the direction of the estimate.
func (c Course) way() float64 {
	if c.state.Change.Estimate < 0 {
		return -1
	}
	return 1
}

// change raises a change that is probably beyond the size that is told early (V6):
// watch, soon when that is rather sure, when the limit itself is more likely than
// not passed, or with a symptom beside it (V7), and today for a gain that is rather
// surely beyond its limit and at the size to be seen today (V8). The probability of
// the finding is that of a change beyond the size that is told early, or beyond the
// limit where it is passed.
func (c Course) change(h History, v Visit) (Finding, bool) {
	way := c.way()
	urgent, limit := h.sizeLimits(way)
	early := toldOf * limit.Value
	told, passed := c.beyond(way, early), c.beyond(way, limit.Value)
	if told < toldAt {
		return Finding{}, false
	}
	symptom := symptomWith(h, c.Base, v)
	level := Watch
	if told >= SoonAt || passed >= passedAt || symptom != "" {
		level = Soon
	}
	review := passed >= reviewAt && way*c.state.Change.Estimate >= urgent.Value
	if review && way > 0 {
		level = Now
	}
	f := c.finding(h, v, VolumeChange, level)
	f.Limit = limit
	if review {
		f.Limit = urgent
	}
	if passed >= passedAt {
		f.add(exact("probability", 100*passed, Percent), exact("beyond", limit.Value, Percent))
	} else {
		f.add(exact("probability", 100*told, Percent), exact("beyond", early, Percent))
		f.say("told", "early")
	}
	if _, sound, ok := h.soundSince(c.Base); ok {
		f.add(estimated("sound-change", sound.ChangePercent, sound.UPercent, sound.LoPercent, sound.HiPercent, Percent))
	}
	f.say("with", symptom)
	if level == Now {
		f.LookFirst = append([]string{LookSafetyQuestions, LookMeasureAgain}, f.LookFirst...)
	}
	return f, true
}

// closing raises a course that will probably reach its limit within the horizon of
// the forecast (K8).
func (c Course) closing(h History, v Visit) (Finding, bool) {
	forecast, limit := c.nearer(h)
	if forecast.Kind != trend.ForecastGiven || forecast.Probability < closingAt {
		return Finding{}, false
	}
	f := c.finding(h, v, VolumeClosing, Watch)
	f.Limit = limit
	f.add(
		exact("probability", 100*forecast.Probability, Percent),
		exact("horizon", float64(forecast.HorizonDays), Days),
	)
	f.say("way", "gain")
	if forecast.Limit < 0 {
		f.say("way", "loss")
	}
	if forecast.P05 != trend.NoDay {
		f.add(exact("earliest", float64(forecast.P05), Days))
	}
	if forecast.P50 != trend.NoDay {
		f.add(exact("likely", float64(forecast.P50), Days))
	}
	return f, true
}

// nearer is the forecast for the limit, of loss or of gain, that is reached with
// the greater probability, and that limit.
func (c Course) nearer(h History) (trend.Forecast, *LimitUsed) {
	_, loss := h.sizeLimits(-1)
	_, gain := h.sizeLimits(1)
	up := c.filter.Crossing(gain.Value)
	if loss.Value >= 100 {
		return up, gain
	}
	if down := c.filter.Crossing(-loss.Value); down.Probability >= up.Probability {
		return down, loss
	}
	return up, gain
}

// fastSlope raises row V9: the 95 % interval of the slope leaves out 0 and the
// estimate is 1 % a month or more.
func (c Course) fastSlope(h History, v Visit) (Finding, bool) {
	slope := c.state.Slope
	resolved := slope.Lo > 0 || slope.Hi < 0
	if c.filter.Days() < slopeDays || c.filter.Span() < slopeSpanDays || !resolved || math.Abs(slope.Estimate) < slopePercent {
		return Finding{}, false
	}
	f := c.finding(h, v, VolumeSlope, Soon)
	f.Limit = &LimitUsed{Value: slopePercent, Unit: PercentPerMonth, Fixed: true}
	f.add(estimated("slope", slope.Estimate, (slope.Hi-slope.Lo)/(2*volume.Normal975), slope.Lo, slope.Hi, PercentPerMonth))
	return f, true
}

// finding starts one of the course with its figures.
func (c Course) finding(h History, v Visit, rule Rule, level Level) Finding {
	f := newFinding(v, rule, AboutLimb, level, "")
	f.AgainstVisitID = c.Base.ID
	f.LookFirst = []string{LookConditions, LookSocks, LookRecentEvents}
	change, log := c.state.Change, c.state.ChangeLog
	f.add(
		estimated("change", change.Estimate, (change.Hi-change.Lo)/(2*volume.Normal975), change.Lo, change.Hi, Percent),
		measured("change-log", log.Mean, log.SD, Percent),
		exact("days-measured", float64(c.filter.Days()), Count),
		exact("span", c.filter.Span(), Days),
	)
	f.say("by", "course")
	f.say("on", string(v.On))
	f.say("conditions", strings.Join(ConditionsDiffer(h.Limb.Level, c.Base, v), ","))
	f.limb(h, c.Base, v)
	return f
}

// slipOrStep raises a newest reading that looks like a slip or a sudden step, which
// only a second round can tell apart. When it would be a gain that is to be seen
// today it is for soon, and the safety questions come first.
func (c Course) slipOrStep(h History, v Visit) (Finding, bool) {
	if !c.state.MeasureAgain || v.MeasuredTwice() {
		return Finding{}, false
	}
	f := newFinding(v, MeasureAgainRule, AboutData, Watch, "")
	f.AgainstVisitID = c.Base.ID
	f.LookFirst = []string{LookMeasureAgain, LookConditions}
	if urgent, _ := h.sizeLimits(1); c.newestAgainstBase(h) >= urgent.Value {
		f.Level = Soon
		f.LookFirst = append([]string{LookSafetyQuestions}, f.LookFirst...)
	}
	f.Limit = &LimitUsed{Value: 100 * trend.MeasureAgainAt, Unit: Percent, Fixed: true}
	f.add(
		exact("probability", 100*(c.state.Wild+c.state.Step), Percent),
		exact("slip", 100*c.state.Wild, Percent),
		exact("step", 100*c.state.Step, Percent),
		exact("newest", c.newestAgainstBase(h), Percent),
	)
	f.limb(h, c.Base, v)
	return f, true
}

// newestAgainstBase is the change that the newest volume shows by itself since the
// base, in percent: that of the two visits.
func (c Course) newestAgainstBase(h History) float64 {
	if change, ok := h.changeSince(c.Base); ok && change.Comparable {
		return change.ChangePercent
	}
	first, last := c.readings[0].Value, c.readings[len(c.readings)-1].Value
	return 100 * (last - first) / first
}
