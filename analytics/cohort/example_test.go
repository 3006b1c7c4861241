package cohort_test

import (
	"fmt"

	"fairlead/analytics/cohort"
	"fairlead/analytics/girth"
	"fairlead/analytics/quantity"
	"fairlead/analytics/volume"
)

// A transtibial limb that loses 1 % a month, taped at delivery and a year later.
func Example() {
	rng := cohort.NewRand(1)
	limb := cohort.NewLimb(rng, quantity.Transtibial, 1)
	course := cohort.Course{Kind: cohort.SlowLoss, Percent: 1}
	levels := girth.ProposeLevels(limb.Level, limb.InflectionMM)

	visit := func(day float64) volume.Visit {
		profile, err := girth.Pool(cohort.DefaultTape.Read(rng, limb, course.FactorAt(day), levels, 2))
		if err != nil {
			panic(err)
		}
		return volume.Visit{Profile: profile, Series: volume.Series{Device: "tape"}, Fitter: "a"}
	}
	change := volume.Compare(visit(0), visit(365), volume.DefaultSigmas)
	truth := 100 * (course.FactorAt(365) - 1)
	fmt.Printf("true change %.0f %%, found: %s\n", truth, change.Verdict)
	// Output:
	// true change -11 %, found: smaller
}
