package cohort

import (
	"math"
	"slices"
	"testing"

	"fairlead/analytics/girth"
	"fairlead/analytics/quantity"
	"fairlead/analytics/volume"
	"gonum.org/v1/gonum/stat"
)

func TestSameSeedSameReadings(t *testing.T) {
	visit := func(seed uint64) []girth.Reading {
		rng := NewRand(seed)
		limb := NewLimb(rng, quantity.Transfemoral, 1)
		return DefaultTape.Read(rng, limb, DayToDay(rng, 0.8), girth.ProposeLevels(limb.Level, limb.InflectionMM), 2)
	}
	if a, b := visit(9), visit(9); !slices.Equal(a, b) {
		t.Errorf("seed 9 gives %v and %v", a, b)
	}
	if a, b := visit(9), visit(10); slices.Equal(a, b) {
		t.Error("seeds 9 and 10 give the same readings")
	}
}

func TestReadingsOfAVisit(t *testing.T) {
	rng := NewRand(4)
	limb := NewLimb(rng, quantity.Transtibial, 1)
	levels := girth.ProposeLevels(limb.Level, limb.InflectionMM)
	readings := DefaultTape.Read(rng, limb, 1, levels, 3)
	if len(readings) != 3*len(levels) {
		t.Fatalf("got %d readings, want 3 passes of %d levels", len(readings), len(levels))
	}
	for i, r := range readings {
		if r.Pass != 1+i/len(levels) || r.LevelMM != levels[i%len(levels)] || r.GirthMM != math.Round(r.GirthMM) {
			t.Errorf("reading %d is %+v", i, r)
		}
	}
	if _, err := girth.Pool(readings); err != nil {
		t.Errorf("readings do not pool: %v", err)
	}
	still := Tape{FitterBias: 0.02}.Read(rng, limb, 1, levels, 1)
	for i, r := range still {
		if want := math.Round(1.02 * limb.GirthMM(levels[i], 1)); r.GirthMM != want {
			t.Errorf("a tape without scatter reads %g at %g mm, want %g", r.GirthMM, r.LevelMM, want)
		}
	}
}

// Each part of the error alone scatters the readings as its standard deviation
// says: placing and landmark through the slope of girth along the limb, the
// bias with the girth. Four standard errors of the estimate are allowed, and
// the curvature that the slope leaves out.
func TestReadingsScatterAsTheModelSays(t *testing.T) {
	const visits = 6000
	limb := NewLimb(NewRand(6), quantity.Transtibial, 1)
	levels := girth.ProposeLevels(limb.Level, limb.InflectionMM)
	at := len(levels) - 2
	slope := (limb.GirthMM(levels[at]+0.5, 1) - limb.GirthMM(levels[at]-0.5, 1))
	rounding := 1 / math.Sqrt(12)
	tests := []struct {
		name         string
		tape         Tape
		scatter      float64 // of one reading, mm
		betweenPass  float64 // of the difference of two passes
		betweenLevel bool    // moves neighbours together
	}{
		{"reading", Tape{ReadingMM: 2}, 2, 2 * math.Sqrt2, false},
		{"placing", Tape{LevelMM: 6}, 6 * math.Abs(slope), 0, false},
		{"landmark", Tape{LandmarkMM: 6}, 6 * math.Abs(slope), 0, true},
		{"bias", Tape{Bias: 0.0185}, 0.0185 * limb.GirthMM(levels[at], 1), 0, true},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			rng := NewRand(8)
			var first, second, neighbour []float64
			for range visits {
				readings := tt.tape.Read(rng, limb, 1, levels, 2)
				first = append(first, readings[at].GirthMM)
				second = append(second, readings[len(levels)+at].GirthMM-readings[at].GirthMM)
				neighbour = append(neighbour, readings[at+1].GirthMM)
			}
			want := math.Hypot(tt.scatter, rounding)
			if got := stat.StdDev(first, nil); math.Abs(got/want-1) > 0.05 {
				t.Errorf("one reading scatters by %.3f mm, want %.3f", got, want)
			}
			if got := stat.StdDev(second, nil); math.Abs(got-math.Hypot(tt.betweenPass, 0)) > 0.15 {
				t.Errorf("passes differ by %.3f mm, want %.3f", got, tt.betweenPass)
			}
			if got := stat.Correlation(first, neighbour, nil); (got > 0.8) != tt.betweenLevel || !tt.betweenLevel && math.Abs(got) > 4/math.Sqrt(visits) {
				t.Errorf("neighbouring levels correlate by %.3f, together: %v", got, tt.betweenLevel)
			}
		})
	}
}

// The truth lies within the 95 % interval of a computed change as often as that
// says, when tape and formula share the error model (V0).
func TestChangeIsFoundAgain(t *testing.T) {
	const limbs = 1500
	within := 0
	for seed := range uint64(limbs) {
		rng := NewRand(seed)
		limb := NewLimb(rng, quantity.Transtibial, 1).Locally(0.4, 70)
		levels := girth.ProposeLevels(limb.Level, limb.InflectionMM)
		visit := func(factor float64) volume.Visit {
			profile, err := girth.Pool(DefaultTape.Read(rng, limb, factor, levels, 2))
			if err != nil {
				t.Fatal(err)
			}
			return volume.Visit{Profile: profile, Series: volume.Series{Device: "tape"}, Fitter: "a"}
		}
		change := volume.Compare(visit(1), visit(0.95), volume.DefaultSigmas)
		to := levels[len(levels)-1]
		truth := 100 * (limb.TrueVolumeML(0, to, 0.95)/limb.TrueVolumeML(0, to, 1) - 1)
		if change.LoPercent <= truth && truth <= change.HiPercent {
			within++
		}
	}
	got := float64(within) / limbs
	if got < 0.93 || got > 0.97 {
		t.Errorf("%.1f %% of the intervals hold the truth, want 95", 100*got)
	}
}

func TestGapAndFeeler(t *testing.T) {
	gap := Gap{AsBuiltMM: 4, ClosingMMPerMonth: 0.1, DropMM: 1.5, DropDay: 200}
	for _, tt := range []struct{ days, want float64 }{
		{0, 4}, {-5, 4}, {5 * 30.4375, 3.5}, {199, 4 - 0.1*199/30.4375}, {200, 2.5 - 0.1*200/30.4375}, {4000, 0},
	} {
		if got := gap.TrueMM(tt.days); math.Abs(got-tt.want) > 1e-12 {
			t.Errorf("after %g days: %g mm, want %g", tt.days, got, tt.want)
		}
	}
	rng := NewRand(1)
	var read []float64
	for range 5000 {
		r := Feel(rng, 4)
		if r < 0 || math.Abs(10*r-math.Round(10*r)) > 1e-9 {
			t.Fatalf("feeler reads %g mm", r)
		}
		read = append(read, r)
	}
	mean, sd := stat.MeanStdDev(read, nil)
	if math.Abs(mean-4) > 0.03 || math.Abs(sd-0.5) > 0.02 {
		t.Errorf("feeler reads 4 mm as %.3f ± %.3f, want 4 ± 0.5 (K7)", mean, sd)
	}
	if got := Feel(rng, 0); got != 0 {
		t.Errorf("a touch reads %g mm, want 0", got)
	}
}
