package trend

import "math"

// When measurements count as steady: from six days with a visit on, if the last
// three of them, or as many more as it takes to span eight weeks, lie inside
// each other's error, and the interval of the slope contains 0 and lies inside
// ±1 % a month. With three visits the words are not earned.
const (
	SteadyDays     = 6
	SteadySpanDays = 56
	steadyLastDays = 3
	steadySlope    = 1.0 // % per month
	steadyDaySD    = 0.8 // %, of the day-to-day deviation
)

// SteadyVerdict is the answer to whether measurements are steady.
type SteadyVerdict string

// The verdicts. NotShown is not the opposite of Steady: it is not known.
const (
	Steady    SteadyVerdict = "steady"
	NotShown  SteadyVerdict = "not shown to be steady"
	SteadyFew SteadyVerdict = "too little to say"
	SteadyOne SteadyVerdict = "one visit"
)

// Steadiness is the verdict with what it rests on.
type Steadiness struct {
	Verdict SteadyVerdict
	// Slope is the interval of the slope per month.
	Slope Interval
	// Apart tells that two of the readings compared differ by more than their
	// error, and that is why the verdict is NotShown; First and Second are
	// their places in the order of days.
	Apart         bool
	First, Second int
	// What is missing when there is too little to say: so many more days with a
	// visit, the last so many days after the first reading, or later.
	MissingDays, FromDay int
}

// SteadyAfter judges the readings of a series, in the order of their days, with
// the slope that the filter has after the last of them.
func (s *Settings) SteadyAfter(readings []Reading, slope Moments) Steadiness {
	out := Steadiness{Verdict: NotShown, Slope: slope.about(normal975)}
	if len(readings) == 0 {
		return Steadiness{Verdict: SteadyFew, MissingDays: SteadyDays, FromDay: SteadySpanDays}
	}
	last := readings[len(readings)-1].Day
	days := daysIn(readings)
	if days < SteadyDays || last-readings[0].Day < SteadySpanDays {
		out.Verdict = SteadyFew
		if days == 1 {
			out.Verdict = SteadyOne
		}
		out.MissingDays, out.FromDay = max(SteadyDays-days, 1), SteadySpanDays
		return out
	}
	from := len(readings) - 1
	for daysIn(readings[from:]) < steadyLastDays || last-readings[from].Day < SteadySpanDays ||
		from > 0 && readings[from-1].Day == readings[from].Day {
		from--
	}
	out.First, out.Second, out.Apart = s.apart(readings, from)
	limit := s.percent(steadySlope)
	within := out.Slope.Lo <= 0 && out.Slope.Hi >= 0 && out.Slope.Lo > -limit && out.Slope.Hi < limit
	if within && !out.Apart {
		out.Verdict = Steady
	}
	return out
}

// percent is a size in percent on the scale of the model.
func (s *Settings) percent(size float64) float64 {
	if s.Linear {
		return mmPerPercent * size
	}
	return size
}

// daysIn counts the days of readings in order.
func daysIn(readings []Reading) int {
	days := 1
	for i := 1; i < len(readings); i++ {
		if readings[i].Day-readings[i-1].Day >= 0.5 {
			days++
		}
	}
	return days
}

// apart finds the first pair of readings from a place on that differs by more
// than 1.96 √(u₁² + u₂² + 2·0.8² + offset²), the smallest detectable change of
// two readings of a limb that changes from day to day (Weir 2005), with the
// offset of two sources where they differ.
func (s *Settings) apart(readings []Reading, from int) (first, second int, apart bool) {
	day := s.percent(steadyDaySD)
	for i := from; i < len(readings); i++ {
		a, ua := s.onScale(readings[i], readings[0].Value)
		for j := i + 1; j < len(readings); j++ {
			b, ub := s.onScale(readings[j], readings[0].Value)
			variance := float64(ua*ua) + float64(ub*ub) + float64(2*day*day)
			if readings[i].Source != readings[j].Source {
				variance += float64(s.SourceSD * s.SourceSD)
			}
			if math.Abs(a-b) > 1.96*math.Sqrt(variance) {
				return i, j, true
			}
		}
	}
	return 0, 0, false
}
