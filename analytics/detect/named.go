package detect

// Named is a rule with the name it is compared under.
type Named struct {
	Name string
	New  func(threshold float64) Rule
}

// dayToDayPercent is the usual day-to-day deviation of a limb's volume, the
// median of the simulated limbs.
const dayToDayPercent = 0.8

// manyVisits is how many visits make up a longer base.
const manyVisits = 3

// Rules returns the rules of a comparison, each for a limb of its own once New
// has made one. λ and K are those that found most slow losses on clean
// simulated limbs among λ 0.2–0.7 and K 0.5–1.5.
func Rules() []Named {
	const lambda, k = 0.7, 1.5
	return []Named{
		{"fixed percent", func(t float64) Rule { return &FixedPercent{Threshold: t} }},
		{"fixed percent twice", func(t float64) Rule { return &Twice{Of: &FixedPercent{}, Threshold: t} }},
		{"one-visit z", func(t float64) Rule { return &Z{Threshold: t, DayToDayPercent: dayToDayPercent} }},
		{"two-visit z", func(t float64) Rule {
			return &Twice{Of: &Z{DayToDayPercent: dayToDayPercent}, Threshold: t}
		}},
		{"EWMA", func(t float64) Rule {
			return &EWMA{Threshold: t, Lambda: lambda, DayToDayPercent: dayToDayPercent}
		}},
		{"EWMA, three visits as base", func(t float64) Rule {
			return &EWMA{Threshold: t, Lambda: lambda, DayToDayPercent: dayToDayPercent, BaseVisits: manyVisits}
		}},
		{"CUSUM", func(t float64) Rule {
			return &CUSUM{Threshold: t, K: k, DayToDayPercent: dayToDayPercent}
		}},
		{"CUSUM, three visits as base", func(t float64) Rule {
			return &CUSUM{Threshold: t, K: k, DayToDayPercent: dayToDayPercent, BaseVisits: manyVisits}
		}},
	}
}
