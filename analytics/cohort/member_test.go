package cohort

import (
	"math"
	"reflect"
	"slices"
	"testing"

	"fairlead/analytics/girth"
	"fairlead/analytics/volume"
	"gonum.org/v1/gonum/stat"
)

// within fails where a share of n differs from what was drawn for by more than
// four standard deviations of a binomial count: one test in 16,000 does by chance,
// and the seed is fixed.
func within(t *testing.T, what string, hits, n int, want float64) {
	t.Helper()
	got := float64(hits) / float64(n)
	if math.Abs(got-want) > 4*math.Sqrt(want*(1-want)/float64(n)) {
		t.Errorf("%s: %.4f of %d, want %g", what, got, n, want)
	}
}

func members(d Draw, n int) []Member {
	drawn := make([]Member, n)
	for i := range drawn {
		drawn[i] = d.Member(uint64(i))
	}
	return drawn
}

func TestSameDrawSameMember(t *testing.T) {
	d := Draw{Seed: 3, Visits: 12, Setting: Everyday}
	other := d
	other.Seed++
	last := d.Member(7)
	d.Member(2)
	if !reflect.DeepEqual(last, d.Member(7)) {
		t.Error("member 7 depends on who was drawn before")
	}
	if reflect.DeepEqual(last.Rows, d.Member(8).Rows) || reflect.DeepEqual(last.Rows, other.Member(7).Rows) {
		t.Error("another number or seed gives the same readings")
	}
	if !reflect.DeepEqual(d.Follow(last, DefaultTape), d.Follow(last, DefaultTape)) {
		t.Error("the same member is followed in two ways")
	}
	clean := d
	clean.Setting = Clean
	if c := clean.Member(7); !reflect.DeepEqual(c.Path, last.Path) || c.Rows[3].Day != last.Rows[3].Day {
		t.Error("the setting changes what happens to the limb")
	}
}

func TestMixOfACohort(t *testing.T) {
	const n = 4000
	count := map[Group]int{}
	early := 0
	for _, m := range members(Draw{Seed: 5, Visits: 3, Setting: Clean}, n) {
		count[m.Group]++
		if m.Early() {
			early++
		}
		if m.TrueLogPercentAt(0) != 0 {
			t.Fatalf("member %d has changed by %g on day 0", m.Number, m.TrueLogPercentAt(0))
		}
	}
	for _, part := range mix {
		within(t, string(part.group), count[part.group], n, part.share)
	}
	within(t, "early", early, n, 0.20)
}

// What the readings are made of, each against what it was drawn for.
func TestReadingsOfACohort(t *testing.T) {
	const limbs, visits = 4000, 12
	var z, logGap, spread []float64
	wild, second, none := 0, 0, 0
	clean := members(Draw{Seed: 6, Visits: visits, Setting: Clean, Fate: Steadily}, limbs)
	for _, m := range clean {
		for i, row := range m.Rows {
			if row.Wild || row.Source != 0 {
				t.Fatal("a clean cohort has a slip or a second fitter")
			}
			z = append(z, math.Log(row.VolumeML/m.Again[i].VolumeML)/math.Hypot(row.UML/row.VolumeML, m.Again[i].UML/m.Again[i].VolumeML))
			spread = append(spread, math.Log(100*row.UML/row.VolumeML/usualUPercent))
			if i > 0 {
				logGap = append(logGap, math.Log(float64(row.Day-m.Rows[i-1].Day)/7))
			}
		}
	}
	for _, m := range members(Draw{Seed: 6, Visits: visits, Setting: Everyday, Fate: Steadily}, limbs) {
		sources := 0
		for _, row := range m.Rows {
			sources += row.Source
			if row.Wild {
				wild++
			}
		}
		second += sources
		if sources == 0 {
			none++
		}
		if m.Rows[0].Source != 0 {
			t.Fatal("the second fitter comes first")
		}
	}
	within(t, "wild readings", wild, limbs*visits, 0.01)
	within(t, "limbs of one fitter", none, limbs, 0.75+0.25*math.Pow(0.8, visits-1))
	if share := float64(second) / (limbs * (visits - 1)); math.Abs(share-0.05) > 0.005 { // clustered by limb
		t.Errorf("second fitter at %.4f of the visits, want 0.05", share)
	}
	for _, c := range []struct {
		what                 string
		values               []float64
		mean, sd             float64
		meanWithin, sdWithin float64
	}{
		{"two rounds of a day, in units of their error", z, 0, 1, 0.02, 0.02},
		{"logarithm of u over 1.5 %", spread, 0, 0.15, 0.003, 0.003},
		{"logarithm of the weeks between visits", logGap, math.Log(24) / 2, math.Log(6) / math.Sqrt(12), 0.02, 0.02},
	} {
		mean, sd := stat.MeanStdDev(c.values, nil)
		if math.Abs(mean-c.mean) > c.meanWithin || math.Abs(sd-c.sd) > c.sdWithin {
			t.Errorf("%s: %.4f ± %.4f, want %.4f ± %.4f", c.what, mean, sd, c.mean, c.sd)
		}
	}
}

