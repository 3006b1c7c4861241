package chart_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"fairlead/server/chart"
)

func TestSparkline(t *testing.T) {
	start := time.Date(2026, 3, 12, 10, 0, 0, 0, time.UTC)
	if _, ok := chart.Sparkline(nil, nil); ok {
		t.Error("a sparkline without points was drawn")
	}
	one, ok := chart.Sparkline([]chart.SparkPoint{{At: start}}, []float64{-5, 5})
	if !ok || one.Line != "" || one.Band != "" || len(one.Limits) != 2 {
		t.Errorf("one point = %+v, want a dot between limits", one)
	}
	// ±8 % over 26 of 32 pixels, −4 % is three quarters down; the second of
	// three visits stands at a quarter of the time.
	three, _ := chart.Sparkline([]chart.SparkPoint{
		{At: start},
		{At: start.AddDate(0, 0, 10), Percent: -4, LoPercent: -6, HiPercent: -2},
		{At: start.AddDate(0, 0, 40), Percent: -4, LoPercent: -6, HiPercent: -2},
	}, nil)
	if want := "3.0,16.0 26.5,22.5 97.0,22.5"; three.Line != want {
		t.Errorf("line = %q, want %q", three.Line, want)
	}
}

func TestSparklineStaysInItsBox(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		at := time.Unix(0, 0)
		var points []chart.SparkPoint
		for range rapid.IntRange(1, 60).Draw(t, "n") {
			at = at.Add(time.Duration(rapid.IntRange(0, 100).Draw(t, "days")) * 24 * time.Hour)
			p := rapid.Float64Range(-2000, 2000).Draw(t, "percent")
			half := rapid.Float64Range(0, 100).Draw(t, "half")
			points = append(points, chart.SparkPoint{At: at, Percent: p, LoPercent: p - half, HiPercent: p + half})
		}
		s, _ := chart.Sparkline(points, []float64{-5, 5})
		for _, p := range append(strings.Fields(s.Line), strings.Fields(s.Band)...) {
			var x, y float64
			if _, err := fmt.Sscanf(p, "%g,%g", &x, &y); err != nil || x < 0 || x > s.Width || y < 0 || y > s.Height {
				t.Fatalf("point %q is not in the box", p)
			}
		}
	})
}
