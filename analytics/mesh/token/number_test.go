package token

import (
	"math"
	"math/rand/v2"
	"strconv"
	"testing"
)

// Number gives what strconv gives, to the last bit, and refuses what it refuses.
func TestNumberAsStrconv(t *testing.T) {
	words := []string{
		"", "-", "+", ".", "-.", "e5", "1e", "1e+", "1e5", "1E-05", "+1.5", "-0", "0.", ".5", "1.2.3", "1,5", "0x10", "1e400", "-1e-400", "nan", "inf",
		"123456789012345", "1234567890123456", "0.1", "0.3e22", "1e22", "1e23", "9007199254740993", "4.35", "1e-22", "1e-23", "12345678901234567890123", "1_000", "1e1000", "1e0005",
	}
	random := rand.New(rand.NewPCG(1, 2))
	for range 20_000 {
		x := math.Float64frombits(random.Uint64())
		for _, format := range []byte{'g', 'e'} {
			words = append(words, strconv.FormatFloat(x, format, random.IntN(18), 64), strconv.FormatFloat(random.NormFloat64()*300, 'f', random.IntN(12), 64))
		}
	}
	for _, w := range words {
		want, err := strconv.ParseFloat(w, 64)
		got, ok := Number([]byte(w))
		if ok != (err == nil) || (ok && math.Float64bits(got) != math.Float64bits(want)) {
			t.Errorf("%q: got %g, %v, want %g, %v", w, got, ok, want, err)
		}
	}
}

func TestWhole(t *testing.T) {
	for word, want := range map[string]int{"0": 0, "12": 12, "-7": -7, "999999999999999999": 999999999999999999} {
		if got, ok := Whole([]byte(word)); !ok || got != want {
			t.Errorf("%q: got %d, %v", word, got, ok)
		}
	}
	for _, word := range []string{"", "-", "+1", "1.0", "1e3", "1000000000000000000", "x"} {
		if got, ok := Whole([]byte(word)); ok {
			t.Errorf("%q: got %d, want it refused", word, got)
		}
	}
}
