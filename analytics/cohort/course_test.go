package cohort

import (
	"math"
	"testing"
)

func TestFactorAt(t *testing.T) {
	month, year := 30.4375, 365.25
	tests := []struct {
		name   string
		course Course
		days   float64
		want   float64
	}{
		{"steady", Course{Kind: Steady}, 500, 1},
		{"slow loss after ten months", Course{Kind: SlowLoss, Percent: 1}, 10 * month, math.Exp(-0.1)},
		{"slow loss before its start", Course{Kind: SlowLoss, Percent: 1, StartDay: 90}, 89, 1},
		{"slow loss counts from its start", Course{Kind: SlowLoss, Percent: 1, StartDay: 90}, 90 + month, math.Exp(-0.01)},
		{"slow loss that began before", Course{Kind: SlowLoss, Percent: 1, StartDay: -90}, month, math.Exp(-0.01)},
		{"swelling before", Course{Kind: Swelling, Percent: 6, StartDay: 10, Days: 40}, 10, 1},
		{"swelling at its top", Course{Kind: Swelling, Percent: 6, StartDay: 10, Days: 40}, 30, 1.06},
		{"swelling gone", Course{Kind: Swelling, Percent: 6, StartDay: 10, Days: 40}, 50, 1},
		{"the day before a step", Course{Kind: Step, Percent: -8, StartDay: 100}, 99, 1},
		{"the day of a step", Course{Kind: Step, Percent: -8, StartDay: 100}, 100, 0.92},
		{"season, half a year after the top", Course{Kind: Seasonal, Percent: 0.5}, year / 2, 0.995 / 1.005},
		{"season comes round", Course{Kind: Seasonal, Percent: 0.5, StartDay: 77}, year, 1},
		{"log-time, twice the weeks", Course{Kind: LogTime, Percent: 9.7, WeeksSince: 10}, 70, math.Exp(-0.097 * math.Ln2)},
		{"decay, half of it", Course{Kind: Decay, Percent: 16, Days: 60}, 60, math.Exp(-0.08)},
		{"decay, three quarters of it", Course{Kind: Decay, Percent: 16, Days: 60}, 120, math.Exp(-0.12)},
		{"growth of a year", Course{Kind: Growth, Percent: 9}, year, math.Exp(0.09)},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := tt.course.FactorAt(tt.days); math.Abs(got-tt.want) > 1e-12 {
				t.Errorf("got %.15g, want %.15g", got, tt.want)
			}
			if got := tt.course.FactorAt(0); math.Abs(got-1) > 1e-12 {
				t.Errorf("day 0: got %g, want 1", got)
			}
		})
	}
}

// Expected losses in percent of the initial volume, computed from Tantua et al.
// 2014: 3.9 from week 8 to 12, 6.7 from 12 to 24, 7.5 from 24 to 52.
func TestEarlyShrinkageFollowsLogTime(t *testing.T) {
	course := Course{Kind: EarlyShrinkage, Percent: ShrinkagePercentPerLogWeek, WeeksSince: 1}
	for _, tt := range []struct{ from, to, want float64 }{{8, 12, 3.9}, {12, 24, 6.7}, {24, 52, 7.5}} {
		got := 100 * (course.FactorAt(7*(tt.from-1)) - course.FactorAt(7*(tt.to-1)))
		if math.Abs(got-tt.want) > 0.05 {
			t.Errorf("weeks %g to %g: lost %.3f %%, want %g", tt.from, tt.to, got, tt.want)
		}
	}
	later := Course{Kind: EarlyShrinkage, Percent: ShrinkagePercentPerLogWeek, WeeksSince: 8}
	if got, want := later.FactorAt(28), course.FactorAt(7*11)/course.FactorAt(7*7); math.Abs(got-want) > 1e-12 {
		t.Errorf("seen from week 8, week 12 is %g, want %g", got, want)
	}
}

func TestCausesMultiply(t *testing.T) {
	path := Path{{Kind: SlowLoss, Percent: 1}, {Kind: Step, Percent: -5, StartDay: 60}}
	want := path[0].FactorAt(100) * 0.95
	if got := path.FactorAt(100); math.Abs(got-want) > 1e-15 {
		t.Errorf("got %g, want %g", got, want)
	}
	if got := (Path{}).FactorAt(100); got != 1 {
		t.Errorf("no cause: got %g, want 1", got)
	}
}

func TestOnlyGrowthLengthens(t *testing.T) {
	growth := Course{Kind: Growth, Percent: 9}
	length := growth.LengthFactorAt(365.25)
	if got, want := length*length*length, math.Exp(0.09); math.Abs(got-want) > 1e-12 {
		t.Errorf("cube of the length is %g, want the volume %g", got, want)
	}
	if got := (Course{Kind: SlowLoss, Percent: 1}).LengthFactorAt(365); got != 1 {
		t.Errorf("a loss changes the length by %g", got)
	}
}

func TestDayToDay(t *testing.T) {
	const n = 20000
	rng := NewRand(2)
	var sum, squares float64
	for range n {
		y := 100 * math.Log(DayToDay(rng, 0.8))
		sum += y
		squares += y * y
	}
	mean, sd := sum/n, math.Sqrt(squares/n)
	if math.Abs(mean) > 4*0.8/math.Sqrt(n) || math.Abs(sd/0.8-1) > 4/math.Sqrt(2*n) {
		t.Errorf("mean %g %%, standard deviation %g %%, want 0 and 0.8", mean, sd)
	}
}
