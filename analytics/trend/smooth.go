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

// smoother runs backward over one point (Rauch, Tung and Striebel 1965). The
// first three states move; all others are constants, whose smoothed moments are
// the same at every reading.
type smoother struct {
	mean [maxDim]float64
	cov  [maxCov]float64
}

// moving is how many states change with time: change, slope and deviation.
const moving = 3

// bench is where one step of a smoother is worked out.
type bench struct {
	mean  [maxDim]float64 // predicted
	cov   [maxCov]float64
	root  [maxDim][maxDim]float64 // of the predicted covariance
	gain  [moving][maxDim]float64 // rows of G
	extra [maxDim][maxDim]float64 // P' − (F P Fᵀ + Q)
	away  [maxDim]float64         // m' − F m
}

// smooth calls tell with the smoothed mean and covariance of every reading and
// point, the last reading first. At the last reading they are the filtered ones.
func (p *past) smooth(f *Filter, tell func(j, g int, mean, cov []float64)) {
	last := len(p.days) - 1
	points := make([]smoother, p.points)
	var b bench
	for j := last; j >= 0; j-- {
		dim := p.dims[j]
		var e elapsed
		if j < last {
			e = f.settings.over(p.days[j+1] - p.days[j])
			f.rise(p.days[j], p.days[j+1])
		}
		for g := range points {
			s := &points[g]
			mean, cov := p.of(j, g)
			if j == last {
				copy(s.mean[:dim], mean)
				copy(s.cov[:dim*(dim+1)/2], cov)
			} else {
				t := f.points[g].over(&e, f.rises[f.points[g].shape])
				t.q00 += float64(p.step[(j+1)*p.points+g] * float64(f.settings.StepSD*f.settings.StepSD))
				s.back(&b, mean, cov, &t, dim, f.Early())
			}
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
//
// Of a constant the row of G is that of the identity.
func (s *smoother) back(b *bench, mean, cov []float64, t *transition, dim int, early bool) {
	predict(b.mean[:], b.cov[:], mean, cov, t, dim, early)
	b.factor(dim)
	for j := range moving {
		b.gainOf(j, cov, t, dim, early)
	}
	for i := range dim {
		b.away[i] = s.mean[i] - b.mean[i]
		r := at(i, 0)
		for j := 0; j <= i; j++ {
			d := s.cov[r+j] - b.cov[r+j]
			b.extra[i][j], b.extra[j][i] = d, d
		}
	}
	for i := range moving {
		gain, m := &b.gain[i], mean[i]
		var spread [maxDim]float64 // row i of G (P' − …)
		for k := range dim {
			m += float64(gain[k] * b.away[k])
			row := &b.extra[k]
			for j := range dim {
				spread[j] += float64(gain[k] * row[j])
			}
		}
		s.mean[i] = m
		for j := 0; j <= i; j++ {
			c := cov[at(i, j)]
			for k := range dim {
				c += float64(spread[k] * b.gain[j][k])
			}
			s.cov[at(i, j)] = c
		}
		for j := moving; j < dim; j++ {
			s.cov[at(j, i)] = cov[at(j, i)] + spread[j]
		}
	}
}

// gainOf works out row j of G: column j of F P, solved.
func (b *bench) gainOf(j int, cov []float64, t *transition, dim int, early bool) {
	row := &b.gain[j]
	for i := range dim {
		if i < j {
			row[i] = cov[at(j, i)]
		} else {
			row[i] = cov[at(i, j)]
		}
	}
	row[change] += float64(t.gain * row[slope])
	if early {
		row[change] += float64(t.rise * row[amplitude])
	}
	row[slope] *= t.keep
	row[deviation] *= t.stay
	for i := range dim {
		sum := row[i]
		for k := range i {
			sum -= float64(b.root[i][k] * row[k])
		}
		row[i] = sum / b.root[i][i]
	}
	for i := dim - 1; i >= 0; i-- {
		sum := row[i]
		for k := i + 1; k < dim; k++ {
			sum -= float64(b.root[k][i] * row[k])
		}
		row[i] = sum / b.root[i][i]
	}
}

// factor writes the Cholesky root of the predicted covariance plus the ridge.
func (b *bench) factor(dim int) {
	for i := range dim {
		r := at(i, 0)
		row := &b.root[i]
		for j := range i {
			sum, other := b.cov[r+j], &b.root[j]
			for k := range j {
				sum -= float64(row[k] * other[k])
			}
			row[j] = sum / other[j]
		}
		sum := b.cov[r+i] + ridge
		for k := range i {
			sum -= float64(row[k] * row[k])
		}
		row[i] = math.Sqrt(max(sum, leastVariance))
	}
}
