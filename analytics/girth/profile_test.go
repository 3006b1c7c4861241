package girth

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// along returns a profile of one pass per level.
func along(levelsAndGirths ...float64) Profile {
	var readings []Reading
	for i := 0; i < len(levelsAndGirths); i += 2 {
		readings = append(readings, Reading{LevelMM: levelsAndGirths[i], Pass: 1, GirthMM: levelsAndGirths[i+1]})
	}
	p, err := Pool(readings)
	if err != nil {
		panic(err)
	}
	return p
}

func TestInterpolationKeepsTheShape(t *testing.T) {
	const rounding = 1e-9 // of a cubic on girths of up to 600 mm
	rapid.Check(t, func(t *rapid.T) {
		p, err := Pool(drawReadings(t))
		if err != nil {
			t.Fatal(err)
		}
		for i := range p {
			got, err := p.GirthAt(p[i].LevelMM)
			if err != nil || math.Abs(got-p[i].GirthMM) > rounding {
				t.Fatalf("at level %g: got %g, %v, want the measured %g", p[i].LevelMM, got, err, p[i].GirthMM)
			}
			if i == 0 {
				continue
			}
			a, b := p[i-1], p[i]
			share := rapid.Float64Range(0, 1).Draw(t, "share")
			level := math.Min(a.LevelMM+share*(b.LevelMM-a.LevelMM), b.LevelMM)
			got, err = p.GirthAt(level)
			if err != nil {
				t.Fatal(err)
			}
			if got < math.Min(a.GirthMM, b.GirthMM)-rounding || got > math.Max(a.GirthMM, b.GirthMM)+rounding {
				t.Fatalf("girth %g between %g and %g", got, a.GirthMM, b.GirthMM)
			}
		}
	})
}

func TestInterpolationOfAStraightTaperIsStraight(t *testing.T) {
	p := along(0, 360, 30, 330, 60, 300, 120, 240)
	for _, level := range []float64{0, 7, 30, 45, 100, 120} {
		got, err := p.GirthAt(level)
		if err != nil || math.Abs(got-(360-level)) > 1e-9 {
			t.Errorf("at %g mm: got %g, %v, want %g", level, got, err, 360-level)
		}
	}
	for i, slope := range p.Slopes() {
		if math.Abs(slope+1) > 1e-9 {
			t.Errorf("slope at %g mm: got %g, want −1", p[i].LevelMM, slope)
		}
	}
}

func TestGirthIsNeverExtrapolated(t *testing.T) {
	p := along(0, 320, 30, 335)
	for _, level := range []float64{-0.1, 30.1, math.NaN(), math.Inf(1)} {
		if g, err := p.GirthAt(level); !errors.Is(err, ErrOutsideSpan) {
			t.Errorf("at %g mm: got %g, %v, want ErrOutsideSpan", level, g, err)
		}
	}
	if _, err := along(0, 320).GirthAt(0); !errors.Is(err, ErrTooFewLevels) {
		t.Errorf("one level: got %v, want ErrTooFewLevels", err)
	}
	if got := along(0, 320).Slopes(); len(got) != 1 || got[0] != 0 {
		t.Errorf("slope of one level: got %v, want 0", got)
	}
}

func TestUnionLevels(t *testing.T) {
	cases := []struct {
		name string
		a, b Profile
		want []float64
	}{
		{"same levels", along(0, 320, 30, 335, 60, 330), along(0, 320, 30, 335, 60, 330), []float64{0, 30, 60}},
		{"other levels", along(0, 320, 30, 335, 60, 330), along(0, 320, 20, 335, 60, 330), []float64{0, 20, 30, 60}},
		{"one within the other", along(0, 320, 30, 335, 60, 330), along(10, 320, 40, 335), []float64{10, 30, 40}},
		{"overlapping", along(0, 320, 30, 335, 60, 330), along(45, 320, 90, 335), []float64{45, 60}},
		{"centimetres and inches that meet", along(0, 320, 25.4, 330, 60, 320), along(0, 320, 25.400000000000002, 330, 60, 320), []float64{0, 25.4, 60}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			for _, pair := range [][2]Profile{{c.a, c.b}, {c.b, c.a}} {
				got, err := UnionLevels(pair[0], pair[1])
				if err != nil || !slices.Equal(got, c.want) {
					t.Errorf("got %v, %v, want %v", got, err, c.want)
				}
			}
		})
	}
}

func TestUnionLevelsRefuses(t *testing.T) {
	cases := []struct {
		name string
		a, b Profile
		want error
	}{
		{"apart", along(0, 320, 30, 335), along(40, 320, 90, 335), ErrNoSharedSpan},
		{"touching", along(0, 320, 30, 335), along(30, 320, 90, 335), ErrNoSharedSpan},
		{"one level", along(0, 320), along(0, 320, 90, 335), ErrTooFewLevels},
		{"nothing", along(0, 320, 30, 335), nil, ErrTooFewLevels},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if got, err := UnionLevels(c.a, c.b); !errors.Is(err, c.want) {
				t.Errorf("got %v, %v, want %v", got, err, c.want)
			}
		})
	}
}

func TestUnionLevelsLieInsideBothSpans(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, errA := Pool(drawReadings(t))
		b, errB := Pool(drawReadings(t))
		if errA != nil || errB != nil {
			t.Fatal(errA, errB)
		}
		levels, err := UnionLevels(a, b)
		if errors.Is(err, ErrNoSharedSpan) {
			t.Skip("apart")
		}
		if !slices.IsSorted(levels) || len(levels) < 2 {
			t.Fatalf("levels %v, want at least two, ascending", levels)
		}
		for _, p := range []Profile{a, b} {
			if _, err := p.GirthsAt(levels); err != nil {
				t.Fatalf("union levels %v: %v", levels, err)
			}
		}
	})
}

// The girth between two measured levels stays between their girths.
func ExampleProfile_GirthAt() {
	profile, err := Pool([]Reading{
		{LevelMM: 0, Pass: 1, GirthMM: 320}, {LevelMM: 0, Pass: 2, GirthMM: 322},
		{LevelMM: 30, Pass: 1, GirthMM: 334}, {LevelMM: 30, Pass: 2, GirthMM: 335},
		{LevelMM: 60, Pass: 1, GirthMM: 330}, {LevelMM: 60, Pass: 2, GirthMM: 329},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	g, err := profile.GirthAt(45)
	fmt.Printf("%.1f %v\n", g, err)
	_, err = profile.GirthAt(75)
	fmt.Println(err)
	// Output:
	// 333.8 <nil>
	// girth: level outside the measured span: 75 mm is not within 0 to 60 mm
}
