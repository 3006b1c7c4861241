package server

import (
	"slices"
	"strconv"
	"strings"

	"fairlead/analytics/quantity"
)

// stepKind is one page of a check-in.
type stepKind string

// The pages of a check-in, in the order that the visit really takes.
const (
	talkStep     stepKind = "talk"          // what the client says, and the conditions
	socksStep    stepKind = "socks"         // socks, shoe and liner
	onStep       stepKind = "on"            // prosthesis on: checks, clearance walk, cover
	offStep      stepKind = "off"           // prosthesis off: the clock, the skin at once
	soundStep    stepKind = "sound"         // sound limb, during the wait; one page per pass
	residualStep stepKind = "residual"      // residual limb; one page per pass
	askStep      stepKind = "measure-again" // whether to measure the residual limb a second time
	secondStep   stepKind = "second"        // its second round; one page per pass
	againStep    stepKind = "again"         // skin again, and on again
	resultStep   stepKind = "result"        // check the answers, the result, save
)

// step is a page of one check-in: its kind, and the limb and the pass where it
// is about one.
type step struct {
	Kind stepKind
	Limb int // number of the limb, 0 for the whole visit
	Pass int
}

// slug is the step in an address: "residual-2" is its second pass; limbs after
// the first have their number in front, "2-residual-2".
func (s step) slug() string {
	slug := string(s.Kind)
	if s.Pass > 0 {
		slug += "-" + strconv.Itoa(s.Pass)
	}
	if s.Limb > 1 {
		slug = strconv.Itoa(s.Limb) + "-" + slug
	}
	return slug
}

// steps lists the pages of a check-in in order. A part that was left out for a
// reason on its first page has no further pages.
func (l checkinLayout) steps(typed map[string]string) []step {
	steps := []step{{Kind: talkStep}}
	each := func(add func(limbLayout) []step) {
		for _, limb := range l.Limbs {
			steps = append(steps, add(limb)...)
		}
	}
	one := func(kind stepKind) func(limbLayout) []step {
		return func(limb limbLayout) []step { return []step{{Kind: kind, Limb: limb.No}} }
	}
	each(one(socksStep))
	each(one(onStep))
	each(func(limb limbLayout) []step {
		steps := one(offStep)(limb)
		if limb.taped() && limb.Limb.OtherSideSound {
			steps = append(steps, limb.girthSteps(soundStep, quantity.Sound, typed)...)
		}
		if limb.taped() {
			steps = append(steps, limb.girthSteps(residualStep, quantity.Residual, typed)...)
			steps = append(steps, limb.secondSteps(typed)...)
		}
		return append(steps, one(againStep)(limb)...)
	})
	return append(steps, step{Kind: resultStep})
}

func (l limbLayout) girthSteps(kind stepKind, part quantity.BodyPart, typed map[string]string) []step {
	passes := l.passes()
	if typed[l.prefix()+notDoneField(part)] != "" && !l.anyReading(part, typed) {
		passes = 1
	}
	return l.passSteps(kind, passes)
}

func (l limbLayout) passSteps(kind stepKind, passes int) []step {
	steps := make([]step, passes)
	for i := range steps {
		steps[i] = step{Kind: kind, Limb: l.No, Pass: i + 1}
	}
	return steps
}

// anyReading tells whether a girth was typed for the body part.
func (l limbLayout) anyReading(part quantity.BodyPart, typed map[string]string) bool {
	for field, text := range typed {
		if strings.HasPrefix(field, l.prefix()+string(part)+".") && strings.TrimSpace(text) != "" {
			return true
		}
	}
	return false
}

// notDoneField is the field for why a body part was not taped.
func notDoneField(part quantity.BodyPart) string { return string(part) + "_not_done" }

// find returns the place of the step with a slug, or -1.
func find(steps []step, slug string) int {
	return slices.IndexFunc(steps, func(s step) bool { return s.slug() == slug })
}

// stepOf tells on which page a field is typed.
func (l checkinLayout) stepOf(field string) step {
	no, name := splitLimb(field)
	if no == 0 {
		if slices.Contains(resultFields, name) {
			return step{Kind: resultStep}
		}
		return step{Kind: talkStep}
	}
	head, _, _ := strings.Cut(name, ".")
	switch head {
	case "shoe", "liner", "liner_thickness", "sock", "socks_none", "socks_not_done":
		return step{Kind: socksStep, Limb: no}
	case "check", "station", "attachment", "function_not_done", "clearance_not_done", "walk":
		return step{Kind: onStep, Limb: no}
	case "again":
		return step{Kind: againStep, Limb: no}
	case "sound":
		return step{Kind: soundStep, Limb: no, Pass: l.passOf(no, name)}
	case "residual":
		return step{Kind: residualStep, Limb: no, Pass: l.passOf(no, name)}
	case "sound_not_done":
		return step{Kind: soundStep, Limb: no, Pass: 1}
	case string(secondRound):
		return step{Kind: secondStep, Limb: no, Pass: l.passOf(no, name)}
	case "second_reading":
		return step{Kind: secondStep, Limb: no, Pass: 1}
	case secondOpen, notDoneField(secondRound):
		return step{Kind: askStep, Limb: no}
	case "residual_not_done", "posture", "length":
		return step{Kind: residualStep, Limb: no, Pass: 1}
	}
	return step{Kind: offStep, Limb: no}
}

// resultFields are the fields of the last page.
var resultFields = []string{"next_on", "notes", "left_empty", "reason"}

// passOf is the page of a reading. The third reading that a pair apart asks for
// stands beside the pair.
func (l checkinLayout) passOf(no int, name string) int {
	pass, err := strconv.Atoi(name[strings.LastIndexByte(name, '.')+1:])
	if err != nil || no > len(l.Limbs) {
		return 1
	}
	return max(1, min(pass, l.Limbs[no-1].passes()))
}

// limb returns the layout of a step's limb.
func (l checkinLayout) limb(s step) (limbLayout, bool) {
	if s.Limb < 1 || s.Limb > len(l.Limbs) {
		return limbLayout{}, false
	}
	return l.Limbs[s.Limb-1], true
}
