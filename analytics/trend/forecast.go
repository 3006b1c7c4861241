package trend

import "math"

// Bounds of a forecast.
const (
	maxHorizonDays = 182 // 26 weeks
	minHorizonDays = 14
	minDays        = 4 // days with a visit
)

// What a forecast, or its absence, rests on.
const (
	ForecastGiven = "given"
	ForecastOne   = "one visit"
	ForecastFew   = "too little to say"
	ForecastPast  = "already beyond the limit"
)

// NoDay stands for a day that is not reached within the horizon.
const NoDay = -1

// Forecast says whether and when the level passes a limit.
type Forecast struct {
	Kind        string  // one of ForecastGiven, …
	HorizonDays int     // whole days after the last reading: the least of the span and 182
	Limit       float64 // percent of the level at the first reading; mm when linear

	// Probability of being beyond the limit at some whole day up to the horizon;
	// of being beyond it today where that is ForecastPast. Not set for
	// ForecastOne and ForecastFew.
	Probability float64
	// The days after the last reading by which the level is beyond the limit
	// with probability 0.05, 0.50 and 0.95; NoDay where that is not reached or
	// there is no forecast.
	P05, P50, P95 int

	// What is missing for ForecastOne and ForecastFew: so many more days with a
	// visit, the last so many days after the first reading, or later.
	MissingDays, FromDay int
}

// Told tells that there is a probability.
func (f Forecast) Told() bool { return f.Kind == ForecastGiven || f.Kind == ForecastPast }

// Crossing returns the forecast for a limit in percent (mm when linear), the
// loss side when it is negative and the gain side when it is positive. With
// F(h) the running maximum, over whole days up to h, of the probability that
// the level is beyond the limit, a quantile q is the first day with F ≥ q. New
// steps are not foreseen. It panics as Beyond does.
func (f *Filter) Crossing(limit float64) Forecast {
	edge := f.settings.fromPercent(limit)
	out := Forecast{
		Kind: ForecastGiven, Limit: limit, P05: NoDay, P50: NoDay, P95: NoDay,
		HorizonDays: int(min(f.Span(), maxHorizonDays)),
	}
	if f.days < minDays || out.HorizonDays < minHorizonDays {
		out.Kind = ForecastFew
		if f.days < 2 {
			out.Kind = ForecastOne
		}
		out.MissingDays = max(minDays-f.days, 1)
		out.FromDay = minHorizonDays
		return out
	}
	const rounding = 1e-9 // so that machines agree on the day
	running := f.beyondAfter(0, edge, limit < 0)
	if running >= 0.5 {
		out.Kind, out.Probability = ForecastPast, running
		return out
	}
	for h := 0; h <= out.HorizonDays; h++ {
		if h > 0 {
			running = max(running, f.beyondAfter(float64(h), edge, limit < 0))
		}
		for _, q := range []struct {
			level float64
			day   *int
		}{{0.05, &out.P05}, {0.50, &out.P50}, {0.95, &out.P95}} {
			if *q.day == NoDay && running >= q.level-rounding {
				*q.day = h
			}
		}
	}
	out.Probability = running
	return out
}

// ahead is what days to come do to the change of each component.
func (f *Filter) ahead(days float64) elapsed {
	f.rise(f.lastDay, f.lastDay+days)
	return f.settings.over(days)
}

// changeAfter returns mean and variance of the change of a component after the
// transition, the first row of F m and F P Fᵀ + Q.
func (f *Filter) changeAfter(c *component, t *transition) (mean, variance float64) {
	mean = c.mean[change] + float64(t.gain*c.mean[slope])
	variance = c.cov[c00] + float64(2*t.gain*c.cov[c10]) + float64(t.gain*t.gain*c.cov[c11]) + t.q00
	if f.Early() {
		mean += float64(t.rise * c.mean[amplitude])
		variance += float64(2*t.rise*c.cov[c40]) + float64(2*t.gain*t.rise*c.cov[c41]) + float64(t.rise*t.rise*c.cov[c44])
	}
	return mean, variance
}

// beyondAfter returns the probability that the change so many days after the
// last reading is below the edge, or above it.
func (f *Filter) beyondAfter(days, edge float64, below bool) float64 {
	e := f.ahead(days)
	sum := 0.0
	for g := range f.points {
		t := f.points[g].over(&e, f.rises[f.points[g].shape])
		for k := range labels {
			c := &f.mixture[labels*g+k]
			if c.weight < negligible {
				continue
			}
			mean, variance := f.changeAfter(c, &t)
			sum += float64(c.weight * beyond(edge, mean, math.Sqrt(max(variance, leastVariance)), below))
		}
	}
	return min(sum, 1)
}

// AfterDays returns the change since the first reading so many days after the
// last one, without new steps.
func (f *Filter) AfterDays(days float64) Moments {
	e := f.ahead(days)
	var sum mixed
	for g := range f.points {
		t := f.points[g].over(&e, f.rises[f.points[g].shape])
		for k := range labels {
			if c := &f.mixture[labels*g+k]; c.weight >= negligible {
				mean, variance := f.changeAfter(c, &t)
				sum.add(c.weight, mean, variance)
			}
		}
	}
	return sum.moments()
}

// LevelAfter returns the level so many days after the last reading in mL (mm
// when linear), with its 95 % interval.
func (f *Filter) LevelAfter(days float64) Interval {
	return f.settings.level(f.levelMoments(days).about(normal975), f.scale)
}

// levelMoments returns μ0 + δ relative to the first value.
func (f *Filter) levelMoments(days float64) Moments {
	e := f.ahead(days)
	var sum mixed
	for g := range f.points {
		t := f.points[g].over(&e, f.rises[f.points[g].shape])
		for k := range labels {
			c := &f.mixture[labels*g+k]
			if c.weight < negligible {
				continue
			}
			mean, variance := f.changeAfter(c, &t)
			shared := c.cov[c30] + float64(t.gain*c.cov[c31])
			if f.Early() {
				shared += float64(t.rise * c.cov[c43])
			}
			sum.add(c.weight, mean+c.mean[baseline], variance+float64(2*shared)+c.cov[c33])
		}
	}
	return sum.moments()
}
