package trial

import (
	"math"
	"slices"
	"testing"

	"fairlead/analytics/cohort"
	"fairlead/analytics/detect"
)

func TestOpenings(t *testing.T) {
	tests := []struct {
		name      string
		strengths []float64 // below zero for a loss
		closes    float64
		want      int
	}{
		{"never", []float64{0, 2, -2, 2.9}, 1, 0},
		{"at the threshold", []float64{0, 3}, 1, 1},
		{"stays open", []float64{3, 4, 3}, 1, 1},
		{"opens again", []float64{3, 2.9, 3}, 1, 2},
		{"is held open down to half", []float64{3, 1.5, 3}, 0.5, 1},
		{"closes below half", []float64{3, 1.4, 3}, 0.5, 2},
		{"each direction by itself", []float64{-3, 3, -3}, 1, 3},
		{"is still open the other way", []float64{-3, 3, -3}, 0, 2},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := signed(tt.strengths).openings(3, tt.closes); got != tt.want {
				t.Errorf("opens %d times, want %d", got, tt.want)
			}
		})
	}
}

func TestOnlyALossFindsALoss(t *testing.T) {
	s := signed([]float64{5, 0, -3, 5})
	for _, tt := range []struct {
		first, last int
		want        bool
	}{{0, 1, false}, {0, 2, true}, {2, 2, true}, {3, 3, false}} {
		if got := s.lost(tt.first, tt.last, 3); got != tt.want {
			t.Errorf("visits %d to %d: found %v, want %v", tt.first, tt.last, got, tt.want)
		}
	}
}

// Two limbs of ten years in all: the threshold is the least at which one flag in
// twenty years is left of those that rise to 1, 2, … 9.
func TestCalibrateMeetsTheRate(t *testing.T) {
	var signals []signal
	for i := range 9 {
		signals = append(signals, signed([]float64{0, float64(1 + i), 0}))
	}
	const limbYears = 20
	threshold := calibrate(signals, limbYears, 1)
	if math.Abs(threshold-8) > 1e-9 {
		t.Errorf("threshold %g, want just above 8", threshold)
	}
	if got := falseRate(signals, limbYears, threshold, 1); got != FalseRate {
		t.Errorf("%g false flags per 100 limb-years, want %d", got, FalseRate)
	}
	if got := calibrate([]signal{signed([]float64{0, 0})}, 1, 1); got > 1e-9 {
		t.Errorf("a rule that never speaks has the threshold %g", got)
	}
}

func TestRulesStartAnewWithEachLimb(t *testing.T) {
	d := cohort.Draw{Seed: 2, Visits: 10, Setting: cohort.Everyday}
	a, b := d.Member(1), d.Member(2)
	for _, c := range candidates() {
		speak, again := c.make(), c.make()
		speak(a)
		got, want := speak(b), again(b)
		if !slices.Equal(got.loss, want.loss) || !slices.Equal(got.gain, want.gain) {
			t.Errorf("%s %s remembers the limb before", c.method, c.setting)
		}
	}
}

func TestScoreSplitsByDirection(t *testing.T) {
	m := cohort.Member{Rows: []cohort.Row{{VolumeML: 100, UML: 1}, {VolumeML: 90, UML: 1}, {VolumeML: 120, UML: 1}}}
	got := score(func() detect.Rule { return &detect.FixedPercent{} })()(m)
	if math.Abs(got.loss[1]-10) > 1e-9 || math.Abs(got.gain[2]-20) > 1e-9 || got.gain[1] != 0 || got.loss[2] != 0 {
		t.Errorf("losses %v, gains %v; want 10 then 20", got.loss, got.gain)
	}
}

func TestVisitAtLoss(t *testing.T) {
	m := cohort.Member{
		Path: cohort.Path{{Kind: cohort.SlowLoss, Percent: 1}, {Kind: cohort.Seasonal, Percent: 0.6}},
		Rows: []cohort.Row{{Day: 0}, {Day: 60}, {Day: 92}, {Day: 94}, {Day: 120}},
	}
	// 1 − exp(−0.01 · 93/30.4375) is just above 3 %.
	if got, reached := visitAtLoss(m, 3); got != 3 || !reached {
		t.Errorf("3 %% at visit %d, %v; want 3", got, reached)
	}
	if _, reached := visitAtLoss(m, 5); reached {
		t.Error("5 % is never reached")
	}
	if got := visitFrom(m, 92.5); got != 3 {
		t.Errorf("the first visit after day 92.5 is %d, want 3", got)
	}
}
