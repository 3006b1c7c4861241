package trend

import "math"

// halfLogTwoPi is ½ ln 2π.
const halfLogTwoPi = 0.9189385332046727

// advance carries all components to a day and weighs them by the reading y.
// Per point each of the three components is predicted once and updated under
// each of the three labels; the nine results are merged over the old label.
func (f *Filter) advance(y, variance float64, offset int, day float64) {
	s := &f.settings
	days := day - f.lastDay
	e := s.over(days)
	f.rise(f.lastDay, day)
	var step float64
	if days >= 0.5 {
		step = min(-math.Expm1(-s.StepRate*days/365.25), mostStep*(1-s.WildPrior))
	}
	logPrior := [labels]float64{
		math.Log(1 - s.WildPrior - step), math.Log(s.WildPrior), math.Log(step),
	}
	variances := [labels]float64{variance, variance + float64(s.WildSD*s.WildSD), variance}
	jumps := [labels]float64{0, 0, s.StepSD * s.StepSD}

	for g := range f.points {
		t := f.points[g].over(&e, f.rises[f.points[g].shape])
		now := f.mixture[labels*g : labels*g+labels]
		// By new label, then by old: a density is exp(joint)·scale/√2π.
		var joint, scale, shares [labels][labels]float64
		for old := range labels {
			p, in := &f.predicted[old], &f.expected[old]
			predict(p.mean[:], p.cov[:], now[old].mean[:], now[old].cov[:], &t, f.dim, f.Early())
			in.expect(p, y, offset, f.dim)
			for label := range labels {
				total := in.spread + jumps[label] + variances[label]
				joint[label][old] = now[old].logWeight + logPrior[label] - float64(0.5*(in.miss*in.miss/total))
				scale[label][old] = 1 / math.Sqrt(total)
			}
		}
		for label := range labels {
			if math.IsInf(logPrior[label], -1) {
				now[label].logWeight, now[label].weight = math.Inf(-1), 0
				continue
			}
			for old := range labels {
				if !math.IsInf(joint[label][old], -1) {
					f.updated[old].learn(&f.predicted[old], &f.expected[old], variances[label], jumps[label], offset, f.dim)
				}
			}
			shares[label] = now[label].merge(&f.updated, &joint[label], &scale[label], f.dim)
		}
		f.lagOf(g, &shares)
	}
	f.logLik += f.normalise()
}

// merge makes one component of three by moment matching and returns the share
// of each; those of log weight −Inf don't count. There is one that does.
func (c *component) merge(of *[labels]component, logWeights, scale *[labels]float64, dim int) (shares [labels]float64) {
	most := max(logWeights[0], logWeights[1], logWeights[2])
	sum := 0.0
	for k := range shares {
		shares[k] = float64(math.Exp(logWeights[k]-most) * scale[k])
		sum += shares[k]
	}
	c.logWeight = most + math.Log(sum) - halfLogTwoPi
	size := dim * (dim + 1) / 2
	clear(c.mean[:dim])
	clear(c.cov[:size])
	for k := range shares {
		shares[k] /= sum
		if shares[k] == 0 {
			continue
		}
		for i := range dim {
			c.mean[i] += float64(shares[k] * of[k].mean[i])
		}
	}
	for k := range shares {
		if shares[k] != 0 {
			addSpread(c.cov[:size], c.mean[:dim], of[k].cov[:size], of[k].mean[:dim], shares[k])
		}
	}
	return shares
}

// addSpread adds w (P + (m − M)(m − M)ᵀ) to cov.
func addSpread(cov, mean, ofCov, ofMean []float64, w float64) {
	r := 0
	var away [maxDim]float64
	for i := range mean {
		away[i] = ofMean[i] - mean[i]
		a := away[i]
		for j := 0; j <= i; j++ {
			cov[r+j] += float64(w * (ofCov[r+j] + float64(a*away[j])))
		}
		r += i + 1
	}
}

// lagOf keeps what the last reading says of the label of the one before, within
// a point: the nine weights summed over the new label. shares tells by new label
// which part of it came from which old one.
func (f *Filter) lagOf(g int, shares *[labels][labels]float64) {
	now := f.mixture[labels*g : labels*g+labels]
	lag := f.lag[labels*g : labels*g+labels]
	most := max(now[ordinary].logWeight, now[wild].logWeight, now[stepped].logWeight)
	clear(lag)
	sum := 0.0
	for label := range labels {
		w := math.Exp(now[label].logWeight - most)
		sum += w
		for old := range labels {
			lag[old] += float64(w * shares[label][old])
		}
	}
	for old := range labels {
		lag[old] /= sum
	}
}

// normalise makes all weights sum to one and returns the log of their sum
// before.
func (f *Filter) normalise() float64 {
	mixture := f.mixture[:labels*len(f.points)]
	most := math.Inf(-1)
	for i := range mixture {
		most = max(most, mixture[i].logWeight)
	}
	sum := 0.0
	for i := range mixture {
		mixture[i].weight = math.Exp(mixture[i].logWeight - most)
		sum += mixture[i].weight
	}
	total := most + math.Log(sum)
	for i := range mixture {
		mixture[i].logWeight -= total
		mixture[i].weight /= sum
	}
	return total
}
