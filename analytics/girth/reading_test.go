package girth

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestPoolLevel(t *testing.T) {
	cases := []struct {
		name      string
		girthsMM  []float64
		want      float64
		effective float64
		reread    bool
	}{
		{"one reading", []float64{320}, 320, 1, false},
		{"mean of two", []float64{320, 323}, 321.5, 2, false},
		{"two that disagree", []float64{320, 326}, 323, 2, true},
		{"median of three leaves out the odd one", []float64{320, 360, 322}, 322, 2.22, false},
		{"median of four", []float64{320, 360, 322, 324}, 323, 3.35, false},
		{"median of five", []float64{320, 360, 322, 324, 321}, 322, 3.49, false},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			var readings []Reading
			for i, g := range c.girthsMM {
				readings = append(readings, Reading{LevelMM: 30, Pass: i + 1, GirthMM: g})
			}
			p, err := Pool(readings)
			if err != nil {
				t.Fatal(err)
			}
			got := p[0]
			if got.GirthMM != c.want || got.EffectivePasses != c.effective || got.Reread != c.reread || got.Passes != len(c.girthsMM) {
				t.Errorf("got %+v, want girth %g, effective passes %g, re-read %v", got, c.want, c.effective, c.reread)
			}
		})
	}
}

// More readings never count less, and a median never counts as much as a mean.
func TestEffectivePassesGrow(t *testing.T) {
	for n := 2; n < 20; n++ {
		if !(effectivePasses(n) > effectivePasses(n-1) && effectivePasses(n) <= float64(n)) {
			t.Errorf("effective passes of %d and %d readings: %g, %g", n-1, n, effectivePasses(n-1), effectivePasses(n))
		}
	}
}

func TestPoolRefuses(t *testing.T) {
	good := Reading{LevelMM: 0, Pass: 1, GirthMM: 320}
	cases := []struct {
		name string
		bad  Reading
	}{
		{"girth of zero", Reading{LevelMM: 30, Pass: 1}},
		{"negative girth", Reading{LevelMM: 30, Pass: 1, GirthMM: -320}},
		{"girth below 20 mm", Reading{LevelMM: 30, Pass: 1, GirthMM: 19.9}},
		{"girth above 2000 mm", Reading{LevelMM: 30, Pass: 1, GirthMM: 2000.1}},
		{"girth that is no number", Reading{LevelMM: 30, Pass: 1, GirthMM: math.NaN()}},
		{"endless girth", Reading{LevelMM: 30, Pass: 1, GirthMM: math.Inf(1)}},
		{"level that is no number", Reading{LevelMM: math.NaN(), Pass: 1, GirthMM: 320}},
		{"endless level", Reading{LevelMM: math.Inf(-1), Pass: 1, GirthMM: 320}},
		{"level beyond 2 m", Reading{LevelMM: 2001, Pass: 1, GirthMM: 320}},
		{"pass zero", Reading{LevelMM: 30, GirthMM: 320}},
		{"same level and pass twice", good},
		{"same level to the recorded resolution", Reading{LevelMM: 0.04, Pass: 1, GirthMM: 320}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if p, err := Pool([]Reading{good, c.bad}); !errors.Is(err, ErrBadReading) {
				t.Errorf("got %v, %v, want ErrBadReading", p, err)
			}
		})
	}
}

func TestPoolTakesTheLimits(t *testing.T) {
	p, err := Pool([]Reading{{-2000, 1, 20}, {2000, 1, 2000}})
	if err != nil || len(p) != 2 {
		t.Errorf("got %v, %v, want both readings", p, err)
	}
	if p, err := Pool(nil); err != nil || len(p) != 0 {
		t.Errorf("no readings: got %v, %v, want an empty profile", p, err)
	}
}

// M1: a pair re-read when it differs by more than max(3 mm, 1.5 %); M5: a step
// of more than 20 % between neighbours; M6: a change of more than 8 % since the
// last visit. Common practice, no source.
func TestEntryLimits(t *testing.T) {
	cases := []struct {
		name string
		rule func(a, b float64) bool
		a, b float64
		want bool
	}{
		{"M1 3 mm on a small limb", NeedsReread, 150, 153, false},
		{"M1 above 3 mm on a small limb", NeedsReread, 150, 153.1, true},
		{"M1 just within 1.5 % on a large limb", NeedsReread, 500, 507.5, false},
		{"M1 above 1.5 % on a large limb", NeedsReread, 500, 507.6, true},
		{"M1 either way round", NeedsReread, 507.6, 500, true},
		{"M1 5 mm on a forearm is too much", NeedsReread, 220, 225, true},
		{"M1 3 mm typed in inches is not above 3 mm", NeedsReread, 7 * 25.4, 7*25.4 + 3, false},
		{"M5 20 %", ImplausibleStep, 300, 360, false},
		{"M5 above 20 %", ImplausibleStep, 300, 361, true},
		{"M5 downwards", ImplausibleStep, 300, 239, true},
		{"M6 8 %", ImplausibleChange, 300, 324, false},
		{"M6 above 8 %", ImplausibleChange, 300, 325, true},
		{"M6 downwards", ImplausibleChange, 300, 275, true},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if got := c.rule(c.a, c.b); got != c.want {
				t.Errorf("%g and %g: got %v, want %v", c.a, c.b, got, c.want)
			}
		})
	}
}

// drawReadings draws the readings of a visit: distinct levels, one to five
// passes each.
func drawReadings(t *rapid.T) []Reading {
	levels := rapid.SliceOfNDistinct(rapid.IntRange(-20, 40), 2, 14, rapid.ID[int]).Draw(t, "levels")
	var readings []Reading
	for _, level := range levels {
		for pass := range rapid.IntRange(1, 5).Draw(t, "passes") {
			girth := rapid.Float64Range(150, 600).Draw(t, "girth")
			readings = append(readings, Reading{LevelMM: 10 * float64(level), Pass: pass + 1, GirthMM: girth})
		}
	}
	return readings
}

func TestPoolDoesNotMindOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		readings := drawReadings(t)
		want, err := Pool(readings)
		if err != nil {
			t.Fatal(err)
		}
		got, err := Pool(rapid.Permutation(readings).Draw(t, "shuffled"))
		if err != nil {
			t.Fatal(err)
		}
		for i := range want {
			if got[i] != want[i] {
				t.Fatalf("level %g: got %+v, want %+v", want[i].LevelMM, got[i], want[i])
			}
			if i > 0 && !(want[i].LevelMM > want[i-1].LevelMM) {
				t.Fatalf("levels do not ascend: %v", want.Levels())
			}
		}
	})
}
