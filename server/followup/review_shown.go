package followup

import (
	"maps"
	"slices"
	"strconv"
	"strings"

	"fairlead/models"
)

// Shown is the fingerprint of what a page showed: each thing with its version.
// What a person signs must still be as it was shown to them.
type Shown map[string]int

// The kinds of thing that a review shows. Those with an id stand as kind:id.
const (
	ShownCheckin    = "checkin"
	ShownFlag       = "flag"
	ShownSteps      = "steps" // how many things were done about an open flag
	ShownClient     = "client"
	ShownReport     = "report"
	ShownEvent      = "event"
	ShownCover      = "cover"
	ShownProsthesis = "prosthesis"
	ShownLimits     = "limits"
	ShownReview     = "review"
	ShownPlan       = "plan"
	ShownLimb       = "limb"
	ShownLetter     = "letter" // with decisions
)

// Shown is the fingerprint of what there is to review.
func (b ReviewBasis) Shown() Shown {
	shown := Shown{
		ShownLimits: len(b.Limb.Limits), ShownReview: 0, ShownPlan: len(b.Limb.Plans), ShownLimb: b.Limb.Limb.Version,
		ShownClient: b.Record.Client.Version,
	}
	if last := b.Last(); last != nil {
		shown[ShownReview] = last.Number
	}
	for _, v := range b.Limb.Visits {
		shown[ShownCheckin+":"+v.Checkin.ID] = v.Checkin.Number
	}
	for _, f := range b.Flags {
		shown[ShownFlag+":"+f.ID] = f.Version
		if n := len(StepsThatTell(f)); n > 0 && f.ClosedAt == nil {
			shown[ShownSteps+":"+f.ID] = n
		}
	}
	for _, r := range b.Reports {
		shown[ShownReport+":"+r.ID] = 1
	}
	for _, a := range b.Letters {
		shown[ShownLetter+":"+a.ID] = 1
	}
	for _, e := range b.Limb.Events {
		shown[ShownEvent+":"+e.ID] = 1
	}
	if p := b.Limb.Prosthesis; p != nil {
		shown[ShownProsthesis+":"+p.ID] = p.Version
	}
	if c := b.Limb.Cover; c != nil {
		shown[ShownCover+":"+c.ID] = c.Version
	}
	return shown
}

// StepsThatTell are the steps of a flag, oldest first, that a signature must not
// overlook, such as a call or an answer. That somebody has seen the flag is none,
// and a review shows itself.
func StepsThatTell(f models.Flag) []models.FlagStep {
	return slices.DeleteFunc(slices.Clone(f.Steps), func(s models.FlagStep) bool {
		return s.Kind == models.StepSeen || s.Kind == models.StepReviewed
	})
}

// String is the fingerprint as a form carries it, read back by ParseShown.
func (s Shown) String() string {
	parts := make([]string, 0, len(s))
	for _, thing := range slices.Sorted(maps.Keys(s)) {
		parts = append(parts, thing+"="+strconv.Itoa(s[thing]))
	}
	return strings.Join(parts, " ")
}

// ParseShown reads what String wrote. Whatever it can't read is left out, so that
// it counts as not shown.
func ParseShown(text string) Shown {
	shown := Shown{}
	for _, part := range strings.Fields(text) {
		thing, version, _ := strings.Cut(part, "=")
		if n, err := strconv.Atoi(version); err == nil {
			shown[thing] = n
		}
	}
	return shown
}

// Thing is one thing that differs from what was shown.
type Thing struct {
	Kind, ID string // ID is empty for what a limb has one of
	New      bool   // it was not there at all
	Gone     bool   // it was there and is not any more
}

// Against lists, in a steady order, what is in s and was not shown as it is now,
// and what was shown and is no longer there. Nothing means that the page still
// shows what is.
func (s Shown) Against(shown Shown) []Thing {
	var differs []Thing
	add := func(key string, isNew, gone bool) {
		kind, id, _ := strings.Cut(key, ":")
		differs = append(differs, Thing{Kind: kind, ID: id, New: isNew, Gone: gone})
	}
	for _, key := range slices.Sorted(maps.Keys(s)) {
		if version, was := shown[key]; !was || version != s[key] {
			add(key, !was, false)
		}
	}
	for _, key := range slices.Sorted(maps.Keys(shown)) {
		if _, is := s[key]; !is {
			add(key, false, true)
		}
	}
	return differs
}
