package detect

import "math"

// EWMAChart is the exponentially weighted moving average of values around a
// known target:
//
//	z = λ x + (1 − λ) z before,  starting from the target
//
// (Roberts 1959; NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.4). It
// leans on equally spaced values of one variance.
type EWMAChart struct {
	Lambda float64 // weight of the newest value, 0 to 1
	Target float64
	SD     float64 // of one value
	n      int
	z      float64 // less the target
}

// Next takes the next value and returns the average and its standard deviation,
//
//	SD √[λ/(2 − λ) · (1 − (1 − λ)^2t)]
//
// which the handbook's limits, for many values, replace by SD √[λ/(2 − λ)].
func (c *EWMAChart) Next(x float64) (z, sd float64) {
	c.n++
	c.z = float64(c.Lambda*(x-c.Target)) + float64((1-c.Lambda)*c.z)
	settled := -math.Expm1(2 * float64(c.n) * math.Log1p(-c.Lambda))
	return c.Target + c.z, c.SD * math.Sqrt(c.Lambda/(2-c.Lambda)*settled)
}

// CUSUMChart is the tabular cumulative sum of deviations from a known target:
//
//	hi = max(0, hi before + x − target − K),  lo = max(0, lo before + target − K − x)
//
// (Page 1954; NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.3). K is
// half of the shift that should be found soonest.
type CUSUMChart struct {
	Target, K float64
	hi, lo    float64
}

// Next takes the next value and returns both sums.
func (c *CUSUMChart) Next(x float64) (hi, lo float64) {
	c.hi = math.Max(0, c.hi+x-c.Target-c.K)
	c.lo = math.Max(0, c.lo+c.Target-c.K-x)
	return c.hi, c.lo
}

// EWMA puts visits on an EWMA chart: each as its difference from the base in
// standard deviations of one visit, √(u² + g²). The score is the average in
// units of its own standard deviation. The error of the base itself is not in
// it, as charts have it: a longer base is the remedy.
type EWMA struct {
	Threshold       float64 // standard deviations of the average; 2.7 to 3 are usual
	Lambda          float64 // 0.2 to 0.3 for slow changes, more for steps
	DayToDayPercent float64 // g; 0 for none
	BaseVisits      int     // below 1 counts as 1
	base            base
	chart           EWMAChart
}

// Observe is as in Rule.
func (r *EWMA) Observe(v Reading) (score float64, out bool) {
	r.base.visits = r.BaseVisits
	x, ok := r.base.standardise(v, r.DayToDayPercent)
	if !ok {
		return 0, false
	}
	r.chart.Lambda, r.chart.SD = r.Lambda, 1
	z, sd := r.chart.Next(x)
	if sd > 0 {
		score = z / sd
	}
	return score, beyond(score, r.Threshold)
}

// Reset is as in Rule.
func (r *EWMA) Reset() {
	r.base.forget()
	r.chart = EWMAChart{}
}

// CUSUM puts visits on a CUSUM chart, standardised as for EWMA. The score is the
// larger of the two sums, with a minus sign for the one of losses.
type CUSUM struct {
	Threshold       float64 // standard deviations of one visit; 4 to 5 are usual
	K               float64 // the same; 0.5 finds a shift of one soonest
	DayToDayPercent float64 // g; 0 for none
	BaseVisits      int     // below 1 counts as 1
	base            base
	chart           CUSUMChart
}

// Observe is as in Rule.
func (r *CUSUM) Observe(v Reading) (score float64, out bool) {
	r.base.visits = r.BaseVisits
	x, ok := r.base.standardise(v, r.DayToDayPercent)
	if !ok {
		return 0, false
	}
	r.chart.K = r.K
	hi, lo := r.chart.Next(x)
	score = hi
	if lo > hi {
		score = -lo
	}
	return score, beyond(score, r.Threshold)
}

// Reset is as in Rule.
func (r *CUSUM) Reset() {
	r.base.forget()
	r.chart = CUSUMChart{}
}

// standardise returns the difference of a visit from the base in standard
// deviations of one visit; false for a visit that is passed over or is part of
// the base.
func (b *base) standardise(v Reading, dayToDayPercent float64) (x float64, ok bool) {
	y, u, ok := v.usable()
	if !ok {
		return 0, false
	}
	variance := float64(u*u) + float64(dayToDayPercent*dayToDayPercent)
	if b.add(y, variance) {
		return 0, false
	}
	return (y - b.mean) / math.Sqrt(variance), true
}
