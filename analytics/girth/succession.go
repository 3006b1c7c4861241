package girth

import (
	"math"
	"slices"
)

// MixedUnits tells whether the girths of two visits of a limb can't be in one
// unit: their middle girths are 8 or more times apart, and centimetres are 10,
// inches 25.4 times off millimetres (common practice, no source). Neither
// profile may be empty.
func MixedUnits(a, b Profile) bool {
	ratio := middle(a.Girths()) / middle(b.Girths())
	return math.Max(ratio, 1/ratio) >= unitFactor
}

// ImplausibleLevels returns the levels in millimetres, ascending, at which both
// visits have a girth and the two differ by more than M6 allows for (see
// ImplausibleChange): a typing error there is likelier than biology.
func ImplausibleLevels(last, now Profile) []float64 {
	var levels []float64
	for _, at := range now {
		i := slices.IndexFunc(last, func(p Pooled) bool { return math.Abs(p.LevelMM-at.LevelMM) <= SameLevelMM })
		if i >= 0 && ImplausibleChange(last[i].GirthMM, at.GirthMM) {
			levels = append(levels, at.LevelMM)
		}
	}
	return levels
}

// middle returns the upper median.
func middle(girthsMM []float64) float64 {
	sorted := slices.Sorted(slices.Values(girthsMM))
	return sorted[len(sorted)/2]
}
