package assess

import (
	"cmp"
	"slices"
	"strings"
)

// answerNo is the answer to a function check that stops the use of a cover.
const answerNo = "no"

// functionFindings raises every function check answered no: the cover stays off
// until the prosthetist has looked. Place is the check.
func functionFindings(v Visit) []Finding {
	var findings []Finding
	for _, f := range v.Functions {
		if f.Answer != answerNo {
			continue
		}
		finding := newFinding(v, FunctionNo, AboutSkin, Now, f.Check)
		finding.LookFirst = []string{LookCoverOff}
		finding.say("check", f.Check)
		findings = append(findings, finding)
	}
	return findings
}

// rubMark is the sign that counts by being seen twice.
const rubMark = "rub-mark"

// skinLevels is the urgency of each sign (section 6.2 of the domain notes). Same
// day: open sore or blister, pus, colour change, swelling (patient leaflets).
// Soon: redness that stays, new lump or thick skin; a rub mark when it is seen
// twice in the same place. A rash, and what is not on the list, is soon because
// any minor irritation is to be dealt with early (Levy, Artificial Limbs
// 1956;3(1):20–35). The fitter records what is seen and stages nothing.
var skinLevels = map[string]Level{
	"open-sore":     Now,
	"blister":       Now,
	"discharge":     Now,
	"colour-change": Now,
	"swelling":      Now,
	"redness-stays": Soon,
	"lump":          Soon,
	"callus":        Soon,
	"warty-end":     Soon,
	"rash":          Soon,
	"other":         Soon,
	rubMark:         Watch,
	"redness-fades": Watch,
}

// skinFindings raises the signs seen on the skin, one finding per place with
// the most urgent of its signs. Words: "place", "sign" (the most urgent),
// "signs" (all, with commas), "seen-before" when that sign was there at an
// earlier visit, and "reduced-feeling" or "diabetes" when the level is one step
// more urgent than that of the sign for this reason: with either, sores are
// missed. It is one step for both, and none above now.
func skinFindings(h History, v Visit) []Finding {
	signsAt := map[string][]string{}
	textOf := map[string]string{}
	for _, s := range v.Skin {
		place := placeKey(s.Place)
		signsAt[place] = append(signsAt[place], s.Sign)
		if text := textOf[place]; text == "" || s.Place < text {
			textOf[place] = s.Place
		}
	}
	var findings []Finding
	for place, signs := range signsAt {
		finding := newFinding(v, SkinSign, AboutSkin, Watch, place)
		finding.skin(h, signs)
		finding.say("place", strings.TrimSpace(textOf[place]))
		if h.seenBefore(finding.Words["sign"], place) {
			finding.say("seen-before", "yes")
		}
		findings = append(findings, finding)
	}
	return findings
}

// skin sets the level of a finding by the most urgent of the signs at its place,
// with the step up, and says the signs.
func (f *Finding) skin(h History, signs []string) {
	signs = slices.Clone(signs)
	slices.SortFunc(signs, func(a, b string) int {
		return cmp.Or(
			cmp.Compare(slices.Index(Levels, h.signLevel(a, f.Place)), slices.Index(Levels, h.signLevel(b, f.Place))),
			cmp.Compare(a, b),
		)
	})
	signs = slices.Compact(signs)
	f.Level = h.signLevel(signs[0], f.Place)
	if reason := h.stepsUp(); reason != "" && f.Level != Now {
		f.Level = f.Level.raised()
		f.say(reason, "yes")
	}
	f.LookFirst = []string{LookWherePressed}
	if f.Level == Now {
		f.LookFirst = []string{LookCallToday, LookWherePressed}
	}
	f.say("sign", signs[0])
	f.say("signs", strings.Join(signs, ","))
}

// stepsUp returns why signs on the skin are one step more urgent on this limb,
// or nothing. Diabetes that was told at any visit so far lasts.
func (h History) stepsUp() string {
	switch {
	case h.Limb.ReducedFeeling:
		return "reduced-feeling"
	case slices.ContainsFunc(h.Visits, func(v Visit) bool { return slices.Contains(v.Fluid, "diabetes") }):
		return "diabetes"
	}
	return ""
}

// signLevel returns the urgency of a sign at a place, before any step up.
// A sign that is not on the list counts as "other".
func (h History) signLevel(sign, place string) Level {
	level, known := skinLevels[sign]
	if !known {
		level = skinLevels["other"]
	}
	if sign == rubMark && h.seenBefore(sign, place) {
		level = Soon
	}
	return level
}

// seenBefore tells whether the sign was at the place at an earlier visit.
func (h History) seenBefore(sign, place string) bool {
	for _, v := range h.earlier() {
		for _, s := range v.Skin {
			if s.Sign == sign && placeKey(s.Place) == place {
				return true
			}
		}
	}
	return false
}

// placeKey makes two ways of writing one place equal.
func placeKey(place string) string { return strings.ToLower(strings.Join(strings.Fields(place), " ")) }
