package assess

import (
	"slices"
	"testing"
)

// twice gives a visit a first round beside the one that counts, which differs from it
// by percent of volume.
func twice(percent float64) func(*Visit) {
	return func(v *Visit) { v.ResidualFirst = scaled(percent) }
}

func landmark(name string) func(*Visit) { return func(v *Visit) { v.Residual.Series.Landmark = name } }

func TestMeasureAgain(t *testing.T) {
	lastYear, spring := visit("2025-11-03", 0), visit("2026-02-02", 0)
	tests := []struct {
		name string
		h    History
		want AgainWhy
	}{
		{"no visit", legs(), ""},
		{"not measured", legs(visit("2026-03-02", 0, unmeasured)), ""},
		{"first measurement", legs(visit("2026-03-02", 0)), FirstOfSeries},
		{"first measurement, twice", legs(visit("2026-03-02", 0, twice(1))), ""},
		{"after visits without readings", legs(visit("2025-11-03", 0, unmeasured), visit("2026-03-02", 0)), FirstOfSeries},
		{"new landmark", legs(lastYear, visit("2026-03-02", 0, landmark("tibial plateau"))), FirstOfSeries},
		{"back at an old landmark", legs(lastYear, visit("2026-02-02", 0, landmark("tibial plateau")), visit("2026-03-02", 0)), ""},
		{"no change", legs(lastYear, spring, visit("2026-03-02", 0.5)), ""},
		{"a slip or a step", legs(lastYear, spring, visit("2026-03-02", -9)), SlipOrStep},
		{"a slip or a step, twice", legs(lastYear, spring, visit("2026-03-02", -9, twice(-9))), ""},
		{"a change at the second visit", legs(lastYear, visit("2026-03-02", -6)), SlipOrStep},
		{"large, another fitter", legs(lastYear, visit("2026-03-02", -6, by("L"))), LargeUnresolved},
		{"large, another fitter, twice", legs(lastYear, visit("2026-03-02", -6, by("L"), twice(-9))), ""},
		{"large within days, another fitter", legs(lastYear, visit("2026-02-25", 0), visit("2026-03-02", 6, by("L"))), LargeUnresolved},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			why, ok := tt.h.MeasureAgain()
			if why != tt.want || ok != (tt.want != "") {
				t.Errorf("got %q, %v, want %q", why, ok, tt.want)
			}
		})
	}
}

// TestMeasuredTwiceIsNotSentBack: what was measured twice is not to be measured again
// by the advice of its own flag, which stands.
func TestMeasuredTwiceIsNotSentBack(t *testing.T) {
	once := legs(visit("2025-11-03", 0), visit("2026-03-02", -6, by("L")))
	if !slices.Contains(only(t, Assess(once), VolumeUnresolved).LookFirst, LookMeasureAgain) {
		t.Error("measured once, and not told to measure again")
	}
	again := legs(visit("2025-11-03", 0), visit("2026-03-02", -6, by("L"), twice(-5)))
	if slices.Contains(only(t, Assess(again), VolumeUnresolved).LookFirst, LookMeasureAgain) {
		t.Error("measured twice, and told to measure again")
	}
}
