package assess

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"testing"

	"fairlead/analytics/quantity"
	"fairlead/analytics/trend"
	"pgregory.net/rapid"
)

// monthly is a history of one visit a month, with the volume changed by so many
// percent at each.
func monthly(percent ...float64) History {
	var visits []Visit
	for i, p := range percent {
		visits = append(visits, visit(quantity.Date(fmt.Sprintf("%d-%02d-10", 2024+i/12, 1+i%12)), p))
	}
	return legs(visits...)
}

// ramp is n visits that go from 0 by the same step.
func ramp(n int, step float64) []float64 {
	percent := make([]float64, n)
	for i := range percent {
		percent[i] = step * float64(i)
	}
	return percent
}

// TestCourseRules: what the newest of several visits is found to be. The sizes are
// those of the probabilities at the head of course_rules.go; with two passes on
// series A a single volume has u = 1.44 %.
func TestCourseRules(t *testing.T) {
	loose := func(h *History) { n := -2; h.Visits[len(h.Visits)-1].Looseness = &n }
	tests := []struct {
		name    string
		history History
		change  func(*History)
		rule    Rule
		level   Level
		limit   float64
	}{
		{"steady", monthly(0, 0.5, -0.4, 0.3, -0.2, 0), nil, VolumeChange, "", 0},
		{"two visits are judged as a pair", monthly(0, -6), nil, VolumeChange, Watch, 5},
		{"a loss told early", monthly(0, 0, 0, -4.2, -4.2), nil, VolumeChange, Watch, 5},
		{"the same with a symptom", monthly(0, 0, 0, -4.2, -4.2), loose, VolumeChange, Soon, 5},
		{"rather surely beyond 3 %", monthly(ramp(6, -1.2)...), nil, VolumeChange, Soon, 5},
		{"limit passed", monthly(0, 0, -7, -7, -7), nil, VolumeChange, Soon, 5},
		{"at the size of a review", monthly(0, 0, -12, -12, -12), nil, VolumeChange, Soon, 10},
		{"a gain told early", monthly(0, 0, 0, 4.4, 4.4), nil, VolumeChange, Watch, 5},
		{"gain beyond its limit", monthly(0, 0, 7, 7, 7), nil, VolumeChange, Soon, 5},
		{"gain to be seen today", monthly(0, 0, 13, 13, 13), nil, VolumeChange, Now, 10},
		{"limits of this limb move what is told early", monthly(0, 0, 0, -4.2, -4.2), func(h *History) {
			h.VolumeLimits = VolumeLimits{LossPercent: 8, By: "R. A."}
		}, VolumeChange, "", 0},
		{"a loss of everything is no limit", monthly(0, 0, -7, -7, -7), func(h *History) {
			h.VolumeLimits = VolumeLimits{LossPercent: 100, LossReviewPercent: 100, By: "R. A."}
		}, VolumeChange, "", 0},
		{"closing towards the limit", monthly(ramp(7, -0.9)...), nil, VolumeClosing, Watch, 5},
		{"closing towards the limit of a gain", monthly(ramp(7, 0.95)...), nil, VolumeClosing, Watch, 5},
		{"no forecast from three visits", monthly(ramp(3, -1.4)...), nil, VolumeClosing, "", 0},
		{"passed is not closing", monthly(ramp(8, -1.5)...), nil, VolumeClosing, "", 0},
		{"a fast slope", monthly(ramp(8, -2)...), nil, VolumeSlope, Soon, 1},
		{"a slow one is not fast", monthly(ramp(8, -0.7)...), nil, VolumeSlope, "", 0},
		{"a slip or a step", monthly(0, 0.2, 0, -9), nil, MeasureAgainRule, Watch, 30},
		{"a large gain, a slip or a step", monthly(0, 0.2, 0, 12), nil, MeasureAgainRule, Soon, 30},
		{"no slip", monthly(0, 0.2, 0, -2), nil, MeasureAgainRule, "", 0},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			h := tt.history
			if tt.change != nil {
				tt.change(&h)
			}
			findings := Assess(h)
			if tt.level == "" {
				if got := levelOf(findings, tt.rule); got != "" {
					t.Errorf("got %s: %+v, want no finding", got, findings)
				}
				return
			}
			f := only(t, findings, tt.rule)
			if f.Level != tt.level || f.Limit == nil || math.Abs(f.Limit.Value-tt.limit) > 1e-9 || f.AgainstVisitID != h.Visits[0].ID {
				t.Errorf("got %s, limit %+v, want %s, limit %g", f.Level, f.Limit, tt.level, tt.limit)
			}
			if f.Level == Now && f.LookFirst[0] != LookSafetyQuestions {
				t.Errorf("look first %v, want the safety questions", f.LookFirst)
			}
		})
	}
}

// TestSeenTwiceStaysTold: after two visits at −7 % the course may put the change
// down to a slip at the first; it is told all the same, as a pair.
func TestSeenTwiceStaysTold(t *testing.T) {
	f := only(t, Assess(monthly(0, -7, -7.3)), VolumeChange)
	if change, _ := f.Value("change"); f.Level != Watch || math.Abs(change.Value+7.3) > 0.1 || f.Words["by"] != "" {
		t.Errorf("got %+v, want the pair, watch", f)
	}
	if got := levelOf(Assess(monthly(0, 0, -7)), VolumeChange); got != "" {
		t.Errorf("seen once: got %s, want none before it is measured again", got)
	}
}

