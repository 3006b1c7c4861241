package trend

import "math"

// point is one setting of the two unknown variances, with a shape of shrinkage
// for an early limb.
type point struct {
	slopeVar, driftVar, dayVar float64
	shape                      int // index into Filter.shapes
}

// shape is a course of shrinkage after amputation, f(w) of the weeks w.
type shape struct {
	halfLife        float64 // weeks; 0 for log-time
	ampMean, ampVar float64 // prior of the amplitude A
}

// at returns f(w): ln w, or −exp(−ln2 (w − w0)/T).
func (s shape) at(weeks, weeks0 float64) float64 {
	if s.halfLife == 0 {
		return math.Log(weeks)
	}
	return -math.Exp(-math.Ln2 * (weeks - weeks0) / s.halfLife)
}

// perMonth returns f′(w) per month: 1/w, or (ln2/T) exp(−ln2 (w − w0)/T), times
// the weeks of a month.
func (s shape) perMonth(weeks, weeks0 float64) float64 {
	const weeksPerMonth = DaysPerMonth / 7
	if s.halfLife == 0 {
		return weeksPerMonth / weeks
	}
	return weeksPerMonth * math.Ln2 / s.halfLife * math.Exp(-math.Ln2*(weeks-weeks0)/s.halfLife)
}

// shapesOf appends the shapes that compete for an early limb whose first visit
// is so many weeks after amputation. What is left of a decay shrinks with age.
func (s *Settings) shapesOf(shapes []shape, weeks0 float64) []shape {
	left := math.Min(1, s.DecayWeeks/weeks0)
	shapes = append(shapes, shape{ampMean: s.LogMean, ampVar: s.LogSD * s.LogSD})
	for _, t := range s.HalfLivesWeeks {
		sd := s.DecaySD * left
		shapes = append(shapes, shape{halfLife: t, ampMean: s.DecayMean * left, ampVar: sd * sd})
	}
	return shapes
}

// pointsOf appends the grid: for each shape, for each s, for each g.
func (s *Settings) pointsOf(points []point, shapes int) []point {
	for shape := range max(shapes, 1) {
		for _, slope := range s.SlopeSDs {
			for _, day := range s.DayToDaySDs {
				points = append(points, point{
					slopeVar: slope * slope, driftVar: s.DriftSD * s.DriftSD, dayVar: day * day, shape: shape,
				})
			}
		}
	}
	return points
}

// elapsed is what a span of time does to all points alike.
type elapsed struct {
	months             float64
	gain               float64 // E/κ, of slope into change
	keep               float64 // 1 − E, of slope
	stay               float64 // exp(−h/τd), of deviation
	dd, ds, ss, wander float64 // of the noise: Q00/s² without drift, Q01/s², Q11/s², Q22/g²
}

// over returns what days do, by the integrals of an Ornstein–Uhlenbeck slope
// with κ: with z = κ dt and E = 1 − exp(−z),
//
//	Q00 = s² (2z − 3 + 4 exp(−z) − exp(−2z))/κ² + m² dt,  Q01 = s² E²/κ,  Q11 = s² (1 − exp(−2z))
//
// and the series 2z³/3 − z⁴/2 + 7z⁵/30 where the closed form cancels.
func (s *Settings) over(days float64) elapsed {
	const small = 1e-3
	dt, k := days/DaysPerMonth, s.SlopeReturn
	z := float64(k * dt)
	e := -math.Expm1(-z)
	lag := float64(2*z) - 3 + float64(4*math.Exp(-z)) - math.Exp(-2*z)
	if z < small {
		lag = float64(z*z*z) * (2.0/3 - float64(z/2) + float64(7*z*z/30))
	}
	return elapsed{
		months: dt,
		gain:   e / k,
		keep:   1 - e,
		stay:   math.Exp(-days / s.DayMemory),
		dd:     lag / (k * k),
		ds:     e * e / k,
		ss:     -math.Expm1(-2 * z),
		wander: -math.Expm1(-2 * days / s.DayMemory),
	}
}

// transition is F and Q of one point over a span of time: the change gains
// gain·β + rise·A, the slope keeps keep, the deviation keeps stay.
type transition struct {
	gain, rise, keep, stay float64
	q00, q01, q11, q22     float64
}

// over returns the transition of the point; rise is f(w′) − f(w) of its shape.
func (p *point) over(e *elapsed, rise float64) transition {
	return transition{
		gain: e.gain, rise: rise, keep: e.keep, stay: e.stay,
		q00: float64(p.slopeVar*e.dd) + float64(p.driftVar*e.months),
		q01: p.slopeVar * e.ds,
		q11: p.slopeVar * e.ss,
		q22: p.dayVar * e.wander,
	}
}
