package reliability

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"testing"

	"fairlead/analytics/girth"
	"fairlead/analytics/quantity"
	"fairlead/analytics/volume"
)

// workshop is an invented workshop whose error is known.
type workshop struct {
	readingMM, levelMM, landmarkMM, bias, lasting float64
}

// defaults measures just as the default sigmas say.
var defaults = workshop{2, 3, 3, 0.005, math.Sqrt(0.0185*0.0185 - 0.005*0.005)}

// study draws a study: limbs of the shape of series A in different sizes, each
// taped by each fitter in each round, two passes.
func (w workshop) study(rng *rand.Rand, limbs, fitters, rounds int) Study {
	s := Study{On: "2026-05-04"}
	lasting := make([]float64, fitters)
	for i := range lasting {
		lasting[i] = w.lasting * rng.NormFloat64()
	}
	for l := range limbs {
		size := 0.8 + 0.5*rng.Float64()
		for f := range fitters {
			for round := range rounds {
				s.Readings = append(s.Readings, w.visit(rng, Reading{
					Subject: fmt.Sprintf("limb %02d", l), Fitter: string(rune('A' + f)), Marks: fmt.Sprint("day ", round),
				}, size, lasting[f])...)
			}
		}
	}
	return s
}

// visit draws the readings of one occasion.
func (w workshop) visit(rng *rand.Rand, of Reading, size, lasting float64) []Reading {
	shape := typical()
	for i := range shape {
		shape[i].GirthMM *= size
	}
	slopes := shape.Slopes()
	landmark := w.landmarkMM * rng.NormFloat64()
	scale := 1 + w.bias*rng.NormFloat64() + lasting
	var readings []Reading
	for i, at := range shape {
		girthMM := (at.GirthMM + slopes[i]*(landmark+w.levelMM*rng.NormFloat64())) * scale
		for pass := range 2 {
			of.LevelMM, of.Pass, of.GirthMM = at.LevelMM, pass+1, girthMM+w.readingMM*rng.NormFloat64()
			readings = append(readings, of)
		}
	}
	return readings
}

func estimate(t *testing.T, s Study) Estimate {
	t.Helper()
	e, err := s.Estimate(DefaultPrior())
	if err != nil {
		t.Fatal(err)
	}
	return e
}

// A large study finds the reading error, what lasts between fitters and, which
// counts in the end, how far the volumes of two visits lie apart: by simulation.
func TestLargeStudyFindsTheError(t *testing.T) {
	cases := []struct {
		name string
		workshop
	}{
		{"as the defaults", defaults},
		{"careful", workshop{1, 1.5, 1, 0.003, 0.004}},
		{"rough", workshop{4, 6, 6, 0.012, 0.03}},
		{"landmark only", workshop{1, 1, 6, 0, 0.005}},
		{"tension only", workshop{1, 1, 0.5, 0.012, 0.005}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			rng := rand.New(rand.NewPCG(7, 0))
			e := estimate(t, c.study(rng, 60, 12, 2))
			sees, err := e.Sees()
			if err != nil {
				t.Fatal(err)
			}
			near(t, "σr", e.Reading.InForce, c.readingMM, 0.05*c.readingMM)
			want := volume.Sigmas{
				ReadingMM: c.readingMM, LevelMM: c.levelMM, LandmarkMM: c.landmarkMM,
				BiasSameFitter: c.bias, BiasBetweenFitters: math.Hypot(c.bias, c.lasting),
			}
			truth, err := Seen(typical(), want)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "what one fitter sees, %", sees.SameFitterPercent, truth.SameFitterPercent, 0.1*truth.SameFitterPercent)
			usual, err := Seen(typical(), volume.DefaultSigmas)
			if err != nil {
				t.Fatal(err)
			}
			// Twelve fitters, of whom the default is worth four.
			if off := math.Abs(sees.TwoFittersPercent - truth.TwoFittersPercent); off > 0.15*truth.TwoFittersPercent+0.5*math.Abs(usual.TwoFittersPercent-truth.TwoFittersPercent) {
				t.Errorf("two fitters see %.2f %%, truth %.2f, default %.2f", sees.TwoFittersPercent, truth.TwoFittersPercent, usual.TwoFittersPercent)
			}
			if !e.Apart {
				t.Error("landmark and bias were not told apart")
			}
			for what, pair := range map[string]struct {
				c     Component
				truth float64
			}{"σz": {e.Level, c.levelMM}, "σL": {e.Landmark, c.landmarkMM}, "β": {e.SameFitter, c.bias}, "lasting": {e.Lasting, c.lasting}} {
				if pair.truth < pair.c.Lo || pair.truth > pair.c.Hi {
					t.Errorf("%s: %g lies outside the interval of %+v", what, pair.truth, pair.c)
				}
			}
			near(t, "σL", e.Landmark.InForce, c.landmarkMM, 0.15*c.landmarkMM+0.1)
			near(t, "β", e.SameFitter.InForce, c.bias, 0.15*c.bias+0.0006)
		})
	}
}