func TestBreaksWithin(t *testing.T) {
	m := Member{Path: Path{{Kind: SlowLoss, Percent: 1, StartDay: 20}, {Kind: Step, Percent: 5, StartDay: 100}}}
	for _, tt := range []struct {
		after, until float64
		want         bool
	}{{0, 50, false}, {50, 100, true}, {99, 200, true}, {100, 200, false}} {
		if got := m.BreaksWithin(tt.after, tt.until); got != tt.want {
			t.Errorf("after %g until %g: %v, want %v", tt.after, tt.until, got, tt.want)
		}
	}
}

func TestFates(t *testing.T) {
	atOnce := 0
	const n = 1000
	for _, m := range members(Draw{Seed: 8, Visits: 10, Setting: Clean, Fate: Losing(1)}, n) {
		if m.Path[0].Percent != 1 {
			t.Fatalf("loses %g %% a month", m.Path[0].Percent)
		}
		if m.Path[0].StartDay == 0 {
			atOnce++
		}
	}
	within(t, "losing from the first visit", atOnce, n, 0.5)
	for _, m := range members(Draw{Seed: 8, Visits: 10, Setting: Clean, Fate: Stepping(-8, 3, 2)}, n) {
		day := m.Path[0].StartDay
		if day < float64(m.Rows[3].Day) || day > float64(m.Rows[7].Day) {
			t.Fatalf("steps on day %g, want from the fourth visit to the eighth", day)
		}
	}
}

// The error of the volume that is computed from the girths of a followed limb
// has the size that goes with it, and what is felt belongs to the stations.
func TestFollowedLimbsAreReadAsTheModelSays(t *testing.T) {
	const limbs = 1500
	d := Draw{Seed: 9, Visits: 4, Setting: Clean}
	var z, u []float64
	missed := 0
	for _, m := range members(d, limbs) {
		f := d.Follow(m, DefaultTape)
		if len(f.Visits) != len(m.Rows) || len(f.Visits[0].Readings) == 0 {
			t.Fatal("not every row has a visit, or the first was not taped")
		}
		for i, v := range f.Visits {
			if len(v.FeltMM) != len(f.Gaps) {
				t.Fatalf("%d gaps felt at %d stations", len(v.FeltMM), len(f.Gaps))
			}
			if len(v.Readings) == 0 {
				missed++
				continue
			}
			once, again := measured(t, v.Readings), measured(t, v.Again)
			z = append(z, (once.VolumeML-again.VolumeML)/math.Hypot(once.UML, again.UML))
			u = append(u, 100*once.UML/once.VolumeML)
			if factor := m.Path.FactorAt(float64(m.Rows[i].Day)) * math.Exp(m.dayToDay[i]); i == 0 {
				truth := f.Limb.TrueVolumeML(0, f.LevelsMM[len(f.LevelsMM)-1], factor)
				if math.Abs(once.VolumeML/truth-1) > 0.10 {
					t.Errorf("member %d is read as %.0f mL, truth %.0f", m.Number, once.VolumeML, truth)
				}
			}
		}
	}
	within(t, "not taped", missed, limbs*3, 0.05)
	if mean, sd := stat.MeanStdDev(z, nil); math.Abs(mean) > 0.06 || math.Abs(sd-1) > 0.05 {
		t.Errorf("two rounds of a day differ by %.3f ± %.3f in units of their error, want 0 ± 1", mean, sd)
	}
	if mean := stat.Mean(u, nil); mean < 1.2 || mean > 1.8 {
		t.Errorf("u is %.2f %%, want about 1.5", mean)
	}
}

func TestSecondFitterAndSlipsReachTheTape(t *testing.T) {
	d := Draw{Seed: 10, Visits: 6, Setting: Everyday, Fate: Steadily}
	var off, own []float64
	for _, m := range members(d, 3000) {
		f := d.Follow(m, Tape{})
		for i, row := range m.Rows {
			if row.Source == 0 && !row.Wild || len(f.Visits[i].Readings) == 0 {
				continue
			}
			want := m.slips[i]
			if row.Source > 0 {
				want += m.biasPercent / 100
			}
			read := measured(t, f.Visits[i].Readings).VolumeML / measured(t, f.Visits[0].Again).VolumeML
			off, own = append(off, want), append(own, read-1)
		}
	}
	if r := stat.Correlation(off, own, nil); len(off) < 500 || r < 0.9 {
		t.Errorf("biases and slips of %d visits reach the tape with a correlation of %.3f", len(off), r)
	}
}

func TestTwoPassesKeepsTheThirdWhereAskedFor(t *testing.T) {
	limb := NewLimb(NewRand(1), "transtibial", 1)
	three := Tape{ReadingMM: 3}.Read(NewRand(2), limb, 1, []float64{0, 30, 60, 90}, 3)
	kept := twoPasses(slices.Clone(three))
	if len(kept) < 8 || len(kept) >= 12 || !slices.Equal(kept[:8], three[:8]) {
		t.Errorf("kept %d of 12 readings: %v", len(kept), kept)
	}
}

// measured is the volume of readings with the default errors.
func measured(t *testing.T, readings []girth.Reading) volume.Estimate {
	t.Helper()
	profile, err := girth.Pool(readings)
	if err != nil {
		t.Fatal(err)
	}
	estimate, err := volume.Measure(profile, volume.DefaultSigmas)
	if err != nil {
		t.Fatal(err)
	}
	return estimate
}
