package girth

import (
	"math"

	"fairlead/analytics/quantity"
)

// How many levels a proposed plan has, and the step in millimetres to which its
// spacing is rounded, so that it can be marked with a ruler.
const (
	fewestPlanned = 4
	mostPlanned   = 8
	spacingStepMM = 5.0
)

// ProposeLevels returns the levels of a first measuring plan, in millimetres
// distal to the landmark and ascending from it, for a limb that is lengthMM
// long from the landmark to the inflection level or, where that is not known,
// to the distal end. With no known length (0 or less, NaN) it takes the mean
// lengths of Prosthet Orthot Int 1991:178–184, 160 mm below and 280 mm above
// the knee, and 200 mm for an arm (common practice, no source).
//
// The spacing is the default M4: 30 mm transtibial, 40 mm transfemoral, 25 mm on
// a forearm and 30 mm on an upper arm, closer on short limbs and wider on long
// ones so that 4 to 8 levels fit. Below 35 mm not even four levels 10 mm apart
// fit; what fits comes back, and two levels at least. A level of amputation
// without a cone has no plan: nil.
func ProposeLevels(level quantity.AmputationLevel, lengthMM float64) []float64 {
	spacing, usual := usualSpacing(level)
	if spacing == 0 {
		return nil
	}
	if !(lengthMM > 0) || math.IsInf(lengthMM, 1) {
		lengthMM = usual
	}
	if lengthMM < spacing*(fewestPlanned-1) {
		spacing = math.Floor(lengthMM/(fewestPlanned-1)/spacingStepMM) * spacingStepMM
	}
	if lengthMM >= spacing*mostPlanned {
		spacing = math.Floor(lengthMM/mostPlanned/spacingStepMM)*spacingStepMM + spacingStepMM
	}
	spacing = math.Max(spacing, 2*spacingStepMM)
	count := max(int(lengthMM/spacing)+1, 2)
	levels := make([]float64, count)
	for i := range levels {
		levels[i] = float64(i) * spacing
	}
	return levels
}

// usualSpacing returns the spacing of M4 and the length that is taken when none
// is known, both in millimetres; zeros for a level of amputation without a cone.
func usualSpacing(level quantity.AmputationLevel) (spacingMM, lengthMM float64) {
	switch level {
	case quantity.Transtibial, quantity.AnkleDisarticulation:
		return 30, 160
	case quantity.Transfemoral, quantity.KneeDisarticulation:
		return 40, 280
	case quantity.Transradial, quantity.WristDisarticulation:
		return 25, 200
	case quantity.Transhumeral, quantity.ElbowDisarticulation:
		return 30, 200
	}
	return 0, 0
}
