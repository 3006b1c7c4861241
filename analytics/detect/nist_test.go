package detect

import (
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
)

// published reads a table of testdata/reference; the first record is its
// heading.
func published(t *testing.T, file string) [][]float64 {
	t.Helper()
	content, err := os.ReadFile("../../testdata/reference/" + file)
	if err != nil {
		t.Fatal(err)
	}
	var rows [][]float64
	for i, line := range strings.Split(strings.TrimSpace(string(content)), "\n") {
		if strings.HasPrefix(line, "#") || strings.ContainsAny(line, "abcdefghijklmnopqrstuvwxyz") {
			continue
		}
		var row []float64
		for cell := range strings.SplitSeq(line, ",") {
			x, err := strconv.ParseFloat(cell, 64)
			if err != nil {
				t.Fatalf("%s:%d: %v", file, i+1, err)
			}
			row = append(row, x)
		}
		rows = append(rows, row)
	}
	return rows
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.9g, want %.9g ± %g", what, got, want, tolerance)
	}
}

// NIST/SEMATECH e-Handbook 6.3.2.4: 20 values around 50, λ 0.3, s 2.0539, three
// standard deviations; the handbook prints the averages to two decimals and the
// limits 52.5884 and 47.4115 (READ-2nd), and no point is outside.
func TestEWMAOfTheHandbook(t *testing.T) {
	rows := published(t, "nist_ewma_6324.csv")
	if len(rows) != 20 {
		t.Fatalf("%d rows, want 20", len(rows))
	}
	const k, s, lambda = 3, 2.0539, 0.3
	settled := k * s * math.Sqrt(lambda/(2-lambda))
	near(t, "upper limit", 50+settled, 52.588432, 1e-6)
	near(t, "lower limit", 50-settled, 47.411568, 1e-6)
	chart := EWMAChart{Lambda: lambda, Target: 50, SD: s}
	for i, row := range rows {
		z, sd := chart.Next(row[1])
		near(t, "average "+strconv.Itoa(i+1), z, row[2], 0.006)
		if i == 0 {
			near(t, "exact limit at the first value", 50+k*sd, 51.848510, 1e-6) // COMPUTED from the formula
		}
		if math.Abs(z-50) > settled {
			t.Errorf("value %d is outside the limits, which the handbook says of none", i+1)
		}
		if i == len(rows)-1 {
			near(t, "limit after many values", k*sd, settled, 1e-5)
		}
	}
}

// NIST/SEMATECH e-Handbook 6.3.2.3: 20 groups around 325, k 0.3175, h 4.1959;
// both sums are printed to two decimals (READ-2nd), and group 14 is the first
// that is out.
func TestCUSUMOfTheHandbook(t *testing.T) {
	rows := published(t, "nist_cusum_6323.csv")
	if len(rows) != 20 {
		t.Fatalf("%d rows, want 20", len(rows))
	}
	const h = 4.1959
	chart := CUSUMChart{Target: 325, K: 0.3175}
	exact := map[int]float64{13: 3.0075, 14: 4.94, 20: 19.035} // COMPUTED
	first, most := 0, 0.0
	for _, row := range rows {
		group := int(row[0])
		hi, lo := chart.Next(row[1])
		near(t, "high sum "+strconv.Itoa(group), hi, row[2], 0.006)
		near(t, "low sum "+strconv.Itoa(group), lo, row[3], 0.006)
		if want, ok := exact[group]; ok {
			near(t, "high sum exactly", hi, want, 1e-6)
		}
		if first == 0 && (hi > h || lo > h) {
			first = group
		}
		most = math.Max(most, lo)
	}
	near(t, "largest low sum", most, 0.715, 1e-6)
	if first != 14 {
		t.Errorf("first signal at group %d, want 14", first)
	}
}
