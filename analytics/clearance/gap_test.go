package clearance

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"fairlead/analytics/quantity"
)

// The rule is that of section 8 of the domain notes; the figures follow from
// 1.645·0.5 = 0.8225 mm.
func TestJudge(t *testing.T) {
	socket := StartingLimits(quantity.SocketWall) // 3, 2
	skin := StartingLimits(quantity.SkinSurface)  // 10, 0
	tests := []struct {
		name       string
		gap, sigma float64
		limits     Limits
		want       State
	}{
		{"well above", 5, 0.5, socket, Clear},
		{"just above beyond error", 3.83, 0.5, socket, Clear},
		{"above, inside error", 3.8, 0.5, socket, Unsure},
		{"below, inside error", 2.2, 0.5, socket, Unsure},
		{"one reading of 2.4 can't tell", 2.4, 0.5, socket, Unsure},
		{"two readings of 2.4 can", 2.4, 0.5 / math.Sqrt2, socket, BelowWarn},
		{"below warn beyond error", 2.17, 0.5, socket, BelowWarn},
		{"below act inside error", 1.2, 0.5, socket, BelowWarn},
		{"below act beyond error", 1.17, 0.5, socket, BelowAct},
		{"nothing left", 0, 0.5, socket, Touching},
		{"skin: its act limit is contact", 0.1, 0.5, skin, BelowWarn},
		{"skin: touching", 0, 0.5, skin, Touching},
		{"no error known", 9, math.Inf(1), socket, Unsure},
		{"not a number", math.NaN(), 0.5, socket, Unsure},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := Judge(tt.gap, tt.sigma, tt.limits); got != tt.want {
				t.Errorf("Judge(%v, %v, %v) = %q, want %q", tt.gap, tt.sigma, tt.limits, got, tt.want)
			}
		})
	}
}

func TestSmallerGapIsNeverBetter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		sigma := rapid.Float64Range(0, 2).Draw(t, "sigma")
		limits := StartingLimits(rapid.SampledFrom(quantity.Neighbours).Draw(t, "neighbour"))
		a := rapid.Float64Range(-1, 20).Draw(t, "a")
		b := rapid.Float64Range(-1, a).Draw(t, "b")
		if larger, smaller := Judge(a, sigma, limits), Judge(b, sigma, limits); larger.Worse(smaller) {
			t.Errorf("%v mm is %q, but the smaller %v mm is %q", a, larger, b, smaller)
		}
	})
}

// What the 1.645 promises: of gaps exactly at the limit, 5 % are called below
// it and 5 % above it.
func TestJudgeIsWrongOneTimeInTwenty(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	const n = 200_000
	var below, clear int
	for range n {
		switch Judge(20+0.5*rng.NormFloat64(), 0.5, Limits{WarnMM: 20, ActMM: 0}) {
		case BelowWarn:
			below++
		case Clear:
			clear++
		}
	}
	for name, count := range map[string]int{"below": below, "clear": clear} {
		if share := float64(count) / n; math.Abs(share-0.05) > 0.002 { // 4 standard errors
			t.Errorf("share called %s = %.4f, want 0.05", name, share)
		}
	}
}

func TestPoolReadings(t *testing.T) {
	feeler := func(mm float64) Reading { return Reading{mm, quantity.Feeler} }
	tests := []struct {
		name         string
		readings     []Reading
		wantMM, want float64
		ok           bool
	}{
		{"none", nil, 0, 0, false},
		{"one feeler", []Reading{feeler(2.4)}, 2.4, 0.5, true},
		{"two feelers", []Reading{feeler(2.3), feeler(2.5)}, 2.4, 0.5 / math.Sqrt2, true},
		{"feeler and mark", []Reading{feeler(2), {3, quantity.WitnessMark}}, 2.5, math.Sqrt(0.25+1) / 2, true},
		{"a reading that is no number is left out", []Reading{feeler(math.NaN()), feeler(3)}, 3, 0.5, true},
		{"none left", []Reading{feeler(math.Inf(1))}, 0, 0, false},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			gap, u, ok := PoolReadings(tt.readings)
			if math.Abs(gap-tt.wantMM) > 1e-12 || math.Abs(u-tt.want) > 1e-12 || ok != tt.ok {
				t.Errorf("got %v ± %v, %v; want %v ± %v, %v", gap, u, ok, tt.wantMM, tt.want, tt.ok)
			}
		})
	}
}

func TestPoolReadingsDoesNotDependOnOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		readings := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Reading {
			return Reading{rapid.Float64Range(0, 50).Draw(t, "gap"), rapid.SampledFrom(quantity.ClearanceMethods).Draw(t, "method")}
		}), 1, 6).Draw(t, "readings")
		shuffled := rapid.Permutation(readings).Draw(t, "shuffled")
		gapA, uA, _ := PoolReadings(readings)
		gapB, uB, _ := PoolReadings(shuffled)
		if gapA != gapB || uA != uB {
			t.Errorf("%v ± %v in one order, %v ± %v in another", gapA, uA, gapB, uB)
		}
	})
}

// Girths of circles of radius 54 and 50 mm leave 4 mm (geometry).
func TestMeanGap(t *testing.T) {
	gap, u := MeanGap(2*math.Pi*54, 3, 2*math.Pi*50, 4)
	if math.Abs(gap-4) > 1e-12 || math.Abs(u-5/(2*math.Pi)) > 1e-12 {
		t.Errorf("MeanGap = %v ± %v mm, want 4 ± %v mm", gap, u, 5/(2*math.Pi))
	}
}

// 1.645·0.5·√2 = 1.163 mm is the smallest drop that two feelers can show.
func TestDropFromAsBuilt(t *testing.T) {
	tests := []struct {
		name     string
		gap      float64
		wantDrop float64
		beyond   bool
	}{
		{"inside the error", 1.25, 1.15, false},
		{"beyond the error", 1.2, 1.2, true},
		{"wider than accepted", 3, -0.6, false},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			drop, u, beyond := DropFromAsBuilt(2.4, 0.5, tt.gap, 0.5)
			if math.Abs(drop-tt.wantDrop) > 1e-12 || math.Abs(u-0.5*math.Sqrt2) > 1e-12 || beyond != tt.beyond {
				t.Errorf("got %v ± %v, beyond %v; want %v ± %v, beyond %v", drop, u, beyond, tt.wantDrop, 0.5*math.Sqrt2, tt.beyond)
			}
		})
	}
}

func ExampleJudge() {
	limits := StartingLimits(quantity.SocketWall)
	one := []Reading{{2.4, quantity.Feeler}}
	two := []Reading{{2.3, quantity.Feeler}, {2.5, quantity.Feeler}}
	for _, readings := range [][]Reading{one, two} {
		gap, u, _ := PoolReadings(readings)
		fmt.Printf("%.1f ± %.2f mm, limit %.0f mm: %s\n", gap, u, limits.WarnMM, Judge(gap, u, limits))
	}
	// Output:
	// 2.4 ± 0.50 mm, limit 3 mm: unsure
	// 2.4 ± 0.35 mm, limit 3 mm: below-warn
}
