package reliability

import (
	"math"

	"gonum.org/v1/gonum/stat"
)

// Pair is what two raters or methods gave for one subject.
type Pair struct {
	Subject string
	A, B    float64
}

// Point is a pair in an agreement plot.
type Point struct {
	Subject          string
	Mean, Difference float64 // (A + B)/2 and A − B
}

// Agreement is the agreement of two raters or methods by the differences A − B
// (Bland and Altman 1986): their mean is the bias, bias ± 1.96 SD the limits
// that hold about 95 % of differences.
//
// The limits suppose that the differences do not depend on the size of what is
// measured; Growing says that they do, by the slope of the difference on the
// mean, and then the differences in percent (AgreePercent) serve better.
type Agreement struct {
	N        int
	Percent  bool // differences are in percent of the mean of each pair
	Bias     Figure
	SD       Figure
	Lower    Figure // limit of agreement
	Upper    Figure
	Slope    Figure // of the difference on the mean, by least squares
	Growing  bool   // the interval of the slope excludes 0
	Outside  int    // points beyond the limits
	Points   []Point
	Repeated int // how many trials each value is the mean of; SD and limits are for one trial
}

// Agree compares two raters or methods. The interval of the bias is by t with SD
// √(1/n), that of a limit with SD √(3/n), as in the paper. Fewer than two pairs
// leave everything undefined.
func Agree(pairs []Pair) Agreement {
	points := make([]Point, len(pairs))
	for i, p := range pairs {
		points[i] = Point{Subject: p.Subject, Mean: p.A/2 + p.B/2, Difference: p.A - p.B}
	}
	return agreementOf(points, 0)
}

// AgreePercent compares them by their differences in percent of the mean of each
// pair, for differences that grow with size (Bland and Altman 1986 advise the
// ratio). False when a value is not above zero.
func AgreePercent(pairs []Pair) (Agreement, bool) {
	points := make([]Point, len(pairs))
	for i, p := range pairs {
		if !(p.A > 0 && p.B > 0) {
			return Agreement{}, false
		}
		mean := p.A/2 + p.B/2
		points[i] = Point{Subject: p.Subject, Mean: mean, Difference: 100 * (p.A - p.B) / mean}
	}
	a := agreementOf(points, 0)
	a.Percent = true
	return a, true
}

// agreeRepeated compares means of m trials each. The limits are for one trial of
// either: to the variance of the differences of means comes (1 − 1/m) of each
// one's variance between trials (Bland and Altman 1986, on repeated
// measurements; for m = 2 their √(sD² + s1²/4 + s2²/4), s1 and s2 the SDs of the
// differences between trials). The intervals of the limits take all of it for
// the SD of n differences, a little wider than need be.
func agreeRepeated(pairs []Pair, m int, varianceA, varianceB float64) Agreement {
	a := Agree(pairs)
	if !a.Bias.Defined {
		return a
	}
	a = agreementOf(a.Points, (1-1/float64(m))*(varianceA+varianceB))
	a.Repeated = m
	return a
}

// agreementOf works out the limits, with a variance that comes to that of the
// differences.
func agreementOf(points []Point, more float64) Agreement {
	a := Agreement{N: len(points), Points: points, Repeated: 1}
	n := float64(a.N)
	if a.N < 2 {
		u := undefined(FewPairs)
		a.Bias, a.SD, a.Lower, a.Upper, a.Slope = u, u, u, u, u
		return a
	}
	differences := make([]float64, a.N)
	var most float64
	for i, p := range points {
		differences[i] = p.Difference
		most = math.Max(most, math.Abs(p.Mean)+math.Abs(p.Difference))
	}
	bias, variance := meanVariance(differences)
	if floor := negligible * most; variance <= floor*floor {
		variance = 0
	}
	a.SD = deviation((variance+more)*(n-1), a.N-1)
	sd, t := a.SD.Value, t975(a.N-1)
	half := t * math.Sqrt(variance/n)
	if a.Bias = within(bias, bias-half, bias+half); variance == 0 {
		a.Bias = defined(bias, NoError)
	}
	edge := t * sd * math.Sqrt(3/n)
	lower, upper := bias-z95*sd, bias+z95*sd
	a.Lower = within(lower, lower-edge, lower+edge)
	a.Upper = within(upper, upper-edge, upper+edge)
	if sd == 0 {
		a.Lower, a.Upper = defined(lower, NoError), defined(upper, NoError)
	}
	for _, p := range points {
		if p.Difference < lower || p.Difference > upper {
			a.Outside++
		}
	}
	a.Slope = slopeOf(points, variance)
	a.Growing = a.Slope.Bounded && (a.Slope.Lo > 0 || a.Slope.Hi < 0)
	return a
}

// slopeOf returns the slope of the differences on the means with its interval
// by t.
func slopeOf(points []Point, variance float64) Figure {
	x, y := make([]float64, len(points)), make([]float64, len(points))
	for i, p := range points {
		x[i], y[i] = p.Mean, p.Difference
	}
	if len(points) < 3 {
		return undefined(FewSubjects)
	}
	if variance == 0 {
		return defined(0, NoError)
	}
	l, ok := fitLine(x, y)
	if !ok {
		return undefined(SubjectsAlike)
	}
	half := t975(len(points)-2) * l.slopeSD
	return within(l.slope, l.slope-half, l.slope+half)
}

// line is a straight line by least squares with the standard deviations of its
// coefficients.
type line struct{ intercept, slope, interceptSD, slopeSD float64 }

// fitLine fits y = intercept + slope x to at least three points; false when x
// does not vary.
func fitLine(x, y []float64) (line, bool) {
	mean, variance := meanVariance(x)
	n := float64(len(x))
	if floor := negligible * math.Abs(mean); variance <= floor*floor {
		return line{}, false
	}
	var l line
	l.intercept, l.slope = stat.LinearRegression(x, y, nil, false)
	rss := 0.0
	for i := range x {
		r := y[i] - (l.intercept + float64(l.slope*x[i]))
		rss += float64(r * r)
	}
	sxx := variance * (n - 1)
	square := rss / (n - 2)
	l.slopeSD = math.Sqrt(square / sxx)
	l.interceptSD = math.Sqrt(square * (1/n + mean*mean/sxx))
	return l, true
}
