package trend

import "math"

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
		step = math.Min(-math.Expm1(-s.StepRate*days/365.25), mostStep*(1-s.WildPrior))
	}
	logPrior := [labels]float64{
		math.Log(1 - s.WildPrior - step), math.Log(s.WildPrior), math.Log(step),
	}
	variances := [labels]float64{variance, variance + s.WildSD*s.WildSD, variance}
	jumps := [labels]float64{0, 0, s.StepSD * s.StepSD}

	for g := range f.points {
		t := f.points[g].over(&e, f.rises[f.points[g].shape])
		now := f.mixture[labels*g : labels*g+labels]
		var joint [labels][labels]float64 // by new label, then by old
		for old := range labels {
			p, in := &f.predicted[old], &f.expected[old]
			predict(p.mean[:], p.cov[:], now[old].mean[:], now[old].cov[:], &t, f.dim, f.Early())
			in.expect(p, y, offset, f.dim)
			for label := range labels {
				total := in.spread + jumps[label] + variances[label]
				joint[label][old] = now[old].logWeight + logPrior[label] -
					0.5*(math.Log(2*math.Pi*total)+float64(in.miss*in.miss)/total)
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
			now[label].merge(&f.updated, &joint[label], f.dim)
		}
		f.lagOf(g, &joint)
	}
	f.logLik += f.normalise()
}

// merge makes one component of three by moment matching; those of log weight
// −Inf don't count. There is one that does.
func (c *component) merge(of *[labels]component, logWeights *[labels]float64, dim int) {
	most := math.Max(logWeights[0], math.Max(logWeights[1], logWeights[2]))
	var w [labels]float64
	sum := 0.0
	for k := range w {
		w[k] = math.Exp(logWeights[k] - most)
		sum += w[k]
	}
	c.logWeight = most + math.Log(sum)
	size := dim * (dim + 1) / 2
	clear(c.mean[:dim])
	clear(c.cov[:size])
	for k := range w {
		w[k] /= sum
		if w[k] == 0 {
			continue
		}
		for i := range dim {
			c.mean[i] += float64(w[k] * of[k].mean[i])
		}
	}
	for k := range w {
		if w[k] != 0 {
			addSpread(c.cov[:size], c.mean[:dim], of[k].cov[:size], of[k].mean[:dim], w[k])
		}
	}
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
// a point: the sum of the nine weights over the new label.
func (f *Filter) lagOf(g int, joint *[labels][labels]float64) {
	most := math.Inf(-1)
	for label := range labels {
		for old := range labels {
			most = math.Max(most, joint[label][old])
		}
	}
	lag := f.lag[labels*g : labels*g+labels]
	sum := 0.0
	for old := range labels {
		lag[old] = 0
		for label := range labels {
			lag[old] += math.Exp(joint[label][old] - most)
		}
		sum += lag[old]
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
		most = math.Max(most, mixture[i].logWeight)
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
