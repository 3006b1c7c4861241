package chart_test

import (
	"encoding/json"
	"errors"
	"strings"
	"testing"

	"fairlead/server/chart"
	"pgregory.net/rapid"
)

func TestAgreementOption(t *testing.T) {
	a := chart.Agreement{
		Points:   []chart.AgreementPoint{{1100, -20, []string{"limb 1", evil}}, {900, 12, []string{"limb 2"}}},
		Lines:    []chart.AgreementLine{{-4, "bias −4 mL", true}, {40, "upper limit", false}, {-48, "lower limit", false}},
		MeanName: "Mean, mL", Difference: "A less B, mL", Description: "two limbs",
	}
	option, err := a.Option()
	if err != nil {
		t.Fatal(err)
	}
	var got map[string]any
	if err := json.Unmarshal(option, &got); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"bias −4 mL", "limb 2", "A less B, mL", `"value":[1100,-20]`} {
		if !strings.Contains(string(option), want) {
			t.Errorf("%q is not in %s", want, option)
		}
	}
	for _, bad := range []string{"<script", "function", "yyyy"} {
		if strings.Contains(string(option), bad) {
			t.Errorf("%q is in %s", bad, option)
		}
	}
	if _, err := (chart.Agreement{}).Option(); !errors.Is(err, chart.ErrEmpty) {
		t.Errorf("nothing to draw: %v", err)
	}
}

// Every point and line lies inside the axes, whatever they are.
func TestAgreementShowsAll(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := chart.Agreement{}
		for range rapid.IntRange(1, 6).Draw(t, "points") {
			a.Points = append(a.Points, chart.AgreementPoint{
				Mean: rapid.Float64Range(1, 1e5).Draw(t, "mean"), Difference: rapid.Float64Range(-1e4, 1e4).Draw(t, "difference"), Words: []string{"x"},
			})
		}
		option, err := a.Option()
		if err != nil {
			t.Fatal(err)
		}
		var got struct {
			XAxis, YAxis []struct{ Min, Max float64 }
		}
		if err := json.Unmarshal(option, &got); err != nil {
			t.Fatal(err)
		}
		x, y := got.XAxis[0], got.YAxis[0]
		for _, p := range a.Points {
			if !(x.Min <= p.Mean && p.Mean <= x.Max && y.Min <= p.Difference && p.Difference <= y.Max) {
				t.Fatalf("%+v is outside %+v", p, got)
			}
		}
	})
}
