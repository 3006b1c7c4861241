package assess

import (
	"math"
	"slices"

	"fairlead/analytics/quantity"
)

// Rule names the rule that made a finding. It is stored and never renamed.
type Rule string

// The rules, in the order in which findings of the same urgency are listed.
const (
	FunctionNo       Rule = "function-no"       // a function check answered no
	ReportSafety     Rule = "report-safety"     // a client's answer on the safety page
	SkinSign         Rule = "skin-sign"         // something seen on the skin
	ReportSkin       Rule = "report-skin"       // something that a client saw on the skin
	ContactSkin      Rule = "contact-skin"      // the cover touches skin
	RecentFall       Rule = "recent-fall"       // a fall or injury lately
	VolumeFast       Rule = "volume-fast"       // a change within 14 days
	VolumeChange     Rule = "volume-change"     // a change since the reference
	VolumeClosing    Rule = "volume-closing"    // a course that will probably reach its limit
	VolumeSlope      Rule = "volume-slope"      // a course with a fast slope
	VolumeUnresolved Rule = "volume-unresolved" // large, but inside measuring error
	SocksThick       Rule = "sock-thick"        // three or more thick socks
	SocksPly         Rule = "sock-ply"          // more than ten ply in all
	SockLayers       Rule = "sock-layers"       // more than when the socket was accepted
	RoomChanged      Rule = "room-change"       // room in the socket beyond the prosthetist's limit
	ReportFit        Rule = "report-fit"        // a client finds the socket tight or loose
	ComfortDrop      Rule = "comfort-drop"      // comfort down or pain up
	ReportComfort    Rule = "report-comfort"    // a client reports low comfort, comfort down or pain up, or heat
	CoverContact     Rule = "contact"           // the cover touches a part
	ClearanceBelow   Rule = "clearance-below"   // a gap below a limit
	AsBuiltDrop      Rule = "as-built-drop"     // a gap below what was accepted at delivery
	Attachment       Rule = "attachment"        // an attachment point loose or missing
	ReportDamage     Rule = "report-damage"     // a client reports damage of the cover
	ReportRub        Rule = "report-rub"        // a client reports a rub, a noise or catching at the cover
	RubEvidence      Rule = "rub-evidence"      // a polish mark
	ClearanceUnsure  Rule = "clearance-unsure"  // a gap that can't be shown to be above its limit
	ReadingsDisagree Rule = "readings-disagree" // a pair of passes apart, no third
	MeasureAgainRule Rule = "measure-again"     // a newest volume that looks like a slip or a step
	NotComparable    Rule = "not-comparable"    // the newest volume has nothing to be compared with
	ReportOther      Rule = "report-other"      // a client's report that no other rule speaks of
)

// Rules lists the rules in the order in which findings of the same urgency are
// listed.
var Rules = []Rule{
	FunctionNo, ReportSafety, SkinSign, ReportSkin, ContactSkin, RecentFall, VolumeFast, VolumeChange,
	VolumeSlope, VolumeClosing, VolumeUnresolved,
	SocksThick, SocksPly, SockLayers, RoomChanged, ReportFit, ComfortDrop, ReportComfort, CoverContact, ClearanceBelow,
	AsBuiltDrop, Attachment, ReportDamage, ReportRub, RubEvidence, ClearanceUnsure, MeasureAgainRule, ReadingsDisagree, NotComparable, ReportOther,
}

// versions are those of the rules whose outcome for the same history has
// changed since they were first written; all others are of version 1.
//
// Version 2: a visit that is the reference itself is judged by the one before
// it; a sign of rubbing counts as a symptom; diabetes steps signs on the skin
// up; an acceptance leaves limits on that were set later, and those to skin.
//
// Version 3: what a client reported in the four weeks before counts as a symptom.
//
// Version 4 of volume-change and 3 of volume-unresolved: from three days with a
// volume on a change is judged by the course of all visits, not by two of them.
var versions = map[Rule]int{
	VolumeFast: 2, VolumeChange: 4, VolumeUnresolved: 3, ComfortDrop: 2, SockLayers: 2, SkinSign: 2,
	ClearanceBelow: 2, ClearanceUnsure: 2, AsBuiltDrop: 2,
}

// version returns the version of the rule.
func (r Rule) version() int { return max(1, versions[r]) }

// About is what a finding is about. It decides who may close it.
type About string

// What a finding can be about.
const (
	AboutSkin  About = "skin" // skin and safety
	AboutLimb  About = "limb" // limb and socket
	AboutCover About = "cover"
	AboutData  About = "data"
)

// ClosedBy returns who may close a finding about a.
func (a About) ClosedBy() Closer {
	if a == AboutSkin || a == AboutLimb {
		return Prosthetist
	}
	return Fitter
}

// Level is the urgency of a finding.
type Level string

// The levels, most urgent first: a person must act today, within days, at the
// next visit.
const (
	Now   Level = "now"
	Soon  Level = "soon"
	Watch Level = "watch"
)

// Levels lists the levels, most urgent first.
var Levels = []Level{Now, Soon, Watch}

// raised returns the next more urgent level.
func (l Level) raised() Level {
	if l == Watch {
		return Soon
	}
	return Now
}

// Closer is who may close a finding.
type Closer string

// Who may close a finding.
const (
	Fitter      Closer = "fitter"
	Prosthetist Closer = "prosthetist"
)

// Unit is the unit of a Value.
type Unit string

