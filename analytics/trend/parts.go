package trend

import "math"

// Part is one explanation of the readings: a setting of the unknown variances and
// of the last reading, with how well it has foretold them.
type Part struct {
	Weight   float64 // all add up to 1
	Mean, SD float64 // of the change since the first reading, on the scale of the model
}

// Parts returns the explanations that the change is a mixture of, so that its
// probabilities can be worked out again: that of a change beyond x is Σ weight ·
// Φ((mean − x)/SD). Parts of no weight are left out.
func (f *Filter) Parts() []Part {
	var parts []Part
	for i := range f.mixture[:labels*len(f.points)] {
		if c := &f.mixture[i]; c.weight >= negligible {
			parts = append(parts, Part{c.weight, c.mean[change], math.Sqrt(math.Max(c.cov[c00], 0))})
		}
	}
	return parts
}
