package detect

import "math"

// Reading is the volume of one visit in millilitres with its standard
// uncertainty. A reading whose volume is that of no limb (outside 0.001 mL to
// 1000 L) is passed over by every rule; an uncertainty that is missing or below
// 0.3 % counts as 0.3 %, as the trend has it, and one above 1000 % as 1000 %.
type Reading struct {
	VolumeML, UML float64
}

const (
	leastUPercent, mostUPercent = 0.3, 1000
	leastVolumeML, mostVolumeML = 0.001, 1e6
)

// Rule watches the visits of one limb.
type Rule interface {
	// Observe takes the next visit and returns its score, positive for a gain and
	// negative for a loss, and whether the size of the score is beyond the
	// threshold. Visits that only make up the base have the score 0.
	Observe(Reading) (score float64, out bool)
	// Reset forgets the limb, for the next one.
	Reset()
}

// usable returns 100 ln V and its standard uncertainty; false for a reading
// that is passed over.
func (r Reading) usable() (y, u float64, ok bool) {
	if !(r.VolumeML >= leastVolumeML && r.VolumeML <= mostVolumeML) {
		return 0, 0, false
	}
	u = math.Min(100*(r.UML/r.VolumeML), mostUPercent)
	if !(u >= leastUPercent) {
		u = leastUPercent
	}
	return 100 * math.Log(r.VolumeML), u, true
}

// base is the mean of the first visits, in log-percent, with its variance.
type base struct {
	visits         int // that make it up; below 1 counts as 1
	n              int
	mean, variance float64
}

// add takes a visit into the base; false once the base is complete.
func (b *base) add(y, variance float64) bool {
	if b.n >= max(b.visits, 1) {
		return false
	}
	n := float64(b.n)
	b.n++
	b.mean += (y - b.mean) / (n + 1)
	b.variance = (float64(n*n*b.variance) + variance) / ((n + 1) * (n + 1))
	return true
}

func (b *base) forget() { b.n, b.mean, b.variance = 0, 0, 0 }

// beyond tells whether the size of a score exceeds a threshold.
func beyond(score, threshold float64) bool { return math.Abs(score) > threshold }
