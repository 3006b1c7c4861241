package trial

import (
	"fairlead/analytics/cohort"
	"fairlead/analytics/trend"
)

// SteadyVisits are the visits at which it is counted to which limbs the verdict
// steady is given.
var SteadyVisits = [...]int{6, 8, 12}

// Steadiness is the share of limbs that are called steady at each of
// SteadyVisits: of those that are, and of those that lose 1 % a month.
type Steadiness struct {
	Rightly, Wrongly [len(SteadyVisits)]share
}

// countSteady counts one limb in a row of Steadiness.
func countSteady(counts *[len(SteadyVisits)]share, steady []bool) {
	for i, visit := range SteadyVisits {
		if visit <= len(steady) {
			counts[i].count(steady[visit-1])
		}
	}
}

// steadyAt tells at each visit whether a limb is called steady.
func (f *follower) steadyAt(m cohort.Member) []bool {
	f.begin(m)
	steady := make([]bool, len(m.Rows))
	for i, row := range m.Rows[:min(len(m.Rows), SteadyVisits[len(SteadyVisits)-1])] {
		f.add(row)
		steady[i] = f.settings.SteadyAfter(f.readings, f.filter.Slope()).Verdict == trend.Steady
	}
	return steady
}

func (s *Steadiness) add(t Steadiness) {
	for i := range SteadyVisits {
		s.Rightly[i].add(t.Rightly[i])
		s.Wrongly[i].add(t.Wrongly[i])
	}
}
