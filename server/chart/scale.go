package chart

import "math"

// scale is the fixed range of a measure: from min to max with a tick each step.
type scale struct{ min, max, step float64 }

// ticks lists the values that are marked, both ends included.
func (s scale) ticks() []float64 {
	var list []float64
	for i := 0; s.min+float64(i)*s.step <= s.max+s.step/1e6; i++ {
		list = append(list, s.min+float64(i)*s.step)
	}
	return list
}

// changeSteps are the ranges that the volume change may have below and above
// zero, in percent, with the step of the ticks that goes with the larger one.
var changeSteps = []struct{ end, tick float64 }{
	{8, 4}, {12, 4}, {16, 4}, {24, 8}, {40, 8}, {80, 20}, {100, 20}, {200, 50}, {500, 100}, {1000, 200},
}

// changeScale covers lo to hi percent: at least −8 to +8 and growing in fixed
// steps on each side by itself, so that limbs are comparable by eye and noise
// is never blown up to fill the panel. Nothing lies below −100 %; what lies
// above 1000 % is cut off.
func changeScale(lo, hi float64) scale {
	below, above, tick := 0.0, 0.0, 0.0
	for _, s := range changeSteps {
		if below == 0 && (-lo <= s.end || s.end == 100) {
			below, tick = s.end, max(tick, s.tick)
		}
		if above == 0 && (hi <= s.end || s.end == 1000) {
			above, tick = s.end, max(tick, s.tick)
		}
	}
	return scale{-tick * math.Ceil(below/tick), tick * math.Ceil(above/tick), tick}
}

// weightScale covers lo to hi kilograms: at least 10 kg, with ends on multiples
// of the tick.
func weightScale(lo, hi float64) scale {
	tick := 5.0
	for (hi-lo)/tick > 4 {
		tick *= 2
	}
	from := tick * math.Floor(lo/tick)
	to := max(tick*math.Ceil(hi/tick), from+2*tick)
	return scale{from, to, tick}
}

// sockScale covers 0 to hi millimetres: at least 4 mm.
func sockScale(hi float64) scale {
	tick := 2.0
	for hi/tick > 4 {
		tick *= 2
	}
	return scale{0, max(4, tick*math.Ceil(hi/tick)), tick}
}

// comfortScale is the whole range of the comfort score, always.
func comfortScale() scale { return scale{0, 10, 5} }
