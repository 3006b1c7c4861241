package trend

import (
	"strings"
	"testing"
)

func TestSteady(t *testing.T) {
	cases := []struct {
		name    string
		visits  []Visit
		verdict SteadyVerdict
		why     string
	}{
		{"eight even visits", visitsOf(35, 1200, 1203, 1198, 1201, 1199, 1202, 1200, 1201), Steady, "pairs within MDC95; slope"},
		{"five visits", visitsOf(35, 1200, 1203, 1198, 1201, 1199), SteadyFew, "1 more visit"},
		{"six visits in 50 days", visitsOf(10, 1200, 1203, 1198, 1201, 1199, 1200), SteadyFew, "1 more visit not before 2024-03-06"},
		{"a loss of 1.5 % a visit", visitsOf(35, 1200, 1182, 1164, 1147, 1130, 1113, 1096), NotShown, ""},
		{"a last visit that is off", visitsOf(35, 1200, 1203, 1198, 1201, 1199, 1202, 1200, 1100), NotShown, "pairs outside MDC95"},
		{"an early visit that is off", visitsOf(35, 1200, 1203, 1698, 1201, 1199, 1202, 1200, 1201, 1200, 1199), Steady, "pairs within MDC95"},
		{"one visit", visitsOf(35, 1200), SteadyOne, "5 more visits"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			r := mustRun(t, c.visits, Options{})
			if r.Steadiness.Verdict != c.verdict || !strings.Contains(r.SteadyWhy(), c.why) {
				t.Errorf("%q, %q; want %q, %q", r.Steadiness.Verdict, r.SteadyWhy(), c.verdict, c.why)
			}
		})
	}
}

// Two sources may differ by their lasting offset: 9 % apart is too much for one
// fitter and not for two.
func TestSteadyAllowsForTwoSources(t *testing.T) {
	s := DefaultSettings()
	readings := make([]Reading, 6)
	for i := range readings {
		readings[i] = Reading{Day: 30 * float64(i), Value: 1200, U: 18}
	}
	readings[4].Value, readings[4].U = 1110, 17
	if got := s.SteadyAfter(readings, Moments{0, 0.2}); got.Verdict != NotShown || !got.Apart || got.First != 3 || got.Second != 4 {
		t.Errorf("one source: %+v", got)
	}
	readings[4].Source = "b"
	if got := s.SteadyAfter(readings, Moments{0, 0.2}); got.Verdict != Steady {
		t.Errorf("two sources: %+v", got)
	}
	for _, slope := range []Moments{{0.5, 0.2}, {0, 0.6}, {-0.7, 0.1}} {
		if got := s.SteadyAfter(readings, slope); got.Verdict != NotShown || got.Apart {
			t.Errorf("slope %+v: %+v", slope, got)
		}
	}
	if got := s.SteadyAfter(nil, Moments{}); got.Verdict != SteadyFew {
		t.Errorf("no readings: %+v", got)
	}
}
