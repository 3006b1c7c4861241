package assess

import (
	"slices"
	"strings"
)

// fallFindings raises a fall or injury that was told at the newest visit: soon,
// to ask whether anything was hurt, because a fall with injury is for the same
// day (section 6.2 of the domain notes). It is for today at once with any sign
// on the skin, or with pain at worst up by two points (P1) since the last visit
// before that asked.
//
// Words: "with" (skin, pain, with commas) and "worst-pain-since" (date of the
// figure of pain then).
func fallFindings(h History, v Visit) []Finding {
	if !slices.Contains(v.Fluid, "recent-fall") {
		return nil
	}
	f := newFinding(v, RecentFall, AboutSkin, Soon, "")
	f.LookFirst = []string{LookInjury}
	var with []string
	if len(v.Skin) > 0 {
		with = append(with, "skin")
	}
	if before, ok := h.painBefore(); ok && v.WorstPain != nil && *v.WorstPain-*before.WorstPain >= WorthPoints {
		with = append(with, "pain")
		f.AgainstVisitID = before.ID
		f.add(exact("worst-pain-then", float64(*before.WorstPain), Points), exact("worst-pain-now", float64(*v.WorstPain), Points))
		f.say("worst-pain-since", string(before.On))
	}
	if len(with) > 0 {
		f.Level = Now
		f.LookFirst = []string{LookCallToday, LookInjury}
		f.say("with", strings.Join(with, ","))
	}
	return []Finding{f}
}

// painBefore returns the last visit before the newest that asked for pain.
func (h History) painBefore() (Visit, bool) {
	for _, v := range slices.Backward(h.earlier()) {
		if v.WorstPain != nil {
			return v, true
		}
	}
	return Visit{}, false
}
