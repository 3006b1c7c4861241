package volume

import "math"

// Control is the change of the residual limb less that of the sound limb over
// the same time, in percentage points.
type Control struct {
	DifferencePercent    float64
	UPercent             float64
	LoPercent, HiPercent float64 // central 95 %
	Verdict              Verdict
}

// CompareToSound takes the change of the sound limb off that of the residual
// limb: the sound limb is the natural control for weight, fluid and time of
// day. It reports false when either change is not comparable.
//
// Both changes count as independent. A tension of the tape that both limbs
// share at one visit cancels in truth, so the interval is rather too wide.
func CompareToSound(residual, sound Change) (Control, bool) {
	if !residual.Comparable || !sound.Comparable {
		return Control{}, false
	}
	c := Control{
		DifferencePercent: residual.ChangePercent - sound.ChangePercent,
		UPercent:          math.Hypot(residual.UPercent, sound.UPercent),
	}
	c.LoPercent, c.HiPercent = interval95(c.DifferencePercent, c.UPercent)
	c.Verdict = judge(c.DifferencePercent, c.LoPercent, c.HiPercent)
	return c, true
}
