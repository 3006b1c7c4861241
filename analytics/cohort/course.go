package cohort

import (
	"fmt"
	"math"
	"math/rand/v2"
)

// Kind names what happens to the volume of a limb over time.
type Kind string

// The kinds of course, each with the fields of Course that it uses.
const (
	Steady         Kind = "steady"          // none
	SlowLoss       Kind = "slow-loss"       // Percent a month, from StartDay on
	EarlyShrinkage Kind = "early-shrinkage" // Percent per natural log of weeks, WeeksSince
	LogTime        Kind = "log-time"        // the same on the logarithm of the volume, so that it never ends at nothing
	Decay          Kind = "decay"           // Percent in the end, half of it after Days, on the logarithm of the volume
	Swelling       Kind = "swelling"        // Percent at the top, half of Days after StartDay; gone after Days
	Step           Kind = "step"            // Percent, signed, at once on StartDay
	Seasonal       Kind = "seasonal"        // Percent to either side over a year, highest on StartDay
	Growth         Kind = "growth"          // Percent a year, of a child's limb
)

// ShrinkagePercentPerLogWeek is the loss after transtibial amputation, in
// percent of the initial volume per natural log of weeks (Tantua et al., J
// Rehabil Res Dev 2014;51:1119: 21 people, weeks 1 to 24). It differs much
// between people.
const ShrinkagePercentPerLogWeek = 9.7

// The month and the year by which rates are given.
const (
	monthDays = 30.4375
	yearDays  = 365.25
)

// Course is one cause of change of a limb's volume. Days count from the first
// visit, where every factor is 1, so a swelling or a step starts after day 0.
type Course struct {
	Kind       Kind
	Percent    float64
	StartDay   float64
	Days       float64
	WeeksSince float64 // since the amputation, on day 0; at least 1
}

// FactorAt returns the volume after so many days as a factor of that on day 0.
// It panics on an unknown kind.
func (c Course) FactorAt(days float64) float64 {
	part := c.Percent / 100
	since := math.Max(days-c.StartDay, 0)
	switch c.Kind {
	case Steady:
		return 1
	case SlowLoss:
		return math.Exp(-part * (since - math.Max(-c.StartDay, 0)) / monthDays)
	case EarlyShrinkage:
		return (1 - part*math.Log(c.WeeksSince+days/7)) / (1 - part*math.Log(c.WeeksSince))
	case LogTime:
		return math.Exp(-part * math.Log((c.WeeksSince+days/7)/c.WeeksSince))
	case Decay:
		return math.Exp(-part * (1 - math.Exp2(-since/c.Days)))
	case Swelling:
		if since >= c.Days {
			return 1
		}
		return 1 + part*(1-math.Cos(2*math.Pi*since/c.Days))/2
	case Step:
		if days < c.StartDay {
			return 1
		}
		return 1 + part
	case Seasonal:
		swing := func(day float64) float64 { return 1 + part*math.Cos(2*math.Pi*(day-c.StartDay)/yearDays) }
		return swing(days) / swing(0)
	case Growth:
		return math.Exp(part * days / yearDays)
	}
	panic(fmt.Sprintf("cohort: unknown course %q", string(c.Kind)))
}

// LengthFactorAt returns the length of the limb as a factor of that on day 0: a
// limb that grows keeps its form, so its length follows the cube root of the
// volume; others keep their length.
func (c Course) LengthFactorAt(days float64) float64 {
	if c.Kind != Growth {
		return 1
	}
	return math.Cbrt(c.FactorAt(days))
}

// Path is a course with several causes at once.
type Path []Course

// FactorAt returns the product of the factors of all causes.
func (p Path) FactorAt(days float64) float64 {
	factor := 1.0
	for _, course := range p {
		factor *= course.FactorAt(days)
	}
	return factor
}

// DayToDay draws the factor by which the volume of one day departs from its
// course: log-normal with the standard deviation in percent. Visits lie far
// enough apart to be independent.
func DayToDay(rng *rand.Rand, sdPercent float64) float64 {
	return math.Exp(sdPercent / 100 * rng.NormFloat64())
}
