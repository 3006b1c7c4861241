package reliability

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
)

// Value is one measured value.
type Value struct {
	Subject string
	Rater   string // who, or by which method; may be empty
	Trial   int    // from 1
	Value   float64
}

// MaxValue is how far from zero a value may be.
const MaxValue = 1e9

// Errors of Analyse.
var (
	ErrNoValues = errors.New("reliability: no values")
	ErrBadValue = errors.New("reliability: bad value")
)

// negligible is what a residual may be, relative to the largest value, to count
// as the rounding of equal numbers: some thousand times the precision of a
// double, and far below any measurement.
const negligible = 1e-12

// cell is a value by the numbers of its subject and of the column it stands in.
type cell struct {
	subject, column int
	value           float64
}

// sample are values by subject and column.
type sample struct {
	cells             []cell
	subjects, columns int
	floor             float64 // a sum of squares below it is zero
}

// index numbers what is in a list, in its order.
type index[K comparable] struct {
	of   map[K]int
	keys []K
}

func (x *index[K]) number(key K) int {
	if x.of == nil {
		x.of = map[K]int{}
	}
	i, known := x.of[key]
	if !known {
		i = len(x.keys)
		x.of[key] = i
		x.keys = append(x.keys, key)
	}
	return i
}

// newSample numbers subjects and columns of some values.
func newSample[K comparable](values []Value, column func(Value) K) (sample, []K) {
	var subjects index[string]
	var columns index[K]
	s := sample{cells: make([]cell, 0, len(values))}
	for _, v := range values {
		s.cells = append(s.cells, cell{subjects.number(v.Subject), columns.number(column(v)), v.Value})
	}
	s.subjects, s.columns = len(subjects.keys), len(columns.keys)
	s.setFloor()
	return s, columns.keys
}

// setFloor works out below which sum of squares there is only rounding.
func (s *sample) setFloor() {
	most := 0.0
	for _, c := range s.cells {
		most = math.Max(most, math.Abs(c.value))
	}
	s.floor = float64(len(s.cells)) * (negligible * most) * (negligible * most)
}

// zeroed returns a sum of squares, 0 when it is only rounding.
func (s sample) zeroed(ss float64) float64 {
	if ss <= s.floor {
		return 0
	}
	return ss
}

// means returns the number and the mean of the values of each subject.
func (s sample) means() (counts []int, means []float64) {
	counts, means = make([]int, s.subjects), make([]float64, s.subjects)
	for _, c := range s.cells {
		counts[c.subject]++
		means[c.subject] += c.value
	}
	for i := range means {
		if counts[i] > 0 {
			means[i] /= float64(counts[i])
		}
	}
	return counts, means
}

// checked returns the values in the order of subject, rater and trial.
func checked(values []Value) ([]Value, error) {
	if len(values) == 0 {
		return nil, ErrNoValues
	}
	sorted := slices.Clone(values)
	slices.SortStableFunc(sorted, func(a, b Value) int {
		return cmp.Or(cmp.Compare(a.Subject, b.Subject), cmp.Compare(a.Rater, b.Rater), cmp.Compare(a.Trial, b.Trial))
	})
	for i, v := range sorted {
		switch {
		case !(math.Abs(v.Value) <= MaxValue):
			return nil, fmt.Errorf("%w: %g of subject %q is not within ±%g", ErrBadValue, v.Value, v.Subject, float64(MaxValue))
		case v.Trial < 1:
			return nil, fmt.Errorf("%w: trial %d of subject %q; trials count from 1", ErrBadValue, v.Trial, v.Subject)
		case i > 0 && v.Subject == sorted[i-1].Subject && v.Rater == sorted[i-1].Rater && v.Trial == sorted[i-1].Trial:
			return nil, fmt.Errorf("%w: trial %d of subject %q by rater %q is there twice", ErrBadValue, v.Trial, v.Subject, v.Rater)
		}
	}
	return sorted, nil
}
