package cohort

import (
	"math"

	"fairlead/analytics/quantity"
)

// The least and the greatest count of levels of a plan, and the step in which
// their spacing is chosen.
const (
	fewestLevels  = 5
	mostLevels    = 8
	spacingStepMM = 5
)

// PlanLevels returns the levels in millimetres of a measuring plan by M4
// (published mean lengths, the rest common practice): every 40 mm on a thigh,
// 30 mm below the knee and 25 mm on an arm, from the landmark to the inflection
// level; closer on a short limb and wider on a long one, in steps of 5 mm, so
// that 5 to 8 levels fit. M4 allows 4, but on a short conical limb neighbours
// then differ by as much as M5 asks about.
func (l Limb) PlanLevels() []float64 {
	spacing := 30.0
	switch {
	case l.Level.Arm():
		spacing = 25
	case l.Level == quantity.Transfemoral || l.Level == quantity.KneeDisarticulation:
		spacing = 40
	}
	widest := spacingStepMM * math.Floor(l.InflectionMM/(fewestLevels-1)/spacingStepMM)
	closest := spacingStepMM * math.Ceil(l.InflectionMM/(mostLevels-1)/spacingStepMM)
	spacing = math.Max(math.Min(spacing, widest), closest)
	var levels []float64
	for level := 0.0; level <= l.InflectionMM; level += spacing {
		levels = append(levels, level)
	}
	return levels
}
