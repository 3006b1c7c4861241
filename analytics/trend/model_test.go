package trend

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"
)

// nileSettings is the local level model of Durbin and Koopman in this filter:
// no slope, no deviation, a level that walks with variance 1469.1 a month.
func nileSettings() Settings {
	s := onePoint(0, math.Sqrt(1469.1), 0)
	s.Linear = true
	return s
}

// The annual flow of the Nile, 1871 to 1970, with the filtered and smoothed
// states of statsmodels' exact diffuse filter (Durbin & Koopman 2012, section
// 2.2; variances 15099 and 1469.1).
func TestNile(t *testing.T) {
	file, err := os.Open("../../testdata/reference/nile.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	reader := csv.NewReader(file)
	reader.Comment = '#'
	rows, err := reader.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	number := func(text string) float64 {
		v, err := strconv.ParseFloat(text, 64)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	rows = rows[1:]
	if len(rows) != 100 {
		t.Fatalf("%d years, want 100", len(rows))
	}
	f := mustFilter(t, nileSettings())
	p := newPast(f, len(rows), 1)
	first := number(rows[0][1])
	for i, row := range rows {
		// The bounds of a gap in mm do not hold for a river: in at the back door.
		variance, y := 15099.0, number(row[1])-first
		if i == 0 {
			f.sources = append(f.sources, "")
			f.scale = first
			f.begin(variance)
		} else {
			f.advance(y, variance, 0, float64(i)*DaysPerMonth)
		}
		f.n, f.lastDay = i+1, float64(i)*DaysPerMonth
		p.keep(f)
		m := f.levelMoments(0)
		near(t, "filtered level "+row[0], first+m.Mean, number(row[2]), 1e-9)
		near(t, "filtered variance "+row[0], m.SD*m.SD, number(row[3]), 1e-9)
	}
	near(t, "log-likelihood given the first", f.LogLik(), -632.5456251157, 1e-10)
	near(t, "with the diffuse step", f.LogLik()-0.5*math.Log(2*math.Pi), -633.4645636489, 1e-10)
	p.smooth(f, func(j, _ int, mean, cov []float64) {
		near(t, "smoothed level "+rows[j][0], first+mean[change]+mean[baseline], number(rows[j][4]), 1e-9)
		near(t, "smoothed variance "+rows[j][0], cov[c00]+2*cov[c30]+cov[c33], number(rows[j][5]), 1e-8)
	})
}

// history draws a series of log-volumes on irregular days.
func history(t *rapid.T) (days, y, u []float64) {
	n := rapid.IntRange(2, 12).Draw(t, "visits")
	day := 0.0
	for range n {
		days = append(days, day)
		y = append(y, rapid.Float64Range(-20, 20).Draw(t, "log-percent"))
		u = append(u, rapid.Float64Range(0.3, 5).Draw(t, "uncertainty"))
		day += float64(rapid.IntRange(0, 200).Draw(t, "gap"))
	}
	return days, y, u
}

// dense is the same model as one covariance of all differences from the first
// reading and of the change now: an integrated Ornstein–Uhlenbeck slope, a
// random walk and an Ornstein–Uhlenbeck deviation.
func dense(days, u []float64, s, m, g float64) (*mat.SymDense, []float64) {
	settings := DefaultSettings()
	k, n := settings.SlopeReturn, len(days)
	level := func(a, b float64) float64 { // covariance of the change at two times, in months
		lo, hi := math.Min(a, b), math.Max(a, b)
		ou := 2*k*lo - 1 + math.Exp(-k*lo) + math.Exp(-k*hi) - math.Exp(-k*(hi-lo))
		return s*s*ou/(k*k) + m*m*lo
	}
	daily := func(a, b float64) float64 { return g * g * math.Exp(-math.Abs(a-b)/settings.DayMemory) }
	cov := mat.NewSymDense(n-1, nil)
	with := make([]float64, n-1) // of the change now
	now := days[n-1] / DaysPerMonth
	for i := 1; i < n; i++ {
		a := days[i] / DaysPerMonth
		for j := i; j < n; j++ {
			c := level(a, days[j]/DaysPerMonth) + daily(days[i], days[j]) - daily(days[i], days[0]) - daily(days[j], days[0]) +
				g*g + u[0]*u[0]
			if i == j {
				c += u[i] * u[i]
			}
			cov.SetSym(i-1, j-1, c)
		}
		with[i-1] = level(a, now)
	}
	return cov, append(with, level(now, now))
}

// A Kalman filter over a Gaussian process is that process: the log-likelihood,
// mean and SD are those of the dense covariance.
func TestFilterIsTheGaussianProcess(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		days, y, u := history(t)
		s := rapid.Float64Range(0.05, 1).Draw(t, "s")
		m := rapid.Float64Range(0, 0.5).Draw(t, "m")
		g := rapid.Float64Range(0.1, 1.5).Draw(t, "g")
		f, err := NewFilter(onePoint(s, m, g))
		if err != nil {
			t.Fatal(err)
		}
		for i := range days {
			v := 1200 * math.Exp(y[i]/100)
			if err := f.Add(Reading{Day: days[i], Value: v, U: v * u[i] / 100}); err != nil {
				t.Fatal(err)
			}
		}
		cov, with := dense(days, u, s, m, g)
		n := len(days) - 1
		diff := mat.NewVecDense(n, nil)
		for i := range n {
			diff.SetVec(i, y[i+1]-y[0])
		}
		var root mat.Cholesky
		if !root.Factorize(cov) {
			t.Fatal("the covariance is not positive definite")
		}
		var solved, gain mat.VecDense
		if err := root.SolveVecTo(&solved, diff); err != nil {
			t.Fatal(err)
		}
		across := mat.NewVecDense(n, with[:n])
		if err := root.SolveVecTo(&gain, across); err != nil {
			t.Fatal(err)
		}
		logLik := -0.5 * (float64(n)*math.Log(2*math.Pi) + root.LogDet() + mat.Dot(diff, &solved))
		mean := mat.Dot(across, &solved)
		variance := with[n] - mat.Dot(across, &gain)
		got := f.Change()
		for _, c := range []struct {
			what      string
			got, want float64
		}{{"log-likelihood", f.LogLik(), logLik}, {"mean", got.Mean, mean}, {"variance", got.SD * got.SD, variance}} {
			if !(math.Abs(c.got-c.want) <= 1e-8*math.Max(1, math.Abs(c.want))) {
				t.Fatalf("%s %.14g, dense %.14g", c.what, c.got, c.want)
			}
		}
	})
}
