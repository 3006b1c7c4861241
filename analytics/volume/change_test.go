package volume

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"fairlead/analytics/girth"
	"fairlead/analytics/quantity"
)

// scaled is series A with every girth times k: the volume times k².
func scaled(k float64) girth.Profile {
	return profileOf(30, 320*k, 335*k, 330*k, 310*k, 285*k, 250*k)
}

// Verdicts for a known change of volume; same fitter, MDC95 about 4 %.
func TestVerdicts(t *testing.T) {
	cases := []struct {
		name    string
		percent float64
		b       string // second fitter
		verdict Verdict
		code    string
	}{
		{"nothing", 0, "A", NoChange, WhyWithin},
		{"small loss", -2, "A", NoChange, WhyWithin},
		{"small gain", 3, "A", NoChange, WhyWithin},
		{"clear loss", -6, "A", Smaller, WhySmaller},
		{"clear gain", 6, "A", Larger, WhyLarger},
		{"the same loss seen by two fitters", -6, "B", CannotTell, WhyUnresolved},
		{"the same gain seen by two fitters", 6, "B", CannotTell, WhyUnresolved},
		{"4.9 % seen by two fitters", -4.9, "B", NoChange, WhyWithin},
		{"15 % seen by two fitters", -15, "B", Smaller, WhySmaller},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			now := scaled(math.Sqrt(1 + c.percent/100))
			got := Compare(Visit{Profile: seriesA, Fitter: "A"}, Visit{Profile: now, Fitter: c.b}, DefaultSigmas)
			if !got.Comparable || got.Verdict != c.verdict || got.Why.Code != c.code {
				t.Errorf("got %+v, want %q because %q", got, c.verdict, c.code)
			}
			near(t, "percent", got.ChangePercent, c.percent, 1e-9)
			near(t, "millilitres", got.ChangeML, c.percent/100*got.ReferenceML, 1e-9)
			near(t, "lower end", got.LoPercent, got.ChangePercent-1.959964*got.UPercent, 1e-9)
			near(t, "upper end", got.HiPercent, got.ChangePercent+1.959964*got.UPercent, 1e-9)
			if got.Why.Figures[FigureLo] != got.LoPercent || got.Why.Figures[FigureHi] != got.HiPercent {
				t.Errorf("figures %v do not belong to the interval", got.Why.Figures)
			}
		})
	}
}

// V5: no change beyond measurement is |Δ| ≤ MDC95 = 1.96 √2 SEM (Weir 2005),
// here on either side of the limit.
func TestVerdictTurnsAtTheSmallestDetectableChangeV5(t *testing.T) {
	for _, side := range []float64{-1, 1} {
		limit := func(percent float64) Verdict {
			now := scaled(math.Sqrt(1 + percent/100))
			return Compare(Visit{Profile: seriesA}, Visit{Profile: now}, DefaultSigmas).Verdict
		}
		lo, hi := 0.0, 5.0
		for range 50 {
			middle := (lo + hi) / 2
			if limit(side*middle) == NoChange {
				lo = middle
			} else {
				hi = middle
			}
		}
		now := scaled(math.Sqrt(1 + side*lo/100))
		at := Compare(Visit{Profile: seriesA}, Visit{Profile: now}, DefaultSigmas)
		near(t, "the limit in percent", lo, 1.959964*at.UPercent, 1e-6)
	}
}

