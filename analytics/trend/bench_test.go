package trend

import (
	"math"
	"testing"

	"fairlead/analytics/quantity"
)

// longSeries is an invented limb of n visits every ten days, with a slow loss,
// a season and a scatter that a sine stands in for.
func longSeries(n int) []Visit {
	visits := make([]Visit, n)
	for i := range visits {
		x := float64(i)
		y := -3*math.Log1p(x/20) + 0.5*math.Sin(x/6) + 1.4*math.Sin(12.9898*x)
		v := 1200 * math.Exp(y/100)
		visits[i] = Visit{Date: quantity.Date("2018-01-08").AddDays(10 * i), VolumeML: v, UML: 0.015 * v}
	}
	return visits
}

func benchmarkRun(b *testing.B, weeks float64) {
	visits := longSeries(200)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Run(visits, Options{WeeksSinceAmputation: weeks, LimitPercent: -25}); err != nil {
			b.Fatal(err)
		}
	}
}

// The bars for trend and forecast of 200 visits are 2 ms and 5 ms.
func BenchmarkRun200Mature(b *testing.B) { benchmarkRun(b, 0) }
func BenchmarkRun200Early(b *testing.B)  { benchmarkRun(b, 11) }

// What the cohort does at each visit.
func BenchmarkFilterAddAndAsk(b *testing.B) {
	readings, _, err := inOrder(longSeries(24))
	if err != nil {
		b.Fatal(err)
	}
	f := mustFilter(b, DefaultSettings())
	b.ReportAllocs()
	for b.Loop() {
		f.Reset(0)
		for _, r := range readings {
			if err := f.Add(r); err != nil {
				b.Fatal(err)
			}
			f.StateNow()
			f.Crossing(-5)
		}
	}
}