// Small studies: on average over many, the variance in force lies between the
// default and the truth, and nearer the truth than the default did.
func TestSmallStudiesAreDrawnToTheDefault(t *testing.T) {
	careful := workshop{1, 1.5, 1, 0.003, 0.004}
	truth, err := Seen(typical(), volume.Sigmas{ReadingMM: 1, LevelMM: 1.5, LandmarkMM: 1, BiasSameFitter: 0.003, BiasBetweenFitters: 0.005})
	if err != nil {
		t.Fatal(err)
	}
	usual, err := Seen(typical(), volume.DefaultSigmas)
	if err != nil {
		t.Fatal(err)
	}
	rng := rand.New(rand.NewPCG(8, 0))
	last := usual.SameFitterPercent
	for _, limbs := range []int{3, 10, 30} {
		mean := 0.0
		const studies = 60
		for range studies {
			sees, err := estimate(t, careful.study(rng, limbs, 2, 2)).Sees()
			if err != nil {
				t.Fatal(err)
			}
			mean += sees.SameFitterPercent / studies
		}
		t.Logf("%d limbs: %.2f %%, truth %.2f, default %.2f", limbs, mean, truth.SameFitterPercent, usual.SameFitterPercent)
		if !(mean < last && mean > truth.SameFitterPercent) {
			t.Errorf("%d limbs see %.2f %%, want between the truth %.2f and %.2f before", limbs, mean, truth.SameFitterPercent, last)
		}
		last = mean
	}
}

// σ² = (ν0 σ0² + ν s²)/(ν0 + ν) by hand: one limb of two levels, two passes each
// 2 and 6 mm apart: s² = (2 + 18)/2 = 10 on 2 degrees of freedom, so
// (4·4 + 2·10)/6 = 6.
func TestShrinkageByHand(t *testing.T) {
	s := Study{On: "2026-05-04", Readings: []Reading{
		{"a", "A", "1", 0, 1, 300}, {"a", "A", "1", 0, 2, 302},
		{"a", "A", "1", 30, 1, 310}, {"a", "A", "1", 30, 2, 316},
	}}
	e := estimate(t, s)
	near(t, "own variance", e.Reading.Own*e.Reading.Own, 10, 1e-9)
	near(t, "variance in force", e.Reading.InForce*e.Reading.InForce, 6, 1e-9)
	near(t, "degrees of freedom", e.Reading.DF, 6, 0)
	// R: sqrt(36/qchisq(c(.975,.025), 6))
	near(t, "lo", e.Reading.Lo, 1.578435, 1e-6)
	near(t, "hi", e.Reading.Hi, 5.393938, 1e-6)
	if e.Level.OwnDF != 0 || e.SameFitter.Why != VisitsUnseen || e.Lasting.Why != OneRater {
		t.Errorf("one round of one limb told more than the reading error: %+v", e)
	}
	got := e.Sigmas
	got.ReadingMM = volume.DefaultSigmas.ReadingMM
	near(t, "β between fitters", got.BiasBetweenFitters, volume.DefaultSigmas.BiasBetweenFitters, 1e-15)
	got.BiasBetweenFitters = volume.DefaultSigmas.BiasBetweenFitters
	if got != volume.DefaultSigmas {
		t.Errorf("sigmas %+v, want the defaults but for reading", got)
	}
}