func TestNotComparable(t *testing.T) {
	minutes := 10.0
	base := Visit{
		Profile:    seriesA,
		Series:     Series{Landmark: "mid-patellar tendon", PlanReference: "p1", CapKind: quantity.SemiEllipsoid, CapDepthMM: 30, Device: "tape"},
		Fitter:     "A",
		MinutesOff: &minutes,
		Posture:    "knee straight",
	}
	cases := []struct {
		name   string
		change func(*Visit)
		code   string
	}{
		{"landmark", func(v *Visit) { v.Series.Landmark = "medial joint line" }, WhyLandmark},
		{"plan reference", func(v *Visit) { v.Series.PlanReference = "p2" }, WhyPlanReference},
		{"cap kind", func(v *Visit) { v.Series.CapKind = quantity.ConeCap }, WhyCap},
		{"cap depth", func(v *Visit) { v.Series.CapDepthMM = 25 }, WhyCap},
		{"revision", func(v *Visit) { v.Series.RevisedOn = "2026-05-01" }, WhyRevision},
		{"device", func(v *Visit) { v.Series.Device = "scanner" }, WhyDevice},
		{"posture", func(v *Visit) { v.Posture = "knee bent" }, WhyPosture},
		{"nothing measured", func(v *Visit) { v.Profile = nil }, WhyTooFewLevels},
		{"one level", func(v *Visit) { v.Profile = profileOf(30, 320) }, WhyTooFewLevels},
		{"no shared span", func(v *Visit) {
			v.Profile, _ = girth.Pool([]girth.Reading{{LevelMM: 160, Pass: 1, GirthMM: 240}, {LevelMM: 190, Pass: 1, GirthMM: 220}})
		}, WhyNoSharedSpan},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			other := base
			c.change(&other)
			for _, pair := range [][2]Visit{{base, other}, {other, base}} {
				got := Compare(pair[0], pair[1], DefaultSigmas)
				if got.Comparable || got.Verdict != NotComparable || got.Why.Code != c.code || got.ChangeML != 0 {
					t.Errorf("got %+v, want not comparable because of %q", got, c.code)
				}
				if got.Why.String() == "" {
					t.Errorf("%q has no sentence", c.code)
				}
			}
		})
	}
	unknown := base
	unknown.Posture = ""
	if got := Compare(base, unknown, DefaultSigmas); !got.Comparable {
		t.Errorf("posture not known: got %q, want comparable", got.Why)
	}
	if got := Compare(base, base, Sigmas{LevelMM: -1}); got.Why.Code != WhyBadSigmas {
		t.Errorf("bad uncertainty: got %q, want %q", got.Why.Code, WhyBadSigmas)
	}
}

func TestWidened(t *testing.T) {
	at := func(minutes float64) *float64 { return &minutes }
	cases := []struct {
		name      string
		then, now Visit
		want      []string
		rise      float64 // of the reference volume, in percent
	}{
		{"same fitter, same time", Visit{Fitter: "A", MinutesOff: at(10)}, Visit{Fitter: "A", MinutesOff: at(10)}, nil, 0},
		{"fitter not known once", Visit{Fitter: "A"}, Visit{}, nil, 0},
		{"time not known once", Visit{MinutesOff: at(10)}, Visit{}, nil, 0},
		{"other fitter", Visit{Fitter: "A"}, Visit{Fitter: "B"}, []string{WidenedByFitter}, 0},
		// 6.0 % (e^−0 − e^−1) = 3.79 %, and 6.0 % (e^−1 − e^−3) = 1.91 % (COMPUTED)
		{"at once and after 10 min", Visit{MinutesOff: at(0)}, Visit{MinutesOff: at(10)}, []string{WidenedByDoffing}, 3.7927},
		{"after 10 and after 30 min", Visit{MinutesOff: at(10)}, Visit{MinutesOff: at(30)}, []string{WidenedByDoffing}, 1.9085},
		{"both", Visit{Fitter: "A", MinutesOff: at(30)}, Visit{Fitter: "B", MinutesOff: at(10)}, []string{WidenedByFitter, WidenedByDoffing}, 1.9085},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			c.then.Profile, c.now.Profile = seriesA, seriesA
			got := Compare(c.then, c.now, DefaultSigmas)
			if !slices.Equal(got.Widened, c.want) {
				t.Errorf("widened by %q, want %q", got.Widened, c.want)
			}
			plain := Compare(Visit{Profile: seriesA, Fitter: c.then.Fitter}, Visit{Profile: seriesA, Fitter: c.now.Fitter}, DefaultSigmas)
			near(t, "added uncertainty in percent", math.Sqrt(got.UPercent*got.UPercent-plain.UPercent*plain.UPercent), c.rise, 1e-3)
			near(t, "change is not corrected", got.ChangeML, 0, 1e-9)
		})
	}
}

