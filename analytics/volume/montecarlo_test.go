package volume

import (
	"math"
	"math/rand/v2"
	"testing"

	"fairlead/analytics/girth"
)

// simulation draws visits to a known limb by the error model: the landmark is
// found with σL, each level placed with σz from it, each pass read with σr, and
// all girths of a visit share the relative bias β.
type simulation struct {
	random *rand.Rand
	truth  girth.Profile
	passes int
	s      Sigmas
}

// trueGirth is the limb at any level: the curve of the truth, and straight on
// beyond its ends, where misplaced end levels fall.
func (m simulation) trueGirth(level float64) float64 {
	from, to := m.truth.Span()
	inside := min(max(level, from), to)
	g, err := m.truth.GirthAt(inside)
	if err != nil {
		panic(err)
	}
	slopes := m.truth.Slopes()
	if level < from {
		return g + (level-from)*slopes[0]
	}
	return g + (level-inside)*slopes[len(slopes)-1]
}

// table is trueGirth sampled finely around each level, so that 100,000 visits
// cost no fits.
type table struct{ girths []float64 }

const (
	tableReachMM = 40.0
	tableStepMM  = 0.1
)

func (m simulation) tables() []table {
	n := int(2*tableReachMM/tableStepMM) + 1
	tables := make([]table, len(m.truth))
	for i, at := range m.truth {
		tables[i].girths = make([]float64, n)
		for j := range n {
			tables[i].girths[j] = m.trueGirth(at.LevelMM - tableReachMM + float64(j)*tableStepMM)
		}
	}
	return tables
}

func (t table) at(offsetMM float64) float64 {
	return t.girths[int(math.Round((offsetMM+tableReachMM)/tableStepMM))]
}

// visit draws one visit.
func (m simulation) visit(tables []table) girth.Profile {
	landmark := m.s.LandmarkMM * m.random.NormFloat64()
	bias := 1 + m.s.BiasSameFitter*m.random.NormFloat64()
	readings := make([]girth.Reading, 0, len(m.truth)*m.passes)
	for i, at := range m.truth {
		g := tables[i].at(landmark + m.s.LevelMM*m.random.NormFloat64())
		for pass := range m.passes {
			readings = append(readings, girth.Reading{
				LevelMM: at.LevelMM,
				Pass:    pass + 1,
				GirthMM: g*bias + m.s.ReadingMM*m.random.NormFloat64(),
			})
		}
	}
	p, err := girth.Pool(readings)
	if err != nil {
		panic(err)
	}
	return p
}

// spread returns the standard deviation of f over draws of it.
func spread(draws int, f func() float64) float64 {
	mean, sum := 0.0, 0.0
	for i := range draws {
		x := f()
		d := x - mean
		mean += d / float64(i+1)
		sum += d * (x - mean)
	}
	return math.Sqrt(sum / float64(draws-1))
}

const (
	draws       = 40000 // the spread is then known to 0.4 %
	mcTolerance = 0.02
)

func within(t *testing.T, what string, u, simulated, tolerance float64) {
	t.Helper()
	if math.Abs(u/simulated-1) > tolerance {
		t.Errorf("%s: u %.4f, simulated %.4f (%+.2f %%), want within %g %%", what, u, simulated, 100*(u/simulated-1), 100*tolerance)
	}
}

// withPasses is the profile with so many passes at each level, all alike.
func withPasses(p girth.Profile, passes int) girth.Profile {
	var readings []girth.Reading
	for _, at := range p {
		for pass := range passes {
			readings = append(readings, girth.Reading{LevelMM: at.LevelMM, Pass: pass + 1, GirthMM: at.GirthMM})
		}
	}
	q, err := girth.Pool(readings)
	if err != nil {
		panic(err)
	}
	return q
}

