package drawing_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"fairlead/server/drawing"
)

func TestChangeMapBuckets(t *testing.T) {
	// One half-width of the interval is 1.959964 · 2 mm = 3.92 mm.
	for _, test := range []struct {
		changeMM float64
		bucket   int
		class    string
	}{
		{0, 0, "within"}, {3.9, 0, "within"}, {-3.9, 0, "within"},
		{4, 1, "larger-1"}, {-4, -1, "smaller-1"}, {7.9, 2, "larger-2"}, {-11.7, -2, "smaller-2"}, {11.8, 3, "larger-3"}, {-90, -3, "smaller-3"},
	} {
		m, err := drawing.DrawChangeMap([]drawing.MapLevel{{LevelMM: 30}}, []drawing.MapVisit{
			{Changes: map[float64]drawing.GirthChange{30: {ChangeMM: test.changeMM, UMM: 2}}},
		})
		if err != nil {
			t.Fatal(err)
		}
		if c := m.Rows[0].Cells[0]; c.Bucket != test.bucket || c.Class != test.class {
			t.Errorf("%v mm: bucket %d, class %q; want %d, %q", test.changeMM, c.Bucket, c.Class, test.bucket, test.class)
		}
	}
}

func TestChangeMapLayout(t *testing.T) {
	levels := []drawing.MapLevel{{LevelMM: 0, Words: "0.0"}, {LevelMM: 30, Words: "3.0"}}
	visits := []drawing.MapVisit{
		{Words: "12 March", Changes: map[float64]drawing.GirthChange{0: {ChangeMM: -6, UMM: 2, Words: "−0.6"}}},
		{Words: "2 September", Changes: map[float64]drawing.GirthChange{0: {ChangeMM: 3, UMM: 2, Words: "+0.3"}, 30: {ChangeMM: -12, UMM: 2, Words: "−1.2"}}},
	}
	m, err := drawing.DrawChangeMap(levels, visits)
	if err != nil {
		t.Fatal(err)
	}
	if m.FullMM != 15 || len(m.Rows) != 2 || len(m.Rows[0].Cells) != 2 || m.Visits[1] != "2 September" || m.Rows[1].Words != "3.0" {
		t.Fatalf("map = %+v", m)
	}
	smaller, larger, missing := m.Rows[0].Cells[0], m.Rows[0].Cells[1], m.Rows[1].Cells[0]
	if smaller.BarX+smaller.BarWidth != 24 || math.Abs(smaller.BarWidth-24*6.0/15) > 1e-9 {
		t.Errorf("smaller: bar from %v over %v, want it to end in the middle", smaller.BarX, smaller.BarWidth)
	}
	if larger.BarX != 24 || math.Abs(larger.BarWidth-24*3.0/15) > 1e-9 {
		t.Errorf("larger: bar from %v over %v, want it to start in the middle", larger.BarX, larger.BarWidth)
	}
	if missing.Measured || missing.Class != "none" {
		t.Errorf("a level that was not measured = %+v", missing)
	}
}

func TestChangeMapBadInput(t *testing.T) {
	for _, c := range []drawing.GirthChange{{ChangeMM: math.NaN(), UMM: 2}, {ChangeMM: math.Inf(1), UMM: 2}, {ChangeMM: 1}, {ChangeMM: 1, UMM: -2}, {ChangeMM: 1, UMM: math.NaN()}, {ChangeMM: 1, UMM: math.Inf(1)}} {
		_, err := drawing.DrawChangeMap(nil, []drawing.MapVisit{{Changes: map[float64]drawing.GirthChange{30: c}}})
		if err == nil || !strings.Contains(err.Error(), "visit 1, level 30 mm") {
			t.Errorf("%+v: err = %v, want one that names visit and level", c, err)
		}
	}
}

func TestChangeMapIsAntisymmetricAndInItsBox(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		change := rapid.Float64Range(-200, 200).Draw(t, "change")
		u := rapid.Float64Range(0.1, 20).Draw(t, "u")
		m, err := drawing.DrawChangeMap([]drawing.MapLevel{{LevelMM: 0}}, []drawing.MapVisit{
			{Changes: map[float64]drawing.GirthChange{0: {ChangeMM: change, UMM: u}}},
			{Changes: map[float64]drawing.GirthChange{0: {ChangeMM: -change, UMM: u}}},
		})
		if err != nil {
			t.Fatal(err)
		}
		a, b := m.Rows[0].Cells[0], m.Rows[0].Cells[1]
		if a.Bucket != -b.Bucket || a.BarWidth != b.BarWidth {
			t.Fatalf("%+v and %+v are not mirror images", a, b)
		}
		if a.BarX < 0 || a.BarX+a.BarWidth > 48 || a.Bucket < -3 || a.Bucket > 3 {
			t.Fatalf("%+v leaves its box", a)
		}
	})
}
