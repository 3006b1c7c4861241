package clearance

import (
	"math"
	"slices"

	"fairlead/analytics/quantity"
)

// OneSided is the standard normal quantile of 95 %, for a limit that is judged
// from one side.
const OneSided = 1.645

// State is what a gap says against its limits.
type State string

// The states of a gap, from the best to the worst.
const (
	Clear     State = "clear"      // above its warn limit, beyond error
	Unsure    State = "unsure"     // can't be shown to be above the warn limit
	BelowWarn State = "below-warn" // below the warn limit, beyond error
	BelowAct  State = "below-act"  // below the act limit, beyond error
	Touching  State = "touching"   // no gap at all
)

// States lists the states from the best to the worst.
var States = []State{Clear, Unsure, BelowWarn, BelowAct, Touching}

// Worse tells whether s is worse than t.
func (s State) Worse(t State) bool { return slices.Index(States, s) > slices.Index(States, t) }

// Judge compares a gap and its standard uncertainty, both in mm, with limits.
// A gap is below a limit when gap + 1.645·σ < limit, and can't be shown to be
// above it when gap − 1.645·σ < limit (domain notes section 8; one-sided 95 %).
// A gap of zero or less touches whatever its error.
func Judge(gapMM, sigmaMM float64, l Limits) State {
	margin := OneSided * sigmaMM
	switch {
	case gapMM <= 0:
		return Touching
	case gapMM+margin < l.ActMM:
		return BelowAct
	case gapMM+margin < l.WarnMM:
		return BelowWarn
	case gapMM-margin >= l.WarnMM:
		return Clear
	}
	return Unsure // also for a gap or an error that is not a number
}

// Reading is one gap in mm and the way it was read.
type Reading struct {
	GapMM  float64
	Method quantity.ClearanceMethod
}

// PoolReadings returns the mean of readings of one station at one visit in mm
// and its standard uncertainty, the readings' own errors taken as independent:
// u = √(Σσ²)/n. Readings that are not finite are left out; ok is false when
// none remains. The result does not depend on the order of the readings.
func PoolReadings(readings []Reading) (gapMM, uMM float64, ok bool) {
	var gaps []float64
	var variances []float64
	for _, r := range readings {
		if math.IsNaN(r.GapMM) || math.IsInf(r.GapMM, 0) {
			continue
		}
		sigma := GapSigmaMM(r.Method)
		gaps = append(gaps, r.GapMM)
		variances = append(variances, sigma*sigma)
	}
	if len(gaps) == 0 {
		return 0, 0, false
	}
	n := float64(len(gaps))
	return ascendingSum(gaps) / n, math.Sqrt(ascendingSum(variances)) / n, true
}

// ascendingSum adds in ascending order, so that equal sets give equal sums.
func ascendingSum(xs []float64) float64 {
	slices.Sort(xs)
	sum := 0.0
	for _, x := range xs {
		sum += x
	}
	return sum
}

// MeanGap returns the mean radial gap in mm between an outer and an inner girth
// at one level, (C_out − C_in)/2π, and its standard uncertainty from those of
// the girths, all in mm. It is a mean: a side that touches can hide behind one
// that gapes, so it never stands in for a reading at a station.
func MeanGap(outerGirthMM, uOuterMM, innerGirthMM, uInnerMM float64) (gapMM, uMM float64) {
	return (outerGirthMM - innerGirthMM) / (2 * math.Pi), math.Hypot(uOuterMM, uInnerMM) / (2 * math.Pi)
}

// DropFromAsBuilt compares a gap with the one accepted at delivery, both with
// their standard uncertainty in mm. The drop is positive when the gap has
// closed; it is beyond error when drop > 1.645·u with u = √(u₁² + u₂²), which
// is σ√2 for two readings of the same kind.
func DropFromAsBuilt(asBuiltMM, uAsBuiltMM, gapMM, uGapMM float64) (dropMM, uMM float64, beyond bool) {
	dropMM, uMM = asBuiltMM-gapMM, math.Hypot(uAsBuiltMM, uGapMM)
	return dropMM, uMM, dropMM > OneSided*uMM
}
