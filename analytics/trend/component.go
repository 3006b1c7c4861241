package trend

// The places of the state.
const (
	change    = 0 // δ, since the first visit
	slope     = 1 // β, per month
	deviation = 2 // d, of the day
	baseline  = 3 // μ0, less the first reading
	amplitude = 4 // A, only if early; offsets follow
)

const (
	maxOffsets = 6 // further sources with a state of their own
	maxDim     = 5 + maxOffsets
	maxCov     = maxDim * (maxDim + 1) / 2
)

// component is one normal distribution of the mixture. Of mean and cov the
// first dim, and dim(dim+1)/2, entries count; cov is the lower triangle by
// rows, so that a state that is added leaves the others in their place.
type component struct {
	logWeight float64
	weight    float64
	mean      [maxDim]float64
	cov       [maxCov]float64
}

// at is the place of row i, column j ≤ i in a packed lower triangle.
func at(i, j int) int { return i*(i+1)/2 + j }

// The places of the leading covariances.
const (
	c00, c10, c11      = 0, 1, 2
	c20, c21, c22      = 3, 4, 5
	c30, c31, c32, c33 = 6, 7, 8, 9
	c40, c41, c42      = 10, 11, 12
	c43, c44           = 13, 14
)

// predict writes into mean and cov what the given state of dim entries, of an
// early limb or not, is expected to be after the transition: F m and
// F P Fᵀ + Q.
func predict(mean, cov, fromMean, fromCov []float64, t *transition, dim int, early bool) {
	copy(mean[:dim], fromMean[:dim])
	copy(cov[:dim*(dim+1)/2], fromCov[:dim*(dim+1)/2])
	p := fromCov

	mean[change] += float64(t.gain * mean[slope])
	cov[c00] += float64(2*t.gain*p[c10]) + float64(t.gain*t.gain*p[c11]) + t.q00
	row1, row2 := p[c10]+float64(t.gain*p[c11]), p[c20]+float64(t.gain*p[c21])
	if early {
		mean[change] += float64(t.rise * mean[amplitude])
		cov[c00] += float64(2*t.rise*p[c40]) + float64(2*t.gain*t.rise*p[c41]) + float64(t.rise*t.rise*p[c44])
		row1 += float64(t.rise * p[c41])
		row2 += float64(t.rise * p[c42])
	}
	cov[c10] = float64(t.keep*row1) + t.q01
	cov[c20] = t.stay * row2
	for i := baseline; i < dim; i++ {
		r := at(i, 0)
		c := p[r] + float64(t.gain*p[r+slope])
		if early {
			if i >= amplitude {
				c += float64(t.rise * p[r+amplitude])
			} else {
				c += float64(t.rise * p[c43])
			}
		}
		cov[r] = c
		cov[r+slope] = t.keep * p[r+slope]
		cov[r+deviation] = t.stay * p[r+deviation]
	}
	mean[slope] *= t.keep
	mean[deviation] *= t.stay
	cov[c11] = float64(t.keep*t.keep*p[c11]) + t.q11
	cov[c21] = t.keep * t.stay * p[c21]
	cov[c22] = float64(t.stay*t.stay*p[c22]) + t.q22
}

// innovation is what a predicted component says of a reading before it counts.
type innovation struct {
	miss   float64         // v = y − H m
	spread float64         // H P Hᵀ
	reach  [maxDim]float64 // P Hᵀ
}

// expect fills in the innovation of reading y; offset is the place of its
// source's offset, or 0 for none. H is 1 at change, deviation, baseline and
// the offset.
func (in *innovation) expect(c *component, y float64, offset, dim int) {
	sum := c.mean[change] + c.mean[deviation] + c.mean[baseline]
	for i := range dim {
		r := at(i, 0)
		var reach float64
		switch i {
		case change:
			reach = c.cov[c00] + c.cov[c20] + c.cov[c30]
		case slope:
			reach = c.cov[c10] + c.cov[c21] + c.cov[c31]
		case deviation:
			reach = c.cov[c20] + c.cov[c22] + c.cov[c32]
		default:
			reach = c.cov[r+change] + c.cov[r+deviation] + c.cov[r+baseline]
		}
		if offset > i {
			reach += c.cov[at(offset, i)]
		} else if offset > 0 {
			reach += c.cov[r+offset]
		}
		in.reach[i] = reach
	}
	in.spread = in.reach[change] + in.reach[deviation] + in.reach[baseline]
	if offset > 0 {
		sum += c.mean[offset]
		in.spread += in.reach[offset]
	}
	in.miss = y - sum
}

// learn writes into c what the predicted component from becomes by a reading of
// the given variance, after a step of variance jump (0 for none), in Joseph's
// form (I − KH) P (I − KH)ᵀ + R K Kᵀ.
func (c *component) learn(from *component, in *innovation, variance, jump float64, offset, dim int) {
	spread, reach := in.spread+jump, in.reach
	reach[change] += jump
	total := spread + variance
	var gain [maxDim]float64
	for i := range dim {
		gain[i] = reach[i] / total
	}
	for i := range dim {
		c.mean[i] = from.mean[i] + float64(gain[i]*in.miss)
		after := reach[i] - float64(gain[i]*spread) // (I − KH) P Hᵀ
		noise := variance * gain[i]
		r := at(i, 0)
		for j := 0; j <= i; j++ {
			c.cov[r+j] = from.cov[r+j] - float64(gain[i]*reach[j]) - float64(after*gain[j]) + float64(noise*gain[j])
		}
	}
	c.cov[c00] += jump
}
