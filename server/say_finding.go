package server

import (
	"math"
	"strings"

	"fairlead/analytics/assess"
	"fairlead/analytics/quantity"
)

// saidFinding is a finding in words. Claim is what was found, without a full
// stop; Rest the limit and who set it; Why the figures it was compared with,
// what to look at first and, where there is a flag to close, who may close it.
type saidFinding struct {
	Level string
	Claim string
	Rest  string
	Why   string
}

// saying puts one rule's findings into words: the claim, and the sentences that
// come before and after what all rules share.
type saying func(y sayer, f assess.Finding) (claim string, rest, why []string)

// sayings has the words of every rule.
var sayings = map[assess.Rule]saying{
	assess.FunctionNo:       sayFunctionNo,
	assess.SkinSign:         saySkinSign,
	assess.ContactSkin:      sayStation,
	assess.RecentFall:       sayFall,
	assess.CoverContact:     sayStation,
	assess.RubEvidence:      sayStation,
	assess.ClearanceBelow:   sayStation,
	assess.ClearanceUnsure:  sayStation,
	assess.AsBuiltDrop:      sayDrop,
	assess.Attachment:       sayAttachment,
	assess.VolumeFast:       sayVolume,
	assess.VolumeChange:     sayChange,
	assess.VolumeClosing:    sayClosing,
	assess.VolumeSlope:      saySlope,
	assess.MeasureAgainRule: sayAgain,
	assess.VolumeUnresolved: sayVolume,
	assess.SocksThick:       sayCount("thick-socks"),
	assess.SocksPly:         sayCount("ply"),
	assess.SockLayers:       saySockLayers,
	assess.RoomChanged:      sayRoomChange,
	assess.ComfortDrop:      sayComfort,
	assess.ReadingsDisagree: sayDisagreement,
	assess.NotComparable:    sayNotComparable,
	assess.ReportSafety:     sayReportSafety,
	assess.ReportSkin:       sayReportSkin,
	assess.ReportFit:        sayReportFit,
	assess.ReportComfort:    sayReportComfort,
	assess.ReportDamage:     sayReportDamage,
	assess.ReportRub:        sayReportRub,
	assess.ReportOther:      sayReportOther,
}

// finding puts a finding into words, with who may close a flag of it.
func (y sayer) finding(f assess.Finding) saidFinding {
	said := y.found(f)
	said.Why = joinSentences(said.Why, y.text("finding.closer."+string(f.ClosedBy)))
	return said
}

// found puts a finding into words, whether there is a flag to close or not.
func (y sayer) found(f assess.Finding) saidFinding {
	said := saidFinding{Level: string(f.Level)}
	say, known := sayings[f.Rule]
	if !known { // evidence of a rule that this version no longer has
		say = func(y sayer, f assess.Finding) (string, []string, []string) {
			return y.text("finding.other", "Rule", string(f.Rule)), nil, nil
		}
	}
	var rest, why []string
	said.Claim, rest, why = say(y, f)
	if limit := y.findingLimit(f); limit != "" {
		rest = append([]string{limit}, rest...)
	}
	said.Rest = strings.Join(rest, " ")
	why = append(why, y.background(f)...)
	why = append(why, y.look(f)...)
	said.Why = strings.Join(why, " ")
	return said
}

// findingLimit says the limit that a finding was judged by and who set it.
func (y sayer) findingLimit(f assess.Finding) string {
	if f.Limit == nil || saysOwnLimit[f.Rule] {
		return ""
	}
	l := f.Limit
	value := y.limitValue(f)
	if said, ok := y.courseLimit(f, value); ok {
		return said
	}
	switch {
	case f.Rule == assess.AsBuiltDrop:
		return y.setBy("finding.accepted.", value, *l)
	case f.Rule == assess.ClearanceUnsure, f.Rule == assess.VolumeUnresolved:
		return y.setBy("finding.limit-near.", value, *l)
	case f.Rule == assess.SocksPly:
		return y.setBy("finding.limit-over.", value, *l)
	case f.Limit.Unit == assess.Count || f.Limit.Unit == assess.Points:
		return y.setBy("finding.limit-count.", value, *l)
	}
	return y.setBy("finding.limit.", value, *l)
}