func TestUncertaintyAgreesWithMonteCarlo(t *testing.T) {
	between := DefaultSigmas.Between(true)
	conical := profileOf(25, 410, 395, 370, 350, 322, 290, 265)
	cases := []struct {
		name   string
		truth  girth.Profile
		passes int
		levels []float64 // nil for the measured ones
		s      Sigmas
	}{
		{"series A, two passes", seriesA, 2, nil, DefaultSigmas},
		{"series A, one pass", seriesA, 1, nil, DefaultSigmas},
		{"series A, median of three", seriesA, 3, nil, DefaultSigmas},
		{"series A, median of four", seriesA, 4, nil, DefaultSigmas},
		{"series A, median of five", seriesA, 5, nil, DefaultSigmas},
		{"series A, between fitters", seriesA, 2, nil, between},
		{"conical limb, reading only", conical, 2, nil, Sigmas{ReadingMM: 2}},
		{"conical limb, placing only", conical, 2, nil, Sigmas{LevelMM: 3}},
		{"conical limb, landmark only", conical, 2, nil, Sigmas{LandmarkMM: 3}},
		{"conical limb, bias only", conical, 2, nil, Sigmas{BiasSameFitter: 0.005}},
		{"conical limb, a part of the span on other levels", conical, 2, []float64{10, 30, 40, 60, 80, 95, 118}, DefaultSigmas},
		{"conical limb, one segment between two levels", conical, 2, []float64{55, 65}, DefaultSigmas},
		{"series A, finer than measured", seriesA, 2, []float64{0, 10, 20, 30, 40, 50, 60, 70, 80, 90, 100, 110, 120, 130, 140, 150}, DefaultSigmas},
		{"series A, interpolated at the crest", seriesA, 2, []float64{15, 45, 75}, DefaultSigmas},
	}
	for i, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			m := simulation{random: rand.New(rand.NewPCG(2026, uint64(i))), truth: c.truth, passes: c.passes, s: c.s}
			levels := c.levels
			if levels == nil {
				levels = c.truth.Levels()
			}
			e, err := MeasureOn(withPasses(c.truth, c.passes), levels, c.s)
			if err != nil {
				t.Fatal(err)
			}
			tables := m.tables()
			simulated := spread(draws, func() float64 {
				girths, err := m.visit(tables).GirthsAt(levels)
				if err != nil {
					t.Fatal(err)
				}
				_, v := frusta(levels, girths)
				return v
			})
			within(t, "volume in mL", e.UML, simulated, mcTolerance)
		})
	}
}

// Two visits to one limb, on plans that share neither levels nor ends.
func TestChangeAgreesWithMonteCarlo(t *testing.T) {
	plan := func(levels ...float64) girth.Profile {
		var readings []girth.Reading
		for _, level := range levels {
			g, err := seriesA.GirthAt(level)
			if err != nil {
				t.Fatal(err)
			}
			readings = append(readings, girth.Reading{LevelMM: level, Pass: 1, GirthMM: g}, girth.Reading{LevelMM: level, Pass: 2, GirthMM: g})
		}
		p, err := girth.Pool(readings)
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	cases := []struct {
		name           string
		then, now      girth.Profile
		fitter, second string
	}{
		{"same plan, same fitter", seriesA, seriesA, "A", "A"},
		{"same plan, another fitter", seriesA, seriesA, "A", "B"},
		{"another plan", plan(0, 30, 60, 90, 120, 150), plan(20, 50, 80, 110, 140), "A", "A"},
	}
	for i, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			reference, now := Visit{Profile: c.then, Fitter: c.fitter}, Visit{Profile: c.now, Fitter: c.second}
			change := Compare(reference, now, DefaultSigmas)
			s := DefaultSigmas.Between(c.fitter != c.second)
			random := rand.New(rand.NewPCG(2, uint64(i)))
			first := simulation{random: random, truth: c.then, passes: 2, s: s}
			second := simulation{random: random, truth: c.now, passes: 2, s: s}
			tablesThen, tablesNow := first.tables(), second.tables()
			simulated := spread(draws/2, func() float64 {
				return Compare(
					Visit{Profile: first.visit(tablesThen), Fitter: c.fitter},
					Visit{Profile: second.visit(tablesNow), Fitter: c.second}, DefaultSigmas).ChangeML
			})
			within(t, "change in mL", change.UML, simulated, mcTolerance)
		})
	}
}

// A single girth is judged on 5 %: where the taper sets in, the
// curve bends within the error of placing, and no other level evens that out.
func TestGirthChangeAgreesWithMonteCarlo(t *testing.T) {
	m := simulation{random: rand.New(rand.NewPCG(3, 0)), truth: seriesA, passes: 2, s: DefaultSigmas}
	tables := m.tables()
	for _, level := range []float64{60, 75, 110, 150} {
		_, u := girthOn(seriesA, level, DefaultSigmas)
		simulated := spread(draws, func() float64 {
			g, err := m.visit(tables).GirthAt(level)
			if err != nil {
				t.Fatal(err)
			}
			return g
		})
		within(t, "girth in mm", u, simulated, 0.05)
	}
}
