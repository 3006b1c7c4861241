package detect

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// scores runs volumes of 1.5 % uncertainty through a rule.
func scores(r Rule, volumes ...float64) (scores []float64, out []bool) {
	for _, v := range volumes {
		s, o := r.Observe(Reading{VolumeML: v, UML: 0.015 * v})
		scores, out = append(scores, s), append(out, o)
	}
	return scores, out
}

func TestRulesFlagWhatIsBeyondTheirThreshold(t *testing.T) {
	cases := []struct {
		name    string
		rule    Rule
		volumes []float64
		out     []bool
	}{
		{"fixed percent, either side", &FixedPercent{Threshold: 5}, []float64{1000, 950, 949, 1051, 1000}, []bool{false, false, true, true, false}},
		{"twice needs two in a row", &Twice{Of: &FixedPercent{}, Threshold: 5}, []float64{1000, 940, 1000, 940, 930}, []bool{false, false, false, false, true}},
		{"twice needs the same side", &Twice{Of: &FixedPercent{}, Threshold: 5}, []float64{1000, 940, 1060, 1060}, []bool{false, false, false, true}},
		{"z of one visit is MDC95 at 1.96", &Z{Threshold: 1.96}, []float64{1000, 960, 958}, []bool{false, false, true}},
		{"z with a longer base", &Z{Threshold: 1.96, BaseVisits: 3}, []float64{1000, 990, 1010, 967, 965}, []bool{false, false, false, false, true}},
		{"EWMA gathers", &EWMA{Threshold: 2.7, Lambda: 0.3}, []float64{1000, 970, 970, 970, 970}, []bool{false, false, true, true, true}},
		{"CUSUM gathers", &CUSUM{Threshold: 4, K: 0.5}, []float64{1000, 970, 970, 970, 970}, []bool{false, false, false, true, true}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			first, out := scores(c.rule, c.volumes...)
			if !slices.Equal(out, c.out) {
				t.Errorf("out %v, want %v (scores %.3g)", out, c.out, first)
			}
			c.rule.Reset()
			if again, _ := scores(c.rule, c.volumes...); !slices.Equal(again, first) {
				t.Errorf("after Reset %v, before %v", again, first)
			}
		})
	}
}

// 100 ln(0.958) over √2 · 1.5 %, with 0.8 % from day to day beside it.
func TestZFigure(t *testing.T) {
	plain, _ := scores(&Z{}, 1000, 958)
	near(t, "z", plain[1], 100*math.Log(0.958)/(1.5*math.Sqrt2), 1e-9)
	daily, _ := scores(&Z{DayToDayPercent: 0.8}, 1000, 958)
	near(t, "z with the day", daily[1], 100*math.Log(0.958)/(1.7*math.Sqrt2), 1e-9)
	based, _ := scores(&Z{BaseVisits: 4}, 1000, 1000, 1000, 1000, 958)
	near(t, "z on four visits", based[4], 100*math.Log(0.958)/(1.5*math.Sqrt(1.25)), 1e-9)
}

// Whatever comes, a score is finite; a threshold never changes it; and where
// the log-percent counts, volumes on another scale give the same.
func TestRuleLaws(t *testing.T) {
	for _, named := range Rules() {
		t.Run(named.Name, func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				odd := rapid.SampledFrom([]float64{0, -1, math.NaN(), math.Inf(1), math.Inf(-1), math.MaxFloat64, 5e-324})
				volume := rapid.OneOf(rapid.Float64Range(1, 5000), odd)
				low, high, scaled := named.New(1), named.New(100), named.New(1)
				for range rapid.IntRange(1, 12).Draw(t, "visits") {
					v := Reading{VolumeML: volume.Draw(t, "volume"), UML: volume.Draw(t, "u")}
					score, out := low.Observe(v)
					if math.IsNaN(score) || math.IsInf(score, 0) {
						t.Fatalf("%+v scores %g", v, score)
					}
					if out != (math.Abs(score) > 1) {
						t.Fatalf("score %g is out: %v", score, out)
					}
					if other, _ := high.Observe(v); other != score {
						t.Fatalf("score %g at threshold 1, %g at 100", score, other)
					}
					twice, _ := scaled.Observe(Reading{VolumeML: 2 * v.VolumeML, UML: 2 * v.UML})
					if ordinary(v) && math.Abs(twice-score) > 1e-9*math.Max(1, math.Abs(score)) {
						t.Fatalf("%+v scores %g, twice as much %g", v, score, twice)
					}
					if !ordinary(v) {
						scaled = named.New(1)
						low, high = named.New(1), named.New(100)
					}
				}
			})
		})
	}
}

// ordinary tells whether doubling a reading keeps all its figures.
func ordinary(v Reading) bool {
	return v.VolumeML >= 1 && v.VolumeML <= 5000 && v.UML >= 1 && v.UML <= 5000
}

func TestRulesDoNotAllocate(t *testing.T) {
	for _, named := range Rules() {
		rule := named.New(3)
		v := Reading{VolumeML: 1000, UML: 15}
		if n := testing.AllocsPerRun(100, func() { rule.Observe(v) }); n != 0 {
			t.Errorf("%s: %g allocations for a visit", named.Name, n)
		}
	}
}