func TestWhySaysIt(t *testing.T) {
	figures := map[string]float64{FigureChange: -6.2, FigureLo: -12.34, FigureHi: 0.04}
	cases := []struct {
		name string
		why  Why
		want string
	}{
		{"unresolved", Why{WhyUnresolved, figures}, "can't be told from measuring error: between −12.3 and 0.0 %; measure again before the client leaves"},
		{"within", Why{WhyWithin, map[string]float64{FigureChange: 1.2, FigureLo: -2.8, FigureHi: 5.2}}, "the difference of +1.2 % is within measuring error: between −2.8 and +5.2 %"},
		{"landmark", Why{Code: WhyLandmark}, "the zero landmark differs between the two visits"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if got := c.why.String(); got != c.want {
				t.Errorf("got %q, want %q", got, c.want)
			}
		})
	}
	for code, sentence := range whySentences {
		if sentence == "" || strings.HasSuffix(sentence, ".") {
			t.Errorf("%s: %q, want a clause", code, sentence)
		}
	}
}

func TestCompareToSound(t *testing.T) {
	visit := func(k float64) Visit { return Visit{Profile: scaled(k)} }
	loss := Compare(visit(1), visit(math.Sqrt(0.90)), DefaultSigmas)
	cases := []struct {
		name    string
		sound   Change
		ok      bool
		want    float64
		verdict Verdict
	}{
		{"sound limb steady", Compare(visit(1), visit(1), DefaultSigmas), true, -10, Smaller},
		{"sound limb lost as much", loss, true, 0, NoChange},
		{"sound limb lost some", Compare(visit(1), visit(math.Sqrt(0.95)), DefaultSigmas), true, -5, CannotTell},
		{"sound limb not comparable", notComparable(WhyLandmark), false, 0, ""},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			got, ok := CompareToSound(loss, c.sound)
			if ok != c.ok || got.Verdict != c.verdict {
				t.Errorf("got %+v, %v, want %q, %v", got, ok, c.verdict, c.ok)
			}
			near(t, "difference", got.DifferencePercent, c.want, 1e-6)
			if ok {
				near(t, "u²", got.UPercent*got.UPercent, loss.UPercent*loss.UPercent+c.sound.UPercent*c.sound.UPercent, 1e-9)
			}
		})
	}
}

func TestGirthChanges(t *testing.T) {
	now := profileOf(50, 320, 330, 305, 250) // levels 0, 50, 100, 150
	got, err := GirthChanges(seriesA, now, DefaultSigmas)
	if err != nil {
		t.Fatal(err)
	}
	var levels []float64
	for _, c := range got {
		levels = append(levels, c.LevelMM)
		near(t, "change", c.ChangeMM, c.NowMM-c.ThenMM, 1e-12)
		if c.BeyondTape != (math.Abs(c.ChangeMM) > 1.959964*c.UMM) {
			t.Errorf("level %g: %+v: beyond the tape or not?", c.LevelMM, c)
		}
	}
	if want := []float64{0, 30, 50, 60, 90, 100, 120, 150}; !slices.Equal(levels, want) {
		t.Errorf("levels %v, want %v", levels, want)
	}
	thin, err := GirthChanges(seriesA, profileOf(30, 320, 335, 330, 290, 285, 250), DefaultSigmas)
	if err != nil {
		t.Fatal(err)
	}
	for i, c := range thin {
		if want := i == 3; c.BeyondTape != want {
			t.Errorf("level %g, %+.1f ± %.1f mm: beyond the tape %v, want %v", c.LevelMM, c.ChangeMM, c.UMM, c.BeyondTape, want)
		}
	}
}

func TestGirthChangesRefuses(t *testing.T) {
	if _, err := GirthChanges(seriesA, profileOf(30, 320), DefaultSigmas); !errors.Is(err, girth.ErrTooFewLevels) {
		t.Errorf("one level: got %v, want ErrTooFewLevels", err)
	}
	if _, err := GirthChanges(seriesA, seriesA, Sigmas{LevelMM: -1}); !errors.Is(err, ErrBadSigmas) {
		t.Errorf("bad uncertainty: got %v, want ErrBadSigmas", err)
	}
}
