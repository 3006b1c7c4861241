package trend

import (
	"bufio"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// Hollander, Wolfe & Chicken, Nonparametric Statistical Methods, example 9.1:
// the median of the ten slopes is −0.05625.
func TestTheilSenOfHollanderAndWolfe(t *testing.T) {
	file, err := os.Open("../../testdata/reference/theil_sen_hollander_wolfe_ex9_1.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	var x, y []float64
	for lines := bufio.NewScanner(file); lines.Scan(); {
		left, right, found := strings.Cut(lines.Text(), ",")
		if !found || left == "x" || strings.HasPrefix(left, "#") {
			continue
		}
		x, y = append(x, parse(t, left)), append(y, parse(t, right))
	}
	got, ok := TheilSen(x, y)
	if !ok || math.Abs(got-(-0.05625)) > 1e-14 || len(x) != 5 {
		t.Errorf("slope %.16g of %d points, want -0.05625 of 5", got, len(x))
	}
}

// lattice is a series that any language can make: (i² · 7919 mod 1009)/8, or
// 100 sin(0.7 i) + 0.01 i at i/2.
func lattice(n int) (x, y []float64) {
	for i := range n {
		x = append(x, float64(i))
		y = append(y, float64(i*i*7919%1009)/8)
	}
	return x, y
}

// Made once by scipy 1.10.1 (Debian's python3-scipy):
//
//	from scipy.stats import theilslopes; import numpy as np
//	i = np.arange(1600); y = ((i*i*7919) % 1009)/8.0
//	theilslopes(y[:301], i[:301])[0], theilslopes(y, i)[0]
//	theilslopes(100*np.sin(0.7*i) + 0.01*i, np.repeat(np.arange(800), 2))[0]
func TestTheilSenAgreesWithScipy(t *testing.T) {
	x, y := lattice(1600)
	var twice, wave []float64
	for i := range 1600 {
		twice = append(twice, float64(i/2))
		wave = append(wave, 100*math.Sin(0.7*float64(i))+0.01*float64(i))
	}
	for _, c := range []struct {
		name string
		x, y []float64
		want float64
	}{
		{"301 points", x[:301], y[:301], 0.028889357944179184},
		{"1600 points", x, y, -0.0004432624113475177},
		{"1600 points, two at each place", twice, wave, 0.019474325047913355},
	} {
		got, ok := TheilSen(c.x, c.y)
		if !ok || math.Abs(got-c.want) > 1e-12 {
			t.Errorf("%s: %.17g, want %.17g", c.name, got, c.want)
		}
	}
}

func TestTheilSenWithoutSlopes(t *testing.T) {
	for _, x := range [][]float64{nil, {1}, {2, 2, 2}, make([]float64, 2000)} {
		if slope, ok := TheilSen(x, make([]float64, len(x))); ok {
			t.Errorf("%d points at one place have the slope %g", len(x), slope)
		}
	}
}

// Counting finds what comparing finds, with points at the same place and equal
// slopes among them.
func TestTheilSenByCounting(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 60).Draw(t, "points")
		x := rapid.SliceOfN(rapid.Map(rapid.IntRange(0, 30), func(i int) float64 { return float64(i) / 4 }), n, n).Draw(t, "x")
		y := rapid.SliceOfN(rapid.Map(rapid.IntRange(-8, 8), func(i int) float64 { return float64(i) / 2 }), n, n).Draw(t, "y")
		slices.Sort(x)
		want, there := TheilSen(x, y)
		got, ok := countedTheilSen(x, y)
		if ok != there || math.Abs(got-want) > 1e-10*math.Max(1, math.Abs(want)) {
			t.Fatalf("counted %g, %v; compared %g, %v", got, ok, want, there)
		}
	})
}
