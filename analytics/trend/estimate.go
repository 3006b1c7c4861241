package trend

import "math"

// normal975 is the 97.5 % quantile of the normal distribution.
const normal975 = 1.959963984540054

// normal95 is the 95 % quantile of the normal distribution.
const normal95 = 1.6448536269514722

// normal75 is the 75 % quantile of the normal distribution.
const normal75 = 0.6744897501960817

// leastVariance stands in for a variance of nothing where a root is taken.
const leastVariance = 1e-12

// negligible is the weight below which a component is not counted.
const negligible = 1e-12

// Moments are mean and standard deviation on the scale of the model:
// log-percent, or millimetres when the settings are linear.
type Moments struct{ Mean, SD float64 }

// Interval is an estimate with the central 95 % around it, unless it is said
// otherwise.
type Interval struct{ Estimate, Lo, Hi float64 }

// about returns the interval of so many SD around the mean.
func (m Moments) about(sds float64) Interval {
	half := float64(sds * m.SD)
	return Interval{m.Mean, m.Mean - half, m.Mean + half}
}

// mixed gathers the moments of a mixture in two fixed sums.
type mixed struct{ weight, first, second float64 }

func (m *mixed) add(weight, mean, variance float64) {
	m.weight += weight
	m.first += float64(weight * mean)
	m.second += float64(weight * (variance + float64(mean*mean)))
}

// moments returns mean and SD of the mixture.
func (m *mixed) moments() Moments {
	mean := m.first / m.weight
	variance := m.second/m.weight - float64(mean*mean)
	return Moments{mean, math.Sqrt(max(variance, 0))}
}

// Change returns the change δ since the first reading.
func (f *Filter) Change() Moments { return f.AfterDays(0) }

// Slope returns β + A f′(w), per month.
func (f *Filter) Slope() Moments {
	var sum mixed
	for g := range f.points {
		var steep float64
		if f.Early() {
			steep = f.shapes[f.points[g].shape].perMonth(f.weeksAt(f.lastDay), f.weeks0)
		}
		for k := range labels {
			c := &f.mixture[labels*g+k]
			if c.weight < negligible {
				continue
			}
			mean, variance := c.mean[slope], c.cov[c11]
			if f.Early() {
				mean += float64(steep * c.mean[amplitude])
				variance += float64(2*steep*c.cov[c41]) + float64(steep*steep*c.cov[c44])
			}
			sum.add(c.weight, mean, variance)
		}
	}
	return sum.moments()
}

// Level returns the level μ0 + δ on the scale of the first source, in mL (mm
// when linear), with its 95 % interval.
func (f *Filter) Level() Interval { return f.LevelAfter(0) }

// Wild returns the probability that the last reading is wild.
func (f *Filter) Wild() float64 { return f.labelled(wild) }

// Step returns the probability that the last reading is the first after a step.
func (f *Filter) Step() float64 { return f.labelled(stepped) }

func (f *Filter) labelled(label int) float64 {
	sum := 0.0
	for g := range f.points {
		sum += f.mixture[labels*g+label].weight
	}
	return sum
}

// wildBefore returns the probability that the reading before the last was wild,
// given the last.
func (f *Filter) wildBefore() float64 {
	sum := 0.0
	for g := range f.points {
		sum += float64(f.pointWeight(g) * f.lag[labels*g+wild])
	}
	return sum
}

func (f *Filter) pointWeight(g int) float64 {
	return f.mixture[labels*g].weight + f.mixture[labels*g+1].weight + f.mixture[labels*g+2].weight
}

// MeasureAgainAt is the probability of a slip or a step from which on the newest
// reading should be taken again at once.
const MeasureAgainAt = 0.30

// MeasureAgain tells that the last reading is either wild or the first after a
// step with a probability above 0.30: a second full pass, minutes later and
// entered as a second row of the day, settles which.
func (f *Filter) MeasureAgain() bool { return f.n > 1 && f.Wild()+f.Step() > MeasureAgainAt }

// Shapes returns the weights of log-time and of decay in an early limb; both
// are 0 otherwise.
func (f *Filter) Shapes() (log, decay float64) {
	for g := range f.points {
		switch {
		case !f.Early():
		case f.shapes[f.points[g].shape].halfLife == 0:
			log += f.pointWeight(g)
		default:
			decay += f.pointWeight(g)
		}
	}
	return log, decay
}

// Loss returns the probability that the level is more than so many percent (mm
// when linear) below the level at the first reading.
func (f *Filter) Loss(percent float64) float64 { return f.Beyond(-percent) }

// Gain returns the probability that it is more than so many percent above.
func (f *Filter) Gain(percent float64) float64 { return f.Beyond(percent) }

// Beyond returns the probability that the change since the first reading is
// beyond a limit in percent (mm when linear): below a negative one, above a
// positive one. It panics unless the limit is finite, not zero and, in percent,
// above −100.
func (f *Filter) Beyond(limit float64) float64 {
	return f.beyondAfter(0, f.settings.fromPercent(limit), limit < 0)
}

// fromPercent puts a limit in percent on the scale of the model.
func (s *Settings) fromPercent(limit float64) float64 {
	if what := s.limitFault(limit); what != "" {
		panic("trend: " + what)
	}
	if s.Linear {
		return limit
	}
	return 100 * math.Log1p(limit/100)
}

// limitFault says why a limit can't be used, or nothing.
func (s *Settings) limitFault(limit float64) string {
	switch {
	case math.IsNaN(limit) || math.IsInf(limit, 0) || limit == 0:
		return "a limit must be a number below or above zero"
	case !s.Linear && !(limit > -100 && limit <= 1000):
		return "a limit must be above −100 % and not above 1000 %"
	}
	return ""
}

// toPercent turns log-percent into percent; millimetres stay.
func (s *Settings) toPercent(x float64) float64 {
	if s.Linear {
		return x
	}
	return 100 * math.Expm1(x/100)
}

func (s *Settings) intervalPercent(i Interval) Interval {
	return Interval{s.toPercent(i.Estimate), s.toPercent(i.Lo), s.toPercent(i.Hi)}
}

// level turns what is relative to the first value into mL, or mm.
func (s *Settings) level(i Interval, first float64) Interval {
	if s.Linear {
		return Interval{first + i.Estimate, first + i.Lo, first + i.Hi}
	}
	return Interval{first * math.Exp(i.Estimate/100), first * math.Exp(i.Lo/100), first * math.Exp(i.Hi/100)}
}

// upTo returns Φ(z) by erfc, 0 or 1 beyond seven SD, where 1e-12 is left.
func upTo(z float64) float64 {
	const far = 7
	switch {
	case z < -far:
		return 0
	case z > far:
		return 1
	}
	return 0.5 * math.Erfc(-z/math.Sqrt2)
}

// beyond returns the probability that x is below the edge, or above it.
func beyond(edge, mean, sd float64, below bool) float64 {
	z := (edge - mean) / sd
	if !below {
		z = -z
	}
	return upTo(z)
}
