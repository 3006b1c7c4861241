package trend

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// steadyLimb is an invented limb that keeps its level: 14 visits 2 to 12 weeks
// apart, a day-to-day SD of 0.8 % and a reading error of 1.5 %.
func steadyLimb(rng *rand.Rand) []Reading {
	readings := make([]Reading, 14)
	day := 0.0
	for i := range readings {
		v := 1200 * math.Exp((0.8*rng.NormFloat64()+1.5*rng.NormFloat64())/100)
		readings[i] = Reading{Day: day, Value: v, U: 0.015 * v}
		day += math.Round(14 * math.Exp(rng.Float64()*math.Log(6)))
	}
	return readings
}

// finalChange is the change in log-percent and its SD after all readings.
func finalChange(t *testing.T, f *Filter, readings []Reading) Moments {
	t.Helper()
	f.Reset(0)
	for _, r := range readings {
		if err := f.Add(r); err != nil {
			t.Fatal(err)
		}
	}
	return f.Change()
}

// One slip among 14 visits moves the final change, in percent on average and
// for 95 % of limbs, as the study of the method found it (COMPUTED there, on its
// own limbs: hence the room of a quarter).
func TestOneSlipMovesLittle(t *testing.T) {
	const room = 1.25
	f := mustFilter(t, DefaultSettings())
	for _, c := range []struct {
		name       string
		slip       float64 // percent
		before     int     // visits from the last one
		mean, most float64
	}{
		{name: "15 % at the newest", slip: 15, before: 0, mean: 2.0, most: 4.5},
		{name: "15 % one visit before", slip: 15, before: 1, mean: 0.26, most: 0.74},
		{name: "15 % two visits before", slip: 15, before: 2, mean: 0.19, most: 0.54},
		{name: "30 % at the newest", slip: 30, before: 0, mean: 0.4, most: 1.3},
		{name: "−40 % two visits before", slip: -40, before: 2, mean: 0.2, most: 0.5},
		{name: "8 % at the newest", slip: 8, before: 0, mean: 2.6, most: 4.4},
		{name: "8 % one visit before", slip: 8, before: 1, mean: 0.7, most: 2.2},
		{name: "8 % two visits before", slip: 8, before: 2, mean: 0.4, most: 1.4},
	} {
		rng := rand.New(rand.NewPCG(4, 0))
		const limbs = 400
		moves := make([]float64, limbs)
		sum := 0.0
		for i := range moves {
			readings := steadyLimb(rng)
			clean := finalChange(t, f, readings)
			at := len(readings) - 1 - c.before
			readings[at].Value *= 1 + c.slip/100
			readings[at].U *= 1 + c.slip/100
			moves[i] = math.Abs(finalChange(t, f, readings).Mean - clean.Mean)
			sum += moves[i]
		}
		slices.Sort(moves)
		mean, most := sum/limbs, moves[limbs*95/100]
		if mean > room*c.mean || most > room*c.most || mean < c.mean/2 {
			t.Errorf("%s moves the change by %.2f %%, for 95 %% of limbs by %.2f %%; want about %g and %g", c.name, mean, most, c.mean, c.most)
		}
	}
}

// A step of 8 % is open at its own visit, where it is asked to measure again;
// a second full pass of that day settles it, as does a slip's.
func TestSecondPassSettles(t *testing.T) {
	before := visitsOf(28, 1210, 1222, 1204, 1209, 1213, 1208)
	day := testStart.AddDays(6 * 28)
	for _, c := range []struct {
		name          string
		first, second float64
		step          bool
	}{{"a step", 1113, 1116, true}, {"a slip", 1113, 1211, false}} {
		visits := append(slices.Clone(before), Visit{Date: day, VolumeML: c.first, UML: 17})
		open := mustRun(t, visits, Options{})
		if !open.MeasureAgain || open.ChangeLog.SD < 3 {
			t.Errorf("%s at once: measure again %v, SD %.2f; want it open", c.name, open.MeasureAgain, open.ChangeLog.SD)
		}
		settled := mustRun(t, append(visits, Visit{Date: day, VolumeML: c.second, UML: 17}), Options{})
		if settled.MeasureAgain || settled.ChangeLog.SD > 2.2 || settled.LossOver3 > 0.5 != c.step {
			t.Errorf("%s with a second pass: measure again %v, SD %.2f, P(loss > 3 %%) %.2f", c.name,
				settled.MeasureAgain, settled.ChangeLog.SD, settled.LossOver3)
		}
	}
}
