package assess

import (
	"math"
	"slices"
	"strings"

	"fairlead/analytics/quantity"
	"fairlead/analytics/volume"
)

// A change of volume is fast when it shows against a visit less than 14 days
// before (row V8, common practice), from the 5 % that is about one sock.
const (
	fastDays    = 14
	fastPercent = 5.0
)

// recoveryMonths is how long after an amputation a change is expected (V11:
// recovery takes 12–18 months; Sanders and Fatone 2011).
const recoveryMonths = 18

// volumeFindings judges the newest volume by the course of all visits since the
// reference, or where it is the reference itself since the one before; while there
// are fewer than three days with a volume, by these two visits alone. Beside it
// stand the visits of the last 14 days. The cover is not mentioned.
//
// Words: "verdict" and "why" (codes of package volume), "conditions" (what
// differs, with commas), "events" (kinds in between, with commas), "since" (date
// of the other visit), "still-growing", "early-limb", "with" (what a review is
// asked for besides the size: comfort, looseness, rub, reported).
func volumeFindings(h History, v Visit) []Finding {
	var findings []Finding
	reference, _ := h.base()
	change, ok := h.changeSince(reference)
	course, followed := h.Course()
	switch {
	case followed && course.judges():
		findings = append(findings, course.courseFindings(h, v)...)
		if f, ok := h.seenTwice(v, change, reference); ok && !slices.ContainsFunc(findings, ofRule(VolumeChange)) {
			findings = append(findings, f)
		}
	case !ok || !change.Comparable: // dataFindings
	case change.Verdict == volume.CannotTell:
		f := newFinding(v, VolumeUnresolved, AboutLimb, Watch, "")
		_, f.Limit = h.sizeLimits(change.ChangePercent)
		f.LookFirst = []string{LookMeasureAgain, LookConditions}
		f.volume(h, change, reference, v)
		findings = append(findings, f)
	default:
		if f, ok := volumeChange(h, v, change, reference); ok {
			findings = append(findings, f)
		}
	}
	if f, ok := fastChange(h, v); ok {
		findings = append(findings, f)
	}
	if f, ok := course.slipOrStep(h, v); followed && ok {
		findings = append(findings, f)
	}
	return findings
}

// volumeChange judges a change that is resolved (V6, V7, V8).
func volumeChange(h History, v Visit, change volume.Change, reference Visit) (Finding, bool) {
	symptom := symptomWith(h, reference, v)
	level, limit, ok := h.volumeLevel(change, symptom != "")
	if !ok {
		return Finding{}, false
	}
	f := newFinding(v, VolumeChange, AboutLimb, level, "")
	f.Limit = limit
	f.LookFirst = []string{LookConditions, LookSocks, LookRecentEvents}
	if change.ChangePercent > 0 && level == Now {
		f.LookFirst = append([]string{LookSafetyQuestions, LookMeasureAgain}, f.LookFirst...)
	}
	f.volume(h, change, reference, v)
	if control, sound, ok := h.soundSince(reference); ok {
		f.add(
			estimated("sound-change", sound.ChangePercent, sound.UPercent, sound.LoPercent, sound.HiPercent, Percent),
			estimated("beside-sound", control.DifferencePercent, control.UPercent, control.LoPercent, control.HiPercent, Percent),
		)
	}
	f.say("with", symptom)
	return f, true
}

// seenTwice is volumeChange where the last measured day before the newest shows it
// as well. The course may put such a change down to a slip at the base visit, which
// no later visit can tell from a change just after it; so it stays told, to watch.
// When it came with the second visit it was told at its own urgency then.
func (h History) seenTwice(v Visit, change volume.Change, reference Visit) (Finding, bool) {
	for _, earlier := range slices.Backward(h.earlier()) {
		if earlier.On == v.On || !earlier.hasVolume() {
			continue
		}
		before := h.compare(reference.Residual, earlier.Residual)
		if earlier.ID == reference.ID || before.Verdict != change.Verdict {
			return Finding{}, false
		}
		if _, _, beyond := h.volumeLevel(before, false); !beyond {
			return Finding{}, false
		}
		f, ok := volumeChange(h, v, change, reference)
		f.Level = Watch
		return f, ok
	}
	return Finding{}, false
}

// ofRule tells findings of a rule.
func ofRule(r Rule) func(Finding) bool { return func(f Finding) bool { return f.Rule == r } }

// volumeLevel returns the urgency of a change that is beyond measuring error
// and at or beyond a limit, and that limit.
func (h History) volumeLevel(c volume.Change, symptom bool) (level Level, limit *LimitUsed, ok bool) {
	if c.Verdict != volume.Smaller && c.Verdict != volume.Larger {
		return "", nil, false
	}
	urgent, mention := h.sizeLimits(c.ChangePercent)
	size := math.Abs(c.ChangePercent)
	gain := c.ChangePercent > 0
	switch {
	case size >= urgent.Value && gain:
		return Now, urgent, true
	case size >= urgent.Value:
		return Soon, urgent, true
	case size >= mention.Value && (gain || symptom):
		return Soon, mention, true
	case size >= mention.Value:
		return Watch, mention, true
	}
	return "", nil, false
}