// setBy completes a sentence about a limit with who set it and when.
func (y sayer) setBy(id, value string, l assess.LimitUsed) string {
	switch {
	case l.Fixed:
		return y.text(id+"fixed", "Limit", value)
	case l.Starting:
		return y.text(id+"starting", "Limit", value)
	case l.By == "" && l.On == "":
		return y.text(id+"unsigned", "Limit", value)
	case l.By == "":
		return y.text(id+"on", "Limit", value, "On", y.date(l.On))
	case l.On == "":
		return y.text(id+"by", "Limit", value, "By", l.By)
	}
	return y.text(id+"set", "Limit", value, "By", l.By, "On", y.date(l.On))
}

func (y sayer) limitValue(f assess.Finding) string {
	switch f.Limit.Unit {
	case assess.MM:
		return y.limitMM(f.Limit.Value)
	case assess.Percent:
		size := f.Limit.Value
		if change, ok := f.Value("change"); ok && change.Value < 0 {
			size = -size
		}
		return y.limitPercent(size)
	}
	return y.short(f.Limit.Value)
}

// background says what happened in between, what differs between the visits and
// whether a change is expected anyway.
func (y sayer) background(f assess.Finding) []string {
	var said []string
	if f.Words["events"] != "" {
		said = append(said, y.text("finding.events", "Events", y.words("event-kind", f.Words["events"])))
	}
	if f.Words["conditions"] != "" {
		said = append(said, y.text("finding.conditions", "Conditions", y.words("differ", f.Words["conditions"])))
	}
	for _, expected := range []string{"still-growing", "early-limb", "reduced-feeling", "diabetes"} {
		if f.Words[expected] != "" {
			said = append(said, y.text("finding.because."+expected))
		}
	}
	return said
}

// things are the codes of LookFirst that name a thing to look at; the others
// are something to do.
var things = map[string]bool{
	assess.LookWherePressed: true, assess.LookAttachment: true, assess.LookShell: true, assess.LookTrimLine: true,
	assess.LookRecentEvents: true, assess.LookConditions: true, assess.LookSocks: true, assess.LookSeries: true,
}

// look says what to do and what to look at first.
func (y sayer) look(f assess.Finding) []string {
	var said, at []string
	for _, code := range f.LookFirst {
		switch {
		case things[code]:
			at = append(at, y.text("finding.look."+code))
		case code == assess.LookMeasureAgain && !y.atCheckin:
			said = append(said, y.text("finding.do.measure-next"))
		default:
			said = append(said, y.text("finding.do."+code))
		}
	}
	if len(at) > 0 {
		said = append(said, y.text("finding.look-first", "Things", y.list(at)))
	}
	return said
}

// figure returns a figure of a finding; one that is missing is not a number and
// is not said.
func figure(f assess.Finding, name string) float64 {
	if v, ok := f.Value(name); ok {
		return v.Value
	}
	return math.NaN()
}

// stationOf names the place of a finding about a gap.
func (y sayer) stationOf(f assess.Finding) string {
	return y.station(quantity.Direction(f.Words["direction"]), figure(f, "level"), quantity.Posture(f.Words["posture"]))
}

// station names a station: "posterior, 9 cm level, seated".
func (y sayer) station(d quantity.Direction, levelMM float64, p quantity.Posture) string {
	return y.text("say.station", "Direction", y.word("direction", string(d)), "Level", y.length(levelMM), "Posture", y.word("posture", string(p)))
}

// upperFirst gives a phrase a capital letter.
func upperFirst(phrase string) string {
	for i, r := range phrase {
		return strings.ToUpper(string(r)) + phrase[i+len(string(r)):]
	}
	return phrase
}
