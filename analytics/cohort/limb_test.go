package cohort

import (
	"math"
	"slices"
	"testing"

	"fairlead/analytics/girth"
	"fairlead/analytics/quantity"
	"fairlead/analytics/volume"
)

// conical lists the levels of amputation that have a volume.
func conical() []quantity.AmputationLevel {
	return slices.DeleteFunc(slices.Clone(quantity.AmputationLevels), func(a quantity.AmputationLevel) bool { return !a.HasCone() })
}

func TestLimbsArePlausible(t *testing.T) {
	for _, level := range conical() {
		t.Run(string(level), func(t *testing.T) {
			for seed := range uint64(100) {
				for _, size := range []float64{0.5, 0.8, 1, 1.15} {
					rng := NewRand(seed)
					limb := NewLimb(rng, level, size)
					if limb.InflectionMM >= limb.LengthMM || limb.RisePercent < 2.4 || limb.RisePercent > 10.9 {
						t.Fatalf("seed %d size %g: %+v", seed, size, limb)
					}
					sound := limb.Opposite(rng)
					local := limb.Locally(0.4, limb.LengthMM/2)
					for _, factor := range []float64{0.85, 1, 1.1} {
						plausible(t, limb, factor)
						plausible(t, local, factor)
						plausible(t, sound, factor)
					}
					plausible(t, limb, 0.65)
				}
			}
		})
	}
}

// plausible checks the true profile, every 20 mm, against the limits of entry:
// 20 to 2000 mm, and M5, neighbours within 20 %.
func plausible(t *testing.T, l Limb, factor float64) {
	t.Helper()
	const apart = 20.0
	for level := 0.0; level <= l.InflectionMM; level += apart {
		now := l.GirthMM(level, factor)
		if !(now > 60 && now < 900) {
			t.Fatalf("%s: girth %g mm at %g mm", l.Level, now, level)
		}
		if before := l.GirthMM(level-apart, factor); level > 0 && girth.ImplausibleStep(before, now) {
			t.Fatalf("%s: girth goes from %g to %g mm at %g mm", l.Level, before, now, level)
		}
	}
}

// Mean lengths of 93 transtibial and 62 transfemoral limbs, 160 and 280 mm
// (Prosthet Orthot Int 1991:178–184); invented limbs spread evenly round them,
// within two standard deviations.
func TestLengthsHaveThePublishedMeans(t *testing.T) {
	const limbs = 4000
	for level, want := range map[quantity.AmputationLevel]float64{quantity.Transtibial: 160, quantity.Transfemoral: 280} {
		sum, shortest, longest := 0.0, math.Inf(1), 0.0
		for seed := range uint64(limbs) {
			length := NewLimb(NewRand(seed), level, 1).LengthMM
			sum += length
			shortest, longest = math.Min(shortest, length), math.Max(longest, length)
		}
		if mean := sum / limbs; math.Abs(mean/want-1) > 4*spreadOfLength/math.Sqrt(limbs) {
			t.Errorf("%s: mean length %.1f mm, want %g", level, mean, want)
		}
		if shortest < 0.8*want || longest > 1.2*want || shortest > 0.82*want || longest < 1.18*want {
			t.Errorf("%s: lengths from %.0f to %.0f mm, want about %g to %g", level, shortest, longest, 0.8*want, 1.2*want)
		}
	}
}

// The sound limb has more girth at the landmark and goes on where the residual
// limb ends, so that the same plan can be read on both.
func TestOppositeIsLargerAndLonger(t *testing.T) {
	for seed := range uint64(200) {
		rng := NewRand(seed)
		limb := NewLimb(rng, quantity.Transtibial, 1).Locally(0.5, 80)
		sound := limb.Opposite(rng)
		if ratio := sound.GirthMM(0, 1) / limb.GirthMM(0, 1); ratio < 1.04 || ratio > 1.10 {
			t.Errorf("seed %d: girth %.3f times that of the residual limb, want 1.04 to 1.10", seed, ratio)
		}
		if sound.InflectionMM <= limb.InflectionMM || sound.LengthMM <= limb.LengthMM {
			t.Errorf("seed %d: sound limb ends at %g mm, the residual one at %g", seed, sound.LengthMM, limb.LengthMM)
		}
		if a, b := sound.GirthMM(0, 0.9)/sound.GirthMM(0, 1), math.Sqrt(0.9); math.Abs(a-b) > 1e-12 {
			t.Errorf("seed %d: a change of the sound limb is not even: %g, want %g", seed, a, b)
		}
	}
}

