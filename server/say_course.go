package server

import (
	"math"

	"fairlead/analytics/assess"
	"fairlead/analytics/quantity"
)

// sayChange puts a change of volume since the reference into words: by the course
// of all visits, or by two of them.
func sayChange(y sayer, f assess.Finding) (claim string, rest, why []string) {
	if !byCourse(f) {
		return sayVolume(y, f)
	}
	change, _ := f.Value("change")
	claim = y.text("finding.claim.volume-course", "Change", y.percentChange(change.Value), "Since", y.date(quantity.Date(f.Words["since"])))
	if change.Lo != nil && change.Hi != nil {
		rest = append(rest, y.text("finding.interval", "Interval", y.interval(*change.Lo, *change.Hi)))
	}
	beyond := math.Copysign(figure(f, "beyond"), change.Value)
	rest = append(rest, y.text("finding.probability", "Beyond", y.limitPercent(beyond), "Probability", y.probability(figure(f, "probability"))))
	why = y.measuredDays(f)
	if sound, ok := f.Value("sound-change"); ok {
		why = append(why, y.text("finding.sound-alone", "Sound", y.percentChange(sound.Value)))
	}
	if f.Words["with"] != "" {
		why = append(why, y.text("finding.volume-with."+f.Words["with"]))
	}
	return claim, rest, why
}

// byCourse tells whether a finding was judged by the course of all visits.
func byCourse(f assess.Finding) bool { return f.Words["by"] == "course" }

// sayClosing says when the course will probably reach its limit.
func sayClosing(y sayer, f assess.Finding) (claim string, rest, why []string) {
	change, _ := f.Value("change")
	limit := ""
	if f.Limit != nil {
		limit = y.limitPercent(f.Way() * f.Limit.Value)
	}
	claim = y.text("finding.claim.volume-closing", "Limit", limit, "Change", y.percentChange(change.Value), "Since", y.date(quantity.Date(f.Words["since"])))
	on := quantity.Date(f.Words["on"])
	rest = append(rest, y.text("finding.closing", "Probability", y.probability(figure(f, "probability")), "By", y.date(on.AddDays(int(figure(f, "horizon"))))))
	if likely, ok := f.Value("likely"); ok {
		rest = append(rest, y.text("finding.closing-likely", "On", y.date(on.AddDays(int(likely.Value)))))
	}
	if earliest, ok := f.Value("earliest"); ok {
		rest = append(rest, y.text("finding.closing-earliest", "On", y.date(on.AddDays(int(earliest.Value)))))
	}
	return claim, rest, y.measuredDays(f)
}

// saySlope says how fast the volume changes.
func saySlope(y sayer, f assess.Finding) (claim string, rest, why []string) {
	slope, _ := f.Value("slope")
	claim = y.text("finding.claim.volume-slope", "Slope", y.percentChange(slope.Value))
	if slope.Lo != nil && slope.Hi != nil {
		rest = append(rest, y.text("finding.interval-month", "Interval", y.interval(*slope.Lo, *slope.Hi)))
	}
	return claim, rest, y.measuredDays(f)
}

// sayAgain says why the newest volume is in doubt.
func sayAgain(y sayer, f assess.Finding) (claim string, rest, why []string) {
	claim = y.text("finding.claim.measure-again", "Newest", y.percentChange(figure(f, "newest")), "Since", y.date(quantity.Date(f.Words["since"])))
	rest = append(rest, y.text("finding.again", "Slip", y.probability(figure(f, "slip")), "Step", y.probability(figure(f, "step"))))
	return claim, rest, nil
}

// measuredDays says what a course rests on.
func (y sayer) measuredDays(f assess.Finding) []string {
	days, ok := f.Value("days-measured")
	if !ok {
		return nil
	}
	return []string{y.text("finding.course", "Count", int(days.Value), "Weeks", y.decimal(figure(f, "span")/7, 0))}
}

// probability writes a probability in percent, and never says that something is
// certain.
func (y sayer) probability(percent float64) string {
	switch {
	case percent < 1:
		return y.text("say.under", "Figure", "1"+narrow+"%")
	case percent > 99:
		return y.text("say.over", "Figure", "99"+narrow+"%")
	}
	return y.decimal(percent, 0) + narrow + "%"
}

// courseLimit says the limit of a finding of the course; ok is false for any other.
func (y sayer) courseLimit(f assess.Finding, value string) (said string, ok bool) {
	beyond, probable := f.Value("beyond")
	switch {
	case f.Rule == assess.VolumeClosing:
		return y.setBy("finding.limit-near.", value, *f.Limit), true
	case f.Rule == assess.VolumeSlope:
		return y.text("finding.limit-slope", "Limit", y.short(f.Limit.Value)+narrow+"%"), true
	case !byCourse(f) || !probable:
		return "", false
	case f.Words["told"] == "early":
		return y.setBy("finding.limit-near.", value, *f.Limit), true
	case f.Limit.Value == beyond.Value:
		return y.setBy("finding.limit-likely.", value, *f.Limit), true
	}
	return y.setBy("finding.limit-estimate.", value, *f.Limit), true
}