// sizeLimits returns the two limits for a change of the given sign: the larger
// size and the one from which it is mentioned.
func (h History) sizeLimits(percent float64) (urgent, mention *LimitUsed) {
	set, starting := h.VolumeLimits, StartingVolumeLimits
	if percent > 0 {
		return set.limitUsed(set.GainTodayPercent, starting.GainTodayPercent), set.limitUsed(set.GainPercent, starting.GainPercent)
	}
	return set.limitUsed(set.LossReviewPercent, starting.LossReviewPercent), set.limitUsed(set.LossPercent, starting.LossPercent)
}

// limitUsed is the limit that was set, or the starting value where it is 0.
func (l VolumeLimits) limitUsed(set, starting float64) *LimitUsed {
	if set <= 0 {
		return &LimitUsed{Value: starting, Unit: Percent, Starting: true}
	}
	return &LimitUsed{Value: set, Unit: Percent, By: l.By, On: l.On}
}

// fastChange looks for the largest change against a visit less than 14 days
// before, in either direction: act today and ask the safety questions. A large
// one inside measuring error asks for another measurement.
func fastChange(h History, v Visit) (Finding, bool) {
	if !h.Limb.Level.HasCone() {
		return Finding{}, false
	}
	var worst volume.Change
	var since Visit
	for _, earlier := range h.earlier() {
		days, known := v.On.DaysSince(earlier.On)
		if !known || days < 0 || days >= fastDays || !earlier.hasVolume() {
			continue
		}
		c := h.compare(earlier.Residual, v.Residual)
		if !c.Comparable || c.Verdict == volume.NoChange || math.Abs(c.ChangePercent) < fastPercent {
			continue
		}
		moreSure := worst.Verdict == volume.CannotTell && c.Verdict != volume.CannotTell
		lessSure := c.Verdict == volume.CannotTell && worst.Comparable && worst.Verdict != volume.CannotTell
		if moreSure || !lessSure && math.Abs(c.ChangePercent) >= math.Abs(worst.ChangePercent) {
			worst, since = c, earlier
		}
	}
	if !worst.Comparable {
		return Finding{}, false
	}
	f := newFinding(v, VolumeFast, AboutLimb, Now, "")
	f.LookFirst = []string{LookSafetyQuestions, LookMeasureAgain, LookConditions, LookRecentEvents}
	if worst.Verdict == volume.CannotTell {
		f = newFinding(v, VolumeUnresolved, AboutLimb, Watch, "fast")
		f.LookFirst = []string{LookMeasureAgain, LookConditions}
	}
	f.Limit = &LimitUsed{Value: fastPercent, Unit: Percent, Fixed: true}
	f.volume(h, worst, since, v)
	days, _ := v.On.DaysSince(since.On)
	f.add(exact("days", float64(days), Days))
	return f, true
}

// volume adds the figures of a change and the conditions of the two visits.
func (f *Finding) volume(h History, c volume.Change, reference, now Visit) {
	f.AgainstVisitID = reference.ID
	f.add(
		estimated("change", c.ChangePercent, c.UPercent, c.LoPercent, c.HiPercent, Percent),
		measured("change-volume", c.ChangeML, c.UML, ML),
		exact("then-volume", c.ReferenceML, ML),
		exact("now-volume", c.NowML, ML),
		exact("from", c.FromMM, MM),
		exact("to", c.ToMM, MM),
	)
	f.say("verdict", string(c.Verdict))
	f.say("why", c.Why.Code)
	f.say("conditions", strings.Join(ConditionsDiffer(h.Limb.Level, reference, now), ","))
	f.limb(h, reference, now)
}

// limb adds what a reader of a change of a limb should know: since when, what
// happened in between, and whether change is expected anyway.
func (f *Finding) limb(h History, since, now Visit) {
	f.say("since", string(since.On))
	f.say("events", strings.Join(h.eventsSince(since, now), ","))
	f.expected(h, now)
}

// expected tells whether the limb is one that is expected to change. It never
// silences a finding.
func (f *Finding) expected(h History, now Visit) {
	if h.Limb.StillGrowing {
		f.say("still-growing", "yes")
	}
	if h.Limb.Early(now.On) {
		f.say("early-limb", "yes")
	}
}

// Early tells whether the limb is on that day within 18 months of its amputation or
// of its last revision.
func (l Limb) Early(on quantity.Date) bool {
	t, ok := max(l.AmputatedOn, l.RevisedOn).Time()
	return ok && !l.PresentAtBirth && on < quantity.DateOf(t.AddDate(0, recoveryMonths, 0))
}
