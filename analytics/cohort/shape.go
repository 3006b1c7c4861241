package cohort

import (
	"fmt"

	"fairlead/analytics/quantity"
)

// shape is the usual form of a limb of an adult, from which each invented limb
// departs a little. Girths run from the zero landmark to the inflection level
// in four equal steps, as parts of the first.
type shape struct {
	lengthMM    float64 // zero landmark to distal end
	endMM       float64 // inflection level to distal end
	girthMM     float64 // at the zero landmark
	along       [knots]float64
	riseMinutes float64 // until 95 % of the rise after doffing is over
}

// knots is the number of girths that fix a shape.
const knots = 5

// shapeOf returns the shape of a level of amputation. Lengths of transtibial
// and transfemoral limbs are the means of 93 and 62 limbs (Prosthet Orthot Int
// 1991:178–184); the minutes are 8 for a limb that rises like the transtibial
// ones (95 % within 8 min in 4 of 6, Zachariah et al., J Rehabil Res Dev
// 2004;41:683) and 30 for a thigh (Sci Rep 2021, s41598-021-91647-9). All else
// is invented. It panics on a level without a cone.
func shapeOf(level quantity.AmputationLevel) shape {
	const quick, slow = 8, 30
	switch level {
	case quantity.Transtibial:
		return shape{160, 30, 340, [knots]float64{1, 1.04, 1.00, 0.92, 0.82}, quick}
	case quantity.AnkleDisarticulation:
		return shape{330, 15, 345, [knots]float64{1, 1.06, 0.96, 0.80, 0.74}, quick}
	case quantity.KneeDisarticulation:
		return shape{390, 15, 550, [knots]float64{1, 0.94, 0.85, 0.77, 0.75}, slow}
	case quantity.Transfemoral:
		return shape{280, 40, 560, [knots]float64{1, 0.96, 0.89, 0.81, 0.73}, slow}
	case quantity.WristDisarticulation:
		return shape{240, 8, 262, [knots]float64{1, 1.01, 0.90, 0.76, 0.69}, quick}
	case quantity.Transradial:
		return shape{150, 20, 262, [knots]float64{1, 1.02, 0.97, 0.88, 0.79}, quick}
	case quantity.ElbowDisarticulation:
		return shape{290, 12, 310, [knots]float64{1, 0.98, 0.93, 0.88, 0.88}, quick}
	case quantity.Transhumeral:
		return shape{190, 25, 318, [knots]float64{1, 0.99, 0.95, 0.89, 0.81}, quick}
	}
	panic(fmt.Sprintf("cohort: a limb of level %q has no cone", string(level)))
}

// through returns the value at t (0 at the first knot, 1 at the last) of the
// polynomial of fourth degree through equally spaced knots (Lagrange's form).
func through(values [knots]float64, t float64) float64 {
	sum := 0.0
	for i, value := range values {
		for j := range values {
			if j != i {
				value *= (t*(knots-1) - float64(j)) / float64(i-j)
			}
		}
		sum += value
	}
	return sum
}
