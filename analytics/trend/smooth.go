package trend

import "math"

// past is what a smoother needs of a filter that has run: per reading and point
// the filtered state with its labels collapsed, and the probability of a step
// before the reading.
type past struct {
	stride, covAt int
	points        int
	state         []float64 // by reading, then by point: mean, then covariance
	step          []float64 // by reading, then by point
	dims          []int
	days          []float64
}

// newPast makes room for n readings of a filter with so many sources at the end.
func newPast(f *Filter, n, sources int) *past {
	dim := f.dim + min(max(sources-1, 0), maxOffsets)
	p := &past{points: len(f.points), covAt: dim, stride: dim + dim*(dim+1)/2}
	p.state = make([]float64, n*p.points*p.stride)
	p.step = make([]float64, n*p.points)
	p.dims = make([]int, 0, n)
	p.days = make([]float64, 0, n)
	return p
}

// of returns mean and covariance at reading j of a point.
func (p *past) of(j, g int) (mean, cov []float64) {
	s := p.state[(j*p.points+g)*p.stride:][:p.stride]
	return s[:p.covAt], s[p.covAt:]
}

// keep adds what the filter knows after its last reading, and what that reading
// says of the label of the one before.
func (p *past) keep(f *Filter) {
	j := len(p.days)
	p.days = append(p.days, f.lastDay)
	p.dims = append(p.dims, f.dim)
	size := f.dim * (f.dim + 1) / 2
	for g := range f.points {
		mean, cov := p.of(j, g)
		of := f.mixture[labels*g : labels*g+labels]
		weight := f.pointWeight(g)
		p.step[j*p.points+g] = 0
		if weight <= 0 {
			// A point that no reading speaks for: any state does, as it counts for nothing.
			copy(mean, of[ordinary].mean[:f.dim])
			copy(cov, of[ordinary].cov[:size])
			continue
		}
		for k := range of {
			for i := range f.dim {
				mean[i] += float64(of[k].weight / weight * of[k].mean[i])
			}
		}
		for k := range of {
			if of[k].weight > 0 {
				addSpread(cov[:size], mean[:f.dim], of[k].cov[:size], of[k].mean[:f.dim], of[k].weight/weight)
			}
		}
		p.step[j*p.points+g] = of[stepped].weight / weight
		if j > 0 {
			p.step[(j-1)*p.points+g] = f.lag[labels*g+stepped]
		}
	}
}

// smoother runs backward over one point (Rauch, Tung and Striebel 1965).
type smoother struct {
	predMean, mean [maxDim]float64
	predCov, cov   [maxCov]float64
	root           [maxDim][maxDim]float64 // of the predicted covariance
	cross          [maxDim][maxDim]float64 // F P, then Gᵀ
	product        [maxDim][maxDim]float64
}

// smooth calls tell with the smoothed mean and covariance of every reading and
// point, the last reading first. At the last reading they are the filtered ones.
func (p *past) smooth(f *Filter, tell func(j, g int, mean, cov []float64)) {
	last := len(p.days) - 1
	var s smoother
	for g := range f.points {
		mean, cov := p.of(last, g)
		dim := p.dims[last]
		copy(s.mean[:dim], mean)
		copy(s.cov[:dim*(dim+1)/2], cov)
		tell(last, g, s.mean[:], s.cov[:])
		for j := last - 1; j >= 0; j-- {
			e := f.settings.over(p.days[j+1] - p.days[j])
			f.rise(p.days[j], p.days[j+1])
			t := f.points[g].over(&e, f.rises[f.points[g].shape])
			t.q00 += float64(p.step[(j+1)*p.points+g] * float64(f.settings.StepSD*f.settings.StepSD))
			mean, cov := p.of(j, g)
			s.back(mean, cov, &t, p.dims[j], f.Early())
			tell(j, g, s.mean[:], s.cov[:])
		}
	}
}

// ridge is added to the diagonal of a covariance that is inverted, as some of
// its states may have no variance.
const ridge = 1e-9

// back goes from the smoothed state of a reading to that of the one before,
// whose filtered state of dim entries is given; states that came later are
// dropped, as they tell nothing before they were there.
//
//	m + G (m' − F m),  P + G (P' − (F P Fᵀ + Q)) Gᵀ,  G = P Fᵀ (F P Fᵀ + Q)⁻¹
func (s *smoother) back(mean, cov []float64, t *transition, dim int, early bool) {
	predict(s.predMean[:], s.predCov[:], mean, cov, t, dim, early)
	s.factor(dim)
	for j := range dim { // column j of F P, then of Gᵀ
		col := &s.cross[j]
		for i := range dim {
			col[i] = symmetric(cov, i, j)
		}
		col[change] += float64(t.gain * col[slope])
		if early {
			col[change] += float64(t.rise * col[amplitude])
		}
		col[slope] *= t.keep
		col[deviation] *= t.stay
		s.solve(col, dim)
	}
	var away [maxDim]float64
	for i := range dim {
		away[i] = s.mean[i] - s.predMean[i]
		for j := 0; j <= i; j++ {
			s.cov[at(i, j)] -= s.predCov[at(i, j)]
		}
	}
	for i := range dim { // G (P' − …), with row i of G in cross[i]
		for j := range dim {
			sum := 0.0
			for k := range dim {
				sum += float64(s.cross[i][k] * symmetric(s.cov[:], k, j))
			}
			s.product[i][j] = sum
		}
	}
	for i := range dim {
		m := mean[i]
		for k := range dim {
			m += float64(s.cross[i][k] * away[k])
		}
		s.mean[i] = m
		for j := 0; j <= i; j++ {
			c := cov[at(i, j)]
			for k := range dim {
				c += float64(s.product[i][k] * s.cross[j][k])
			}
			s.cov[at(i, j)] = c
		}
	}
}

// symmetric is an entry of a matrix of which the lower triangle is kept.
func symmetric(cov []float64, i, j int) float64 {
	if i < j {
		i, j = j, i
	}
	return cov[at(i, j)]
}

// factor writes the Cholesky root of the predicted covariance plus the ridge.
func (s *smoother) factor(dim int) {
	for i := range dim {
		for j := 0; j <= i; j++ {
			sum := s.predCov[at(i, j)]
			if i == j {
				sum += ridge
			}
			for k := range j {
				sum -= float64(s.root[i][k] * s.root[j][k])
			}
			if i == j {
				s.root[i][i] = math.Sqrt(math.Max(sum, leastVariance))
			} else {
				s.root[i][j] = sum / s.root[j][j]
			}
		}
	}
}

// solve replaces a column by the inverse of what was factored, times it.
func (s *smoother) solve(col *[maxDim]float64, dim int) {
	for i := range dim {
		sum := col[i]
		for k := range i {
			sum -= float64(s.root[i][k] * col[k])
		}
		col[i] = sum / s.root[i][i]
	}
	for i := dim - 1; i >= 0; i-- {
		sum := col[i]
		for k := i + 1; k < dim; k++ {
			sum -= float64(s.root[k][i] * col[k])
		}
		col[i] = sum / s.root[i][i]
	}
}