// Frusta of true girths close together approach the integral from either side
// with the square of the spacing.
func TestTrueVolumeIsTheLimitOfFrusta(t *testing.T) {
	limb := NewLimb(NewRand(3), quantity.Transtibial, 1).Locally(0.5, 80)
	for _, factor := range []float64{0.85, 1, 1.1} {
		want := limb.TrueVolumeML(0, limb.InflectionMM, factor)
		for _, segments := range []int{25, 50, 100} {
			got, h := 0.0, limb.InflectionMM/float64(segments)
			for i := range segments {
				z := float64(i) * h
				got += volume.Frustum(limb.GirthMM(z, factor), limb.GirthMM(z+h, factor), h)
			}
			if bound := 2 / float64(segments*segments); math.Abs(got/want-1) > bound {
				t.Errorf("factor %g, %d frusta: %g mL, want %g within %g of it", factor, segments, got, want, bound)
			}
		}
	}
}

// A part of a closed form: above the inflection level the shape is a polynomial
// and below it half an ellipse of revolution, two thirds of its base times its
// depth (the semi-ellipsoid cap).
func TestTrueVolumeOfTheEnd(t *testing.T) {
	limb := NewLimb(NewRand(3), quantity.Transtibial, 1)
	base := limb.GirthMM(limb.InflectionMM, 1)
	depth := limb.LengthMM - limb.InflectionMM
	want, err := volume.Cap(quantity.SemiEllipsoid, base, depth)
	if err != nil {
		t.Fatal(err)
	}
	if got := limb.TrueVolumeML(limb.InflectionMM, limb.LengthMM, 1); math.Abs(got/want-1) > 1e-12 {
		t.Errorf("end of %g mL, want %g", got, want)
	}
	whole := limb.TrueVolumeML(0, limb.LengthMM, 1)
	if parts := limb.TrueVolumeML(0, 50, 1) + limb.TrueVolumeML(50, limb.LengthMM, 1); math.Abs(parts/whole-1) > 1e-12 {
		t.Errorf("parts of %g mL, want the whole %g", parts, whole)
	}
}

// The whole limb has the volume that the factor says, evenly spread or not; and
// a local loss takes more at its middle than further off.
func TestVolumeFollowsTheFactor(t *testing.T) {
	for _, level := range conical() {
		even := NewLimb(NewRand(11), level, 1)
		middle := even.LengthMM / 2
		for _, limb := range []Limb{even, even.Locally(0.5, middle)} {
			for _, factor := range []float64{0.7, 0.95, 1.1} {
				got := limb.TrueVolumeML(0, limb.LengthMM, factor) / limb.TrueVolumeML(0, limb.LengthMM, 1)
				if math.Abs(got-factor) > 1e-6 {
					t.Errorf("%s: volume changed by %g, want %g", level, got, factor)
				}
			}
		}
		local := even.Locally(0.5, middle)
		loss := func(l Limb, z float64) float64 { return 1 - l.GirthMM(z, 0.9)/l.GirthMM(z, 1) }
		if loss(local, middle) < 1.4*loss(even, middle) || loss(local, 0) > 0.6*loss(even, 0) {
			t.Errorf("%s: a local loss takes %g in the middle and %g at the landmark, an even one %g and %g", level,
				loss(local, middle), loss(local, 0), loss(even, middle), loss(even, 0))
		}
	}
}

// Zachariah et al. 2004: 95 % of the rise is over within 8 min on a transtibial
// limb; a thigh takes about 30 min.
func TestRiseAfter(t *testing.T) {
	for level, minutes := range map[quantity.AmputationLevel]float64{quantity.Transtibial: 8, quantity.Transfemoral: 30} {
		limb := NewLimb(NewRand(5), level, 1)
		if got := limb.RiseAfter(0); got != 1 {
			t.Errorf("%s: rise by %g at once, want 1", level, got)
		}
		if got, want := limb.RiseAfter(minutes), 1+0.95*limb.RisePercent/100; math.Abs(got-want) > 1e-12 {
			t.Errorf("%s: rise by %g after %g min, want %g", level, got, minutes, want)
		}
	}
}

func TestProgrammersMistakesPanic(t *testing.T) {
	limb := NewLimb(NewRand(1), quantity.Transtibial, 1)
	tests := []struct {
		name string
		call func()
	}{
		{"a level without a cone", func() { NewLimb(NewRand(1), quantity.PartialFoot, 1) }},
		{"a size of nothing", func() { NewLimb(NewRand(1), quantity.Transtibial, 0) }},
		{"a share of everything", func() { limb.Locally(1, 80) }},
		{"a local change above the landmark", func() { limb.Locally(0.5, -1) }},
		{"a local change outside the limb", func() { limb.Locally(0.5, 400) }},
		{"a local change at the thin end", func() { limb.Locally(0.7, limb.LengthMM) }},
		{"a volume factor far off", func() { limb.Locally(0.2, 80).GirthMM(0, 0.5) }},
		{"an unknown course", func() { Course{}.FactorAt(1) }},
	}
	NewLimb(NewRand(1), quantity.Transtibial, 0.3).Locally(0, 0).GirthMM(0, 0.6)
	NewLimb(NewRand(1), quantity.Transtibial, 1.5).GirthMM(0, 1.6)
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			defer func() {
				if recover() == nil {
					t.Error("no panic")
				}
			}()
			tt.call()
		})
	}
}
