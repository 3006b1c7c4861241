package assess

import (
	"fairlead/analytics/girth"
	"fairlead/analytics/quantity"
)

// dataFindings raises what is wrong with the readings themselves: a pair of
// passes that disagrees and has no third reading (row M1), one finding per body
// part, and a volume that has nothing to be compared with.
//
// Words: "part" of the body; "why" (a code of package volume) and "since" (date
// of the visit that it can't be compared with).
func dataFindings(h History, v Visit) []Finding {
	var findings []Finding
	for _, part := range []quantity.BodyPart{quantity.Residual, quantity.Sound} {
		profile := v.Residual.Profile
		if part == quantity.Sound {
			profile = v.Sound.Profile
		}
		if f, ok := disagreement(v, part, profile); ok {
			findings = append(findings, f)
		}
	}
	if change, reference, ok := h.VolumeChange(); ok && !change.Comparable {
		f := newFinding(v, NotComparable, AboutData, Watch, "")
		f.AgainstVisitID = reference.ID
		f.LookFirst = []string{LookSeries, LookMeasureAgain}
		f.say("why", change.Why.Code)
		f.say("since", string(reference.On))
		findings = append(findings, f)
	}
	return findings
}

// disagreement lists the levels of a profile that want a third reading: how
// many, then level and spread of each.
func disagreement(v Visit, part quantity.BodyPart, profile girth.Profile) (Finding, bool) {
	f := newFinding(v, ReadingsDisagree, AboutData, Watch, string(part))
	n := 0
	var levels []Value
	for _, at := range profile {
		if at.Reread {
			n++
			levels = append(levels, exact("level", at.LevelMM, MM), exact("spread", at.SpreadMM, MM))
		}
	}
	f.add(exact("levels", float64(n), Count))
	f.add(levels...)
	f.LookFirst = []string{LookMeasureAgain}
	f.say("part", string(part))
	return f, n > 0
}
