package detect

import "math"

// FixedPercent is out when a volume differs from that of the first visit by
// more than Threshold percent of it: the "5 % rule". The score is the change in
// percent.
type FixedPercent struct {
	Threshold float64 // percent
	firstML   float64
}

// Observe is as in Rule.
func (r *FixedPercent) Observe(v Reading) (score float64, out bool) {
	switch _, _, ok := v.usable(); {
	case !ok:
		return 0, false
	case r.firstML == 0:
		r.firstML = v.VolumeML
		return 0, false
	}
	score = 100 * (v.VolumeML - r.firstML) / r.firstML
	return score, beyond(score, r.Threshold)
}

// Reset is as in Rule.
func (r *FixedPercent) Reset() { r.firstML = 0 }

// Z is out when the difference of a volume from the base exceeds Threshold
// standard uncertainties of that difference:
//
//	z = 100 ln(V / V0) / √(u² + g² + u0²)
//
// u is that of the visit, g the day-to-day deviation, u0² the variance of the
// base with the day-to-day part of its visits. With one base visit this is the
// smallest detectable change of Weir 2005 (J Strength Cond Res 19:231): |z| >
// 1.96 is beyond MDC95.
type Z struct {
	Threshold       float64 // standard uncertainties
	DayToDayPercent float64 // g; 0 for none
	BaseVisits      int     // below 1 counts as 1
	base            base
}

// Observe is as in Rule.
func (r *Z) Observe(v Reading) (score float64, out bool) {
	y, u, ok := v.usable()
	variance := float64(u*u) + float64(r.DayToDayPercent*r.DayToDayPercent)
	r.base.visits = r.BaseVisits
	if !ok || r.base.add(y, variance) {
		return 0, false
	}
	score = (y - r.base.mean) / math.Sqrt(variance+r.base.variance)
	return score, beyond(score, r.Threshold)
}

// Reset is as in Rule.
func (r *Z) Reset() { r.base.forget() }

// Twice is out when two visits in a row are beyond Threshold to the same side by
// another rule, whose own threshold is not used. The score is the smaller of the
// two, and 0 when they are to different sides.
type Twice struct {
	Of        Rule
	Threshold float64 // in the unit of the other rule
	last      float64
}

// Observe is as in Rule.
func (r *Twice) Observe(v Reading) (score float64, out bool) {
	if _, _, ok := v.usable(); !ok {
		return 0, false
	}
	now, _ := r.Of.Observe(v)
	if now*r.last > 0 {
		score = math.Copysign(math.Min(math.Abs(now), math.Abs(r.last)), now)
	}
	r.last = now
	return score, beyond(score, r.Threshold)
}

// Reset is as in Rule.
func (r *Twice) Reset() {
	r.last = 0
	r.Of.Reset()
}
