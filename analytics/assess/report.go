package assess

import (
	"slices"

	"fairlead/analytics/quantity"
)

// Report is what a client said of one limb, in the codes of the record. Nobody
// has confirmed who sent it, and it measures nothing.
type Report struct {
	ID           string
	On           quantity.Date // the day on which it was sent
	SideUnsaid   bool          // the client has several limbs and did not say which
	Safety       []string      // what was ticked on the safety page
	CannotPhone  bool
	What         []string
	Areas        []string // segment.direction, as in quantity.Areas
	Bother       *int     // 0–10
	Comfort      *int     // average of the last 7 days, 0–10
	WorstComfort *int
	WorstPain    *int
	Looseness    *int // −5 too loose … 0 … +5 too tight
	Skin         []string
}

// AssessReport returns what a client's report says beside the history of the
// limb, most urgent first, one finding per rule and place. It is never empty:
// what no other rule speaks of is to be read and answered. The safety page
// comes first and looks at nothing else, so that nothing missing or wrong in the
// history can hold it up. No measurement is made of a report, and none is
// changed.
func AssessReport(h History, r Report) []Finding {
	findings := reportSafety(r)
	findings = append(findings, reportSkin(h, r)...)
	findings = append(findings, reportFit(h, r)...)
	findings = append(findings, reportComfort(h, r)...)
	findings = append(findings, reportDamage(r)...)
	findings = append(findings, reportRub(h, r)...)
	if len(findings) == 0 {
		f := newReportFinding(r, ReportOther, AboutData, Soon, "")
		f.LookFirst = []string{LookReadReport}
		findings = append(findings, f)
	}
	return h.named(mostUrgentFirst(findings))
}

// newReportFinding starts a finding that rests on a report. Words: "reported-on"
// (date), and "side-unsaid" when the client has several limbs and did not say
// which one is meant.
func newReportFinding(r Report, rule Rule, about About, level Level, place string) Finding {
	f := newFinding(Visit{}, rule, about, level, place)
	f.ReportID = r.ID
	f.say("reported-on", string(r.On))
	if r.SideUnsaid {
		f.say("side-unsaid", "yes")
	}
	return f
}

// says tells whether one of the words was chosen for what the report is about.
func (r Report) says(words ...string) bool {
	return slices.ContainsFunc(r.What, func(what string) bool { return slices.Contains(words, what) })
}

// mostPlaces is how many places of the body map are told apart. Somebody who
// points at more means the whole: one thing to look at, and not one for each.
const mostPlaces = 4

// places are what the findings of a report are about: the area and the name of
// each, which is empty for the whole.
func (r Report) places() map[string][]string {
	areas := slices.Clone(r.Areas)
	slices.Sort(areas)
	areas = slices.Compact(areas)
	if len(areas) == 0 || len(areas) > mostPlaces {
		return map[string][]string{"": areas}
	}
	places := map[string][]string{}
	for _, area := range areas {
		places[area] = []string{area}
	}
	return places
}
