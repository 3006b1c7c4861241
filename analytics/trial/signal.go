package trial

import (
	"math"

	"fairlead/analytics/cohort"
	"fairlead/analytics/detect"
)

// signal is what a rule says of one limb at each visit: how strongly it speaks
// for a loss and for a gain. The flag of a direction opens at a visit where its
// strength reaches a threshold.
type signal struct{ loss, gain []float64 }

// signed splits strengths that are below zero for a loss.
func signed(s []float64) signal {
	split := signal{make([]float64, len(s)), make([]float64, len(s))}
	for i, x := range s {
		split.loss[i], split.gain[i] = math.Max(-x, 0), math.Max(x, 0)
	}
	return split
}

// openings counts how often a flag opens, in either direction. A flag counts once
// when it opens, and again only after it has closed, which it does where the
// strength falls below closes times the threshold.
func (s signal) openings(threshold, closes float64) int {
	count := 0
	for _, strength := range [2][]float64{s.loss, s.gain} {
		open := false
		for _, x := range strength {
			switch {
			case x >= threshold && !open:
				open = true
				count++
			case x < closes*threshold:
				open = false
			}
		}
	}
	return count
}

// lost tells whether the rule speaks for a loss at any visit from first to last,
// both counted.
func (s signal) lost(first, last int, threshold float64) bool {
	for _, x := range s.loss[first : last+1] {
		if x >= threshold {
			return true
		}
	}
	return false
}

// rule turns a limb into a signal.
type rule func(cohort.Member) signal

// score makes rules out of the simple ones.
func score(simple func() detect.Rule) func() rule {
	return func() rule {
		r := simple()
		return func(m cohort.Member) signal {
			r.Reset()
			s := make([]float64, len(m.Rows))
			for i, row := range m.Rows {
				s[i], _ = r.Observe(detect.Reading{VolumeML: row.VolumeML, UML: row.UML})
			}
			return signed(s)
		}
	}
}
