package geom

import "math"

// Sum adds numbers and carries what rounding loses along: the error of Total is
// about that of one addition, however many numbers there are (A. Neumaier, Z.
// angew. Math. Mech. 1974;54:39–51). The zero value is an empty sum.
type Sum struct{ sum, lost float64 }

// Add adds x.
func (s *Sum) Add(x float64) {
	t := s.sum + x
	if math.Abs(s.sum) >= math.Abs(x) {
		s.lost += (s.sum - t) + x
	} else {
		s.lost += (x - t) + s.sum
	}
	s.sum = t
}

// Total returns the sum.
func (s *Sum) Total() float64 { return s.sum + s.lost }
