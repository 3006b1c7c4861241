package cohort

import (
	"math"
	"math/rand/v2"
)

// Gap is the true course of the clearance at one station of a cover, in
// millimetres and days from delivery. It follows nothing but itself: a cover
// does not close on a socket because a limb shrinks.
type Gap struct {
	AsBuiltMM         float64
	ClosingMMPerMonth float64 // from the first day on
	DropMM            float64 // lost at once on DropDay, as after a part was changed
	DropDay           float64
}

// TrueMM returns the true gap in millimetres after so many days; 0 is a touch.
func (g Gap) TrueMM(days float64) float64 {
	gap := g.AsBuiltMM - g.ClosingMMPerMonth*math.Max(days, 0)/monthDays
	if days >= g.DropDay {
		gap -= g.DropMM
	}
	return math.Max(gap, 0)
}

// FeelerSigmaMM is K7, the standard deviation of a gap read with a feeler
// (common practice, no source).
const FeelerSigmaMM = 0.5

// Feel reads a true gap in millimetres with a feeler, to 0.1 mm and never below
// 0. A touch is seen as one, whatever the feeler says: it reads 0.
func Feel(rng *rand.Rand, trueMM float64) float64 {
	read := math.Round(10*(trueMM+FeelerSigmaMM*rng.NormFloat64())) / 10
	if trueMM <= 0 {
		return 0
	}
	return math.Max(read, 0)
}
