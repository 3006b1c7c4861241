package girth

import (
	"math"
	"slices"
	"testing"

	"fairlead/analytics/quantity"
	"pgregory.net/rapid"
)

// The spacings are default M4 of the domain notes; the mean lengths of 160 and
// 280 mm are those of Prosthet Orthot Int 1991:178–184.
func TestProposeLevels(t *testing.T) {
	tests := []struct {
		name     string
		level    quantity.AmputationLevel
		lengthMM float64
		want     []float64
	}{
		{"M4 transtibial, mean length", quantity.Transtibial, 160, []float64{0, 30, 60, 90, 120, 150}},
		{"M4 transtibial, length not known", quantity.Transtibial, 0, []float64{0, 30, 60, 90, 120, 150}},
		{"M4 transfemoral, mean length", quantity.Transfemoral, 280, []float64{0, 40, 80, 120, 160, 200, 240, 280}},
		{"M4 transradial", quantity.Transradial, 160, []float64{0, 25, 50, 75, 100, 125, 150}},
		{"M4 transhumeral", quantity.Transhumeral, 180, []float64{0, 30, 60, 90, 120, 150, 180}},
		{"M4 closer on a short limb", quantity.Transtibial, 75, []float64{0, 25, 50, 75}},
		{"M4 closer on a short thigh", quantity.Transfemoral, 110, []float64{0, 35, 70, 105}},
		{"wider on a long limb", quantity.KneeDisarticulation, 400, []float64{0, 55, 110, 165, 220, 275, 330, 385}},
		{"hardly any length", quantity.Transtibial, 20, []float64{0, 10, 20}},
		{"a stub still has a span", quantity.Transtibial, 4, []float64{0, 10}},
		{"not a number", quantity.Transhumeral, math.NaN(), []float64{0, 30, 60, 90, 120, 150, 180}},
		{"no cone", quantity.PartialFoot, 100, nil},
		{"hip", quantity.HipDisarticulation, 0, nil},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := ProposeLevels(tt.level, tt.lengthMM); !slices.Equal(got, tt.want) {
				t.Errorf("got %v, want %v", got, tt.want)
			}
		})
	}
}

func TestProposedLevelsFit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		level := rapid.SampledFrom(quantity.AmputationLevels).Draw(t, "level")
		length := rapid.Float64Range(35, 700).Draw(t, "length")
		got := ProposeLevels(level, length)
		if !level.HasCone() {
			if got != nil {
				t.Fatalf("got %v for a level without a cone", got)
			}
			return
		}
		if len(got) < 4 || len(got) > 8 {
			t.Errorf("got %d levels for %g mm, want 4 to 8", len(got), length)
		}
		if got[0] != 0 || got[len(got)-1] > length {
			t.Errorf("got %v for %g mm, want from the landmark to no further than the end", got, length)
		}
		for i := 1; i < len(got); i++ {
			if step := got[i] - got[i-1]; step != got[1] || math.Mod(step, 5) != 0 {
				t.Errorf("got %v, want even steps of whole 5 mm", got)
			}
		}
	})
}
