package trend

import "math"

// Part is one explanation of the readings: a setting of the unknown variances and
// of the last reading, with how well it has foretold them.
type Part struct {
	Weight   float64 // all add up to 1
	Mean, SD float64 // of the change since the first reading, on the scale of the model
}

// Parts returns the explanations that the change is a mixture of, so many days
// after the last reading, so that its probabilities can be worked out again: that of
// a change below x is Σ weight · Φ((x − mean)/SD). Parts of no weight are left out.
func (f *Filter) Parts(days float64) []Part {
	var parts []Part
	e := f.ahead(days)
	for g := range f.points {
		t := f.points[g].over(&e, f.rises[f.points[g].shape])
		for k := range labels {
			if c := &f.mixture[labels*g+k]; c.weight >= negligible {
				mean, variance := f.changeAfter(c, &t)
				parts = append(parts, Part{c.weight, mean, math.Sqrt(math.Max(variance, 0))})
			}
		}
	}
	return parts
}

// Parts is Filter.Parts after the newest visit.
func (r *Result) Parts(days float64) []Part { return r.filter.Parts(days) }
