package volume

import (
	"math"
	"testing"

	"fairlead/analytics/girth"
)

func twoPasses(t *testing.T, levels, girths []float64) girth.Profile {
	t.Helper()
	var readings []girth.Reading
	for i := range levels {
		readings = append(readings, girth.Reading{LevelMM: levels[i], Pass: 1, GirthMM: girths[i]}, girth.Reading{LevelMM: levels[i], Pass: 2, GirthMM: girths[i]})
	}
	p, err := girth.Pool(readings)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestOnReference(t *testing.T) {
	levels := []float64{0, 40, 80, 120, 160}
	girths := []float64{400, 390, 370, 340, 300}
	scaled := func(f float64, n int) girth.Profile {
		g := make([]float64, n)
		for i := range g {
			g[i] = girths[i] * math.Sqrt(f)
		}
		return twoPasses(t, levels[:n], g)
	}
	reference := Visit{Profile: twoPasses(t, levels, girths), Series: Series{Device: "tape"}, Fitter: "a"}
	own, err := Measure(reference.Profile, DefaultSigmas)
	if err != nil {
		t.Fatal(err)
	}

	t.Run("the reference itself is what was measured", func(t *testing.T) {
		at, _, ok := OnReference(reference, reference, DefaultSigmas)
		if !ok || math.Abs(at.VolumeML-own.VolumeML) > 1e-9 || math.Abs(at.UML-own.UML) > 1e-9 {
			t.Errorf("got %+v, want %g ± %g", at, own.VolumeML, own.UML)
		}
	})
	t.Run("another fitter widens nothing", func(t *testing.T) {
		now := reference
		now.Fitter = "b"
		if at, _, ok := OnReference(reference, now, DefaultSigmas); !ok || math.Abs(at.UML-own.UML) > 1e-9 {
			t.Errorf("got %+v, want u %g", at, own.UML)
		}
	})
	t.Run("all girths smaller, one level less", func(t *testing.T) {
		now := reference
		now.Profile = scaled(0.94, 4)
		at, _, ok := OnReference(reference, now, DefaultSigmas)
		if want := 0.94 * own.VolumeML; !ok || math.Abs(at.VolumeML/want-1) > 1e-9 {
			t.Errorf("got %+v, want %g mL", at, want)
		}
	})
	t.Run("minutes since doffing widen", func(t *testing.T) {
		then, now := reference, reference
		five, twenty := 5.0, 20.0
		then.MinutesOff, now.MinutesOff = &five, &twenty
		at, _, ok := OnReference(then, now, DefaultSigmas)
		want := math.Hypot(own.UML, (ExpectedRise(20)-ExpectedRise(5))*own.VolumeML)
		if !ok || math.Abs(at.UML-want) > 1e-9 {
			t.Errorf("got u %g, want %g", at.UML, want)
		}
	})
	t.Run("what can't be compared is not in the series", func(t *testing.T) {
		now := reference
		now.Series.Landmark = "another"
		if _, why, ok := OnReference(reference, now, DefaultSigmas); ok || why.Code != WhyLandmark {
			t.Errorf("got ok %v, why %q", ok, why.Code)
		}
		now = reference
		now.Profile = nil
		if _, why, ok := OnReference(reference, now, DefaultSigmas); ok || why.Code != WhyTooFewLevels {
			t.Errorf("got ok %v, why %q", ok, why.Code)
		}
	})
}