// The units of values.
const (
	MM      Unit = "mm"
	ML      Unit = "mL"
	Percent Unit = "%"
	Points  Unit = "points" // of a 0–10 rating
	Count   Unit = "count"
	Days    Unit = "days"

	PercentPerMonth Unit = "%/month" // of the reference volume
)

// Value is one figure of a finding. U is its standard uncertainty, Lo and Hi
// its central 95 % interval, each in the unit of the value and nil where there
// is none.
type Value struct {
	Name  string   `json:"name"` // a code, such as "gap" or "change"
	Value float64  `json:"value"`
	Unit  Unit     `json:"unit"`
	U     *float64 `json:"u,omitempty"`
	Lo    *float64 `json:"lo,omitempty"`
	Hi    *float64 `json:"hi,omitempty"`
}

// LimitUsed is the limit that a finding was judged by. Starting tells that
// nobody has set or confirmed it yet; By and On are empty then.
type LimitUsed struct {
	Value    float64       `json:"value"`
	Unit     Unit          `json:"unit"`
	By       string        `json:"by,omitempty"`
	On       quantity.Date `json:"on,omitempty"`
	Starting bool          `json:"starting,omitempty"` // a starting value that nobody set or confirmed
	Fixed    bool          `json:"fixed,omitempty"`    // of the rule itself, which nobody can set
}

// Finding is one claim with its evidence. It is stored as JSON and reads back
// equal. It rests on a visit or, with ReportID, on what a client reported.
//
// Place tells findings of one rule apart: a station or attachment id, a
// function check, a place on the skin, a body part; empty for the whole limb.
// Words holds codes for the sentence, such as "direction": "posterior"; the
// keys are listed where each rule is written. Three of its values are a person's
// own text: "name" of an attachment, "place" on the skin, "shoe".
type Finding struct {
	Rule           Rule       `json:"rule"`
	RuleVersion    int        `json:"rule_version"`
	About          About      `json:"about"`
	Level          Level      `json:"level"`
	Place          string     `json:"place,omitempty"`
	Values         []Value    `json:"values,omitempty"`
	Limit          *LimitUsed `json:"limit,omitempty"`
	LookFirst      []string   `json:"look_first,omitempty"` // codes, first thing first
	ClosedBy       Closer     `json:"closed_by"`
	VisitID        string     `json:"visit_id"`
	ReportID       string     `json:"report_id,omitempty"`        // the client's report that it rests on instead of a visit
	AgainstVisitID string     `json:"against_visit_id,omitempty"` // the visit that it was compared with
	// SigmasID names the uncertainties of the tape that its figures rest on, see
	// History; empty for the defaults, and where it rests on none.
	SigmasID string            `json:"sigmas_id,omitempty"`
	Words    map[string]string `json:"words,omitempty"`
}

// Value returns the named figure of the finding.
func (f Finding) Value(name string) (Value, bool) {
	for _, v := range f.Values {
		if v.Name == name {
			return v, true
		}
	}
	return Value{}, false
}

// RestsOnSigmas tells whether figures of the finding come from the tape with its
// uncertainties.
func (f Finding) RestsOnSigmas() bool {
	return slices.ContainsFunc(f.Values, func(v Value) bool { return slices.Contains(onSigmas, v.Name) })
}

// onSigmas are the figures that rest on the uncertainties of the tape.
var onSigmas = []string{"change", "room", "newest"}

// named puts the name of the uncertainties into the findings that rest on them.
func (h History) named(findings []Finding) []Finding {
	for i := range findings {
		if findings[i].RestsOnSigmas() {
			findings[i].SigmasID = h.SigmasID
		}
	}
	return findings
}

// ByDrop tells whether a gap is judged by its drop from the one accepted at
// delivery, and not by a limit: the limit of the finding is the accepted gap.
func (f Finding) ByDrop() bool {
	return f.Rule == AsBuiltDrop || f.Rule == ReportRub && f.Words["gap-state"] == gapDropped
}

// newFinding starts a finding about the visit; who closes it follows from what
// it is about.
func newFinding(v Visit, rule Rule, about About, level Level, place string) Finding {
	return Finding{
		Rule: rule, RuleVersion: rule.version(), About: about, Level: level, Place: place,
		ClosedBy: about.ClosedBy(), VisitID: v.ID,
	}
}

// say adds a word; an empty text is left out.
func (f *Finding) say(key, text string) {
	if text == "" {
		return
	}
	if f.Words == nil {
		f.Words = map[string]string{}
	}
	f.Words[key] = text
}

// add appends figures, leaving out any that is not finite: evidence must be
// storable, and a figure that can't be computed is no evidence.
func (f *Finding) add(values ...Value) {
	for _, v := range values {
		if finite(v.Value) && finitePointer(v.U) && finitePointer(v.Lo) && finitePointer(v.Hi) {
			f.Values = append(f.Values, v)
		}
	}
}

// exact is a figure without an uncertainty, such as a count.
func exact(name string, value float64, unit Unit) Value {
	return Value{Name: name, Value: value, Unit: unit}
}

// measured is a figure with its standard uncertainty.
func measured(name string, value, u float64, unit Unit) Value {
	return Value{Name: name, Value: value, Unit: unit, U: &u}
}

// estimated is a figure with its standard uncertainty and 95 % interval.
func estimated(name string, value, u, lo, hi float64, unit Unit) Value {
	return Value{Name: name, Value: value, Unit: unit, U: &u, Lo: &lo, Hi: &hi}
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

func finitePointer(x *float64) bool { return x == nil || finite(*x) }