// What one study leaves is what the next starts from; studies after the date do
// not count, and their order in the list does not either.
func TestInForce(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 0))
	first, second := defaults.study(rng, 4, 2, 2), defaults.study(rng, 4, 2, 2)
	first.On, second.On = "2026-02-01", "2026-08-01"
	at := func(on quantity.Date) Estimate {
		e, err := InForce([]Study{second, first}, on)
		if err != nil {
			t.Fatal(err)
		}
		return e
	}
	if e := at("2026-01-31"); e.Studies != 0 || e.Sigmas != volume.DefaultSigmas || e.Reading.Why != NoStudy {
		t.Errorf("before any study: %+v", e)
	}
	if sees, err := at("2026-01-31").Sees(); err != nil || sees.Limbs != 0 || math.Abs(sees.SameFitterPercent-4.0) > 0.01 {
		t.Errorf("before any study: sees %+v, %v; want 1.96 √2 · 1.443 %%", sees, err)
	}
	one, both := at("2026-02-01"), at("")
	if one.Studies != 1 || one.On != "2026-02-01" || both.Studies != 2 || both.On != "2026-08-01" {
		t.Errorf("%d studies to %s, then %d to %s", one.Studies, one.On, both.Studies, both.On)
	}
	near(t, "degrees of freedom add up", both.Reading.DF, one.Reading.DF+48*2/2*2, 1e-9)
	next, err := second.Estimate(one.Prior())
	if err != nil {
		t.Fatal(err)
	}
	if next.Sigmas != both.Sigmas {
		t.Errorf("step by step %+v, at once %+v", next.Sigmas, both.Sigmas)
	}
	if sees, err := both.Sees(); err != nil || sees.Limbs != 8 {
		t.Errorf("sees %+v, %v; want the middle of 8 limbs", sees, err)
	}
}

func TestStudyRemarksSayWhatItCannotTell(t *testing.T) {
	rng := rand.New(rand.NewPCG(10, 0))
	whole := defaults.study(rng, 3, 2, 2)
	keep := func(keep func(Reading) bool) Study {
		s := Study{On: whole.On}
		for _, r := range whole.Readings {
			if keep(r) {
				s.Readings = append(s.Readings, r)
			}
		}
		return s
	}
	cases := []struct {
		name  string
		study Study
		code  StudyCode
	}{
		{"few limbs", whole, FewLimbs},
		{"placing on a cylinder", cylinders(rng), PlacingHidden},
		{"together on a cylinder", cylinders(rng), Together},
		{"one pass", keep(func(r Reading) bool { return r.Pass == 1 }), NoPasses},
		{"one fitter", keep(func(r Reading) bool { return r.Fitter == "A" }), OneFitter},
		{"one fitter on several days", keep(func(r Reading) bool { return r.Fitter == "A" }), LimbsOwnChange},
		{"one round", keep(func(r Reading) bool { return r.Fitter == "A" && r.Marks == "day 0" }), OneRound},
		{"a limb without common levels", keep(func(r Reading) bool {
			return r.Subject != "limb 00" || (r.Fitter == "A") == (r.LevelMM < 90)
		}), LimbsLeftOut},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			e := estimate(t, c.study)
			for _, m := range e.Remarks {
				if m.Code == c.code {
					if m.String() == "" || m.String() == string(m.Code) {
						t.Errorf("%s has no sentence", m.Code)
					}
					return
				}
			}
			t.Errorf("remarks %v, want one of %s", e.Remarks, c.code)
		})
	}
	if e := estimate(t, whole); reflect.DeepEqual(e.ByFitter[0].BiasPercent, Figure{}) || !e.ByFitter[0].ReadingMM.Bounded || e.Fitters != 2 {
		t.Errorf("by fitter %+v", e.ByFitter)
	}
}

