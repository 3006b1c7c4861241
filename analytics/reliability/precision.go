package reliability

import "math"

// Precision says how far two values of one subject lie apart.
type Precision struct {
	Subjects int // with two values or more
	Values   int // of those subjects
	Mean     float64
	// TEM is the technical error of measurement, the standard deviation of a
	// value around the mean of its subject:
	//
	//	TEM = √(Σ d²/2n) of pairs,  √(Σ within SS / Σ (values − 1)) of more
	//
	// (Ulijaszek and Kerr 1999; the within-subject SD of Bland and Altman 1986).
	// What raters or trials differ by as a whole is in it.
	TEM Figure
	// TEMPercent is TEM in percent of the mean (Perini et al. 2005).
	TEMPercent Figure
	// Reliability is R = 1 − TEM²/SD², SD that of all values (Ulijaszek and Kerr
	// 1999). It has no interval.
	Reliability Figure
	// SEM is the standard error of measurement √MSerror, with what raters or
	// trials differ by as a whole taken out (Weir 2005).
	SEM Figure
	// SEMAgreement has that difference in it: √(MSerror + (MSraters − MSerror)/n)
	// (Weir 2005). It has no interval.
	SEMAgreement Figure
	// MDC95 is the smallest difference of two values that is no measuring error,
	// 1.96 √2 SEM (Weir 2005).
	MDC95 Figure
	// MDC95Agreement is the same of SEMAgreement, for values by whomever.
	MDC95Agreement Figure
}

// precision works out what a sample says about its error. The intervals are by
// chi-square; that of TEM leans on columns that don't differ as a whole, that of
// SEM does not.
func (s sample) precision() Precision {
	ss, df := s.withinSubjects()
	counts, _ := s.means()
	p := Precision{TEM: deviation(ss, df)}
	var repeated []float64
	for _, n := range counts {
		if n > 1 {
			p.Subjects++
		}
	}
	positive := true
	for _, c := range s.cells {
		if counts[c.subject] > 1 {
			repeated = append(repeated, c.value)
			positive = positive && c.value >= 0
		}
	}
	p.Values = len(repeated)
	p.TEMPercent, p.Reliability = undefined(NoRepeats), undefined(NoRepeats)
	if df > 0 {
		mean, variance := meanVariance(repeated)
		p.Mean = mean
		p.TEMPercent = undefined(NotPositive)
		if positive && mean > 0 {
			p.TEMPercent = p.TEM.scaled(100 / mean)
		}
		p.Reliability = undefined(AllEqual)
		if variance = s.zeroed(variance*float64(len(repeated))) / float64(len(repeated)); variance > 0 {
			p.Reliability = defined(1-p.TEM.Value*p.TEM.Value/variance, ErrorUnbounded)
		}
	}
	p.SEM, p.SEMAgreement = s.standardErrors(df)
	p.MDC95 = p.SEM.scaled(z95 * math.Sqrt2)
	p.MDC95Agreement = p.SEMAgreement.scaled(z95 * math.Sqrt2)
	return p
}

// standardErrors returns SEM and SEMAgreement.
func (s sample) standardErrors(df int) (sem, agreement Figure) {
	if df < 1 {
		return undefined(NoRepeats), undefined(NoRepeats)
	}
	fit, ok := s.fitAdditive()
	if !ok {
		return undefined(TooManyRaters), undefined(TooManyRaters)
	}
	if fit.errorDF < 1 {
		return undefined(Disconnected), undefined(Disconnected)
	}
	sem = deviation(fit.errorSS, fit.errorDF)
	square := fit.errorSS / float64(fit.errorDF)
	return sem, defined(math.Sqrt(square+math.Max(fit.columnVariance(), 0)), ErrorUnbounded)
}

// columnVariance estimates the variance of what columns differ by as a whole,
// (MScolumns − MSerror)/n for a full table; it can be negative. 0 for a single
// column.
func (fit additive) columnVariance() float64 {
	if fit.columnDF < 1 || fit.errorDF < 1 {
		return 0
	}
	error := fit.errorSS / float64(fit.errorDF)
	return (fit.columnSS - float64(fit.columnDF)*error) / fit.spread
}

// meanVariance returns mean and variance (n − 1) of at least two values.
func meanVariance(values []float64) (mean, variance float64) {
	for _, v := range values {
		mean += v
	}
	mean /= float64(len(values))
	for _, v := range values {
		variance += float64((v - mean) * (v - mean))
	}
	return mean, variance / float64(len(values)-1)
}