// TestSecondRoundSettlesSlipOrStep: a step of 8 % measured in two rounds is found at
// its own visit, a slip in the first of two is not a change.
func TestSecondRoundSettlesSlipOrStep(t *testing.T) {
	step := Assess(monthly(0, 0.2, -0.3, 0.1, -9).with(4, twice(-9)))
	if f := only(t, step, VolumeChange); f.Level != Soon {
		t.Errorf("a step, twice: got %s", f.Level)
	}
	slip := Assess(monthly(0, 0.2, -0.3, 0.1, 0).with(4, twice(-9)))
	if got := levelOf(slip, VolumeChange); got != "" {
		t.Errorf("a slip in the first round: got %s, want none", got)
	}
	for _, findings := range [][]Finding{step, slip} {
		if levelOf(findings, MeasureAgainRule) != "" {
			t.Error("measured twice, and told to measure again")
		}
	}
}

// with changes one visit of the history.
func (h History) with(i int, change func(*Visit)) History {
	h.Visits = slices.Clone(h.Visits)
	change(&h.Visits[i])
	return h
}

func TestSeries(t *testing.T) {
	h := monthly(0, -1, -2, -3)
	h.Visits[2] = visit("2024-03-10", -2, landmark("tibial plateau"))
	h.Visits[3] = visit("2024-04-10", -3, by("L"), twice(-4))
	s, ok := h.Series()
	if !ok || len(s.Volumes) != 4 {
		t.Fatalf("got %d volumes, want 4: another landmark is left out, two rounds are two", len(s.Volumes))
	}
	if s.Volumes[2].Round != 1 || s.Volumes[3].Round != 2 || s.Volumes[2].Volume.VolumeML >= s.Volumes[3].Volume.VolumeML {
		t.Errorf("rounds %+v, want the first, of −4 %%, before the second, of −3 %%", s.Volumes[2:])
	}
	if s.Volumes[0].Volume.Source == s.Volumes[3].Volume.Source {
		t.Error("two fitters are one source")
	}
	if s.Weeks != 3173.0/7 { // 2015-05-04 to 2024-01-10
		t.Errorf("weeks since amputation %g, want %g", s.Weeks, 3173.0/7)
	}
	h.Limb.PresentAtBirth = true
	if s, _ := h.Series(); s.Weeks != 0 {
		t.Errorf("present at birth, and %g weeks since amputation", s.Weeks)
	}
	result, err := s.Run(-5)
	if err != nil || len(result.Visits) != 4 {
		t.Errorf("run: %v", err)
	}
	if _, ok := legs(visit("2024-03-10", 0, unmeasured)).Series(); ok {
		t.Error("a series without a volume")
	}
}

// TestCourseOfAnyHistoryIsWhole: whatever was measured and in whatever order the
// visits come, every figure is finite and every probability one.
func TestCourseOfAnyHistoryIsWhole(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 9).Draw(t, "visits")
		var visits []Visit
		day := quantity.Date("2024-02-01")
		for i := range n {
			day = day.AddDays(rapid.IntRange(0, 400).Draw(t, "gap"))
			v := visit(day, rapid.Float64Range(-45, 60).Draw(t, "percent"), by(rapid.SampledFrom([]string{"", "K", "L", "M"}).Draw(t, "fitter")))
			v.ID = fmt.Sprint("visit ", i)
			v.At += int64(i)
			if rapid.Bool().Draw(t, "again") {
				twice(rapid.Float64Range(-45, 60).Draw(t, "first round"))(&v)
			}
			visits = append(visits, v)
		}
		h := legs(rapid.Permutation(visits).Draw(t, "order")...)
		rules := []Rule{VolumeFast, VolumeChange, VolumeSlope, VolumeClosing, VolumeUnresolved, MeasureAgainRule}
		ofVolume := slices.DeleteFunc(Assess(h), func(f Finding) bool { return !slices.Contains(rules, f.Rule) })
		if !reflect.DeepEqual(append([]Finding{}, Volume(h)...), append([]Finding{}, ofVolume...)) {
			t.Fatalf("of the volume alone %v, among all findings %v", Volume(h), ofVolume)
		}
		for _, f := range Assess(h) {
			for _, v := range f.Values {
				if !finite(v.Value) || !finitePointer(v.U) || v.Name == "probability" && !(v.Value >= 0 && v.Value <= 100+1e-9) {
					t.Fatalf("%s: %+v", f.Rule, v)
				}
			}
			if o, ok := h.Outlying(f); ok && f.Words["by"] == "course" && o.By < -1e-9 {
				t.Fatalf("%s is found and lies %g inside", f.Rule, -o.By)
			}
		}
	})
}

// What fitters differ by lastingly goes into the course: where they hardly differ,
// a second fitter's smaller volumes are a loss, and an offset where they do.
func TestSourcePercentGoesIntoTheCourse(t *testing.T) {
	probability := func(percent float64) float64 {
		h := monthly(0, 0, 0, -6, -6)
		h.SourcePercent = percent
		for i := 3; i < len(h.Visits); i++ {
			h.Visits[i].Residual.Fitter = "second"
		}
		c, ok := h.Course()
		if !ok {
			t.Fatal("no course")
		}
		return c.beyond(-1, 3)
	}
	close, usual, apart := probability(0.5), probability(0), probability(8)
	if !(close > usual && usual > apart) || usual != probability(trend.DefaultSourceSD) {
		t.Errorf("a loss beyond 3 %%: %.3f, %.3f and %.3f; want less the more fitters differ", close, usual, apart)
	}
	if got := probability(math.NaN()); got != usual {
		t.Errorf("not a number gives %g, want the default", got)
	}
}