// cylinders is a study of limbs whose girth hardly changes along them.
func cylinders(rng *rand.Rand) Study {
	s := defaults.study(rng, 12, 2, 2)
	for i := range s.Readings {
		r := &s.Readings[i]
		r.GirthMM = 300 + r.LevelMM/50 + 2*rng.NormFloat64()
	}
	return s
}

func TestStudyVolumes(t *testing.T) {
	s := defaults.study(rand.New(rand.NewPCG(11, 0)), 5, 2, 3)
	values, err := s.Volumes()
	if err != nil {
		t.Fatal(err)
	}
	r := analyse(t, values)
	if r.Subjects != 5 || len(r.Raters) != 2 || r.MostTrials != 3 || len(values) != 30 {
		t.Errorf("%d values of %d limbs by %v, %d trials", len(values), r.Subjects, r.Raters, r.MostTrials)
	}
	if r.Between.Pairs[0].Means.N != 5 {
		t.Errorf("pairs %+v", r.Between.Pairs)
	}
}

func TestBadStudies(t *testing.T) {
	good := Reading{"a", "A", "1", 0, 1, 300}
	bad := func(change func(*Reading)) []Reading {
		r := good
		change(&r)
		return []Reading{good, r}
	}
	cases := []struct {
		name     string
		readings []Reading
		want     error
	}{
		{"none", nil, ErrNoValues},
		{"girth of nothing", bad(func(r *Reading) { r.Pass, r.GirthMM = 2, 0 }), girth.ErrBadReading},
		{"not a number", bad(func(r *Reading) { r.Pass, r.GirthMM = 2, math.NaN() }), ErrBadReading},
		{"pass twice", bad(func(r *Reading) { r.GirthMM = 301 }), ErrBadReading},
		{"another limb", bad(func(r *Reading) { r.Pass, r.GirthMM = 2, 1900 }), ErrBadReading},
	}
	for _, c := range cases {
		if _, err := (Study{Readings: c.readings}).Estimate(DefaultPrior()); !errors.Is(err, c.want) {
			t.Errorf("%s: got %v, want %v", c.name, err, c.want)
		}
	}
}

// The intervals hold the truth about as often as they say where the workshop is
// not far from what is expected of one: studies of 10 limbs by two fitters, of
// workshops whose errors are themselves drawn around the defaults.
func TestComponentIntervalsHoldTheTruth(t *testing.T) {
	rng := rand.New(rand.NewPCG(12, 0))
	held := map[string]int{}
	const studies = 300
	for range studies {
		around := func(x float64) float64 { return x * math.Exp(0.36*rng.NormFloat64()) }
		w := workshop{around(2), around(3), around(3), around(0.005), around(defaults.lasting)}
		e := estimate(t, w.study(rng, 10, 2, 2))
		for name, part := range map[string]struct {
			Component
			truth float64
		}{
			"reading": {e.Reading, w.readingMM}, "level": {e.Level, w.levelMM}, "landmark": {e.Landmark, w.landmarkMM},
			"bias": {e.SameFitter, w.bias}, "lasting": {e.Lasting, w.lasting},
		} {
			if part.Lo <= part.truth && part.truth <= part.Hi {
				held[name]++
			}
		}
	}
	for name, n := range held {
		t.Logf("%s: %.1f %%", name, 100*float64(n)/studies)
		if share := float64(n) / studies; share < 0.91 {
			t.Errorf("%s: the 95 %% interval held the truth in %.1f %%", name, 100*share)
		}
	}
}
