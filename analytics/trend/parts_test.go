package trend

import (
	"math"
	"testing"
)

// TestPartsAddUpToTheMixture: mean, SD and a probability from the parts alone.
func TestPartsAddUpToTheMixture(t *testing.T) {
	f, err := NewFilter(DefaultSettings())
	if err != nil {
		t.Fatal(err)
	}
	for _, weeks := range []float64{0, 11} {
		f.Reset(weeks)
		for i, ml := range []float64{1500, 1480, 1490, 1440, 1380} {
			if err := f.Add(Reading{Day: float64(40 * i), Value: ml, U: 22}); err != nil {
				t.Fatal(err)
			}
		}
		for _, days := range []float64{0, 90} {
			checkParts(t, f, days)
		}
	}
}

func checkParts(t *testing.T, f *Filter, days float64) {
	t.Helper()
	var weight, mean, square, below float64
	edge := 100 * math.Log(0.97)
	for _, p := range f.Parts(days) {
		weight += p.Weight
		mean += p.Weight * p.Mean
		square += p.Weight * (p.SD*p.SD + p.Mean*p.Mean)
		below += p.Weight * 0.5 * math.Erfc((p.Mean-edge)/p.SD/math.Sqrt2)
	}
	m := f.AfterDays(days)
	if math.Abs(weight-1) > 1e-9 || math.Abs(mean-m.Mean) > 1e-9 || math.Abs(math.Sqrt(square-mean*mean)-m.SD) > 1e-9 {
		t.Errorf("in %g days: weight %g, mean %g, SD %g, want 1, %+v", days, weight, mean, math.Sqrt(square-mean*mean), m)
	}
	if want := f.beyondAfter(days, edge, true); math.Abs(below-want) > 1e-9 {
		t.Errorf("in %g days: probability %g from the parts, want %g", days, below, want)
	}
}
