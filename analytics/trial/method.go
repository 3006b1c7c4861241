package trial

import (
	"fmt"

	"fairlead/analytics/cohort"
	"fairlead/analytics/detect"
)

// The marks of true loss at which it is asked whether a rule has spoken, in
// percent of the first level.
var Marks = [...]int{3, 5, 6, 8}

// StepPercent is the change at once that the rules must find, and StepVisits how
// many visits after the first one that could show it are looked at.
const (
	StepPercent = -8
	StepVisits  = 2
)

// FalseRate is the rate of false flags at which rules are compared, per 100
// steady limb-years.
const FalseRate = 5

// Method is how well a rule does at the threshold at which it raises FalseRate
// false flags per 100 steady limb-years.
type Method struct {
	Name      string
	Setting   string  // of a chart, the best of several
	Threshold float64 // in the unit of the rule: percent, standard deviations or a probability
	// FalsePer100 is the rate of false flags that came about.
	FalsePer100 float64
	// FoundPercent is the share of limbs losing 1 % a month for which a flag of
	// loss was open, at the latest at the first visit at or beyond each of Marks.
	FoundPercent [len(Marks)]float64
	// StepPercent is the share of steps of StepPercent found at the first visit
	// after, by the next, and by the one after that.
	StepPercent [StepVisits + 1]float64
}

// FullName is the name with the setting.
func (m Method) FullName() string {
	if m.Setting == "" {
		return m.Name
	}
	return m.Name + ", " + m.Setting
}

// candidate is a rule that may speak for a method; of several the one that finds
// most at the 6 % mark does.
type candidate struct {
	method  string
	setting string
	closes  float64     // see signal.openings
	work    int         // see teller
	make    func() rule // for one worker: a rule remembers the limb
}

// candidates are the rules that are compared: the one on the trend, without and
// with a second round of the tape where it is asked for, and the simple ones.
func candidates() []candidate {
	onTrend := func(again bool) func() rule {
		return func() rule {
			f := newFollower()
			return func(m cohort.Member) signal { return f.signal(m, again) }
		}
	}
	return append([]candidate{
		{method: "P(change > 3 %)", closes: 0.5, work: courseWork, make: onTrend(false)},
		{method: "P(change > 3 %), measured again when asked", closes: 0.5, work: courseWork, make: onTrend(true)},
	}, simple()...)
}

// simple are the rules that the trend is compared with. The charts get their best
// setting of several, chosen after the fact, in their favour; and they are told
// what they need: the uncertainty of each visit and the usual size of the
// day-to-day part.
func simple() []candidate {
	const g = dayToDayPercent
	rules := []candidate{
		{method: "fixed percent", make: score(func() detect.Rule { return &detect.FixedPercent{} })},
		{method: "fixed percent twice", make: score(func() detect.Rule { return &detect.Twice{Of: &detect.FixedPercent{}} })},
		{method: "one-visit z", make: score(func() detect.Rule { return &detect.Z{DayToDayPercent: g} })},
		{method: "two-visit z", make: score(func() detect.Rule { return &detect.Twice{Of: &detect.Z{DayToDayPercent: g}} })},
	}
	for _, base := range []struct {
		visits int
		name   string
	}{{1, "first visit as base"}, {3, "mean of three visits as base"}} {
		for _, lambda := range []float64{0.2, 0.3, 0.5, 0.7} {
			rules = append(rules, candidate{
				method: "EWMA, " + base.name, setting: fmt.Sprintf("lambda %g", lambda),
				make: score(func() detect.Rule { return &detect.EWMA{Lambda: lambda, DayToDayPercent: g, BaseVisits: base.visits} }),
			})
		}
		for _, k := range []float64{0.5, 0.75, 1, 1.5, 2, 2.5} {
			rules = append(rules, candidate{
				method: "CUSUM, " + base.name, setting: fmt.Sprintf("K %g SD", k),
				make: score(func() detect.Rule { return &detect.CUSUM{K: k, DayToDayPercent: g, BaseVisits: base.visits} }),
			})
		}
	}
	for i := range rules {
		rules[i].closes, rules[i].work = 1, 1
	}
	return rules
}

// dayToDayPercent is the standard deviation of a volume from day to day that the
// simple rules are told: the median of the cohort.
const dayToDayPercent = 0.8

// probes are limbs of which each kind has one thing to find, or nothing, and
// what a rule says of them.
type probes[T any] struct{ steady, losing, stepping []T }

// years is how long limbs were followed, all together.
func years(members []cohort.Member) float64 {
	days := 0
	for _, m := range members {
		days += m.Rows[len(m.Rows)-1].Day
	}
	return float64(days) / daysPerYear
}

const daysPerYear = 365.25

// calibrate returns the least threshold at which a rule raises no more than
// FalseRate false flags per 100 limb-years, by bisection.
func calibrate(signals []signal, limbYears, closes float64) float64 {
	low, high := 0.0, strongest(signals)+1
	for range 60 {
		middle := (low + high) / 2
		if falseRate(signals, limbYears, middle, closes) > FalseRate {
			low = middle
		} else {
			high = middle
		}
	}
	return high
}

// falseRate is the rate of flags per 100 limb-years.
func falseRate(signals []signal, limbYears, threshold, closes float64) float64 {
	count := 0
	for _, s := range signals {
		count += s.openings(threshold, closes)
	}
	return 100 * float64(count) / limbYears
}

func strongest(signals []signal) float64 {
	most := 0.0
	for _, s := range signals {
		for i := range s.loss {
			most = max(most, s.loss[i], s.gain[i])
		}
	}
	return most
}

// judge measures a rule by its signals on the limbs.
func judge(c candidate, t probes[cohort.Member], p probes[signal]) Method {
	m := Method{Name: c.method, Setting: c.setting}
	limbYears := years(t.steady)
	m.Threshold = calibrate(p.steady, limbYears, c.closes)
	m.FalsePer100 = falseRate(p.steady, limbYears, m.Threshold, c.closes)
	for i, mark := range Marks {
		var found share
		for n, limb := range t.losing {
			if visit, reached := visitAtLoss(limb, float64(mark)); reached {
				found.count(p.losing[n].lost(0, visit, m.Threshold))
			}
		}
		m.FoundPercent[i] = found.Percent()
	}
	for after := range m.StepPercent {
		var found share
		for n, limb := range t.stepping {
			if visit := visitFrom(limb, limb.Path[0].StartDay); visit+StepVisits < len(limb.Rows) {
				found.count(p.stepping[n].lost(visit, visit+after, m.Threshold))
			}
		}
		m.StepPercent[after] = found.Percent()
	}
	return m
}

// visitAtLoss returns the first visit at which a limb that loses steadily has
// truly lost so many percent, its season left aside; reached is false where it
// never does.
func visitAtLoss(m cohort.Member, percent float64) (visit int, reached bool) {
	loss := m.Path[0]
	for i, row := range m.Rows {
		if 100*(1-loss.FactorAt(float64(row.Day))) >= percent {
			return i, true
		}
	}
	return 0, false
}

// visitFrom returns the first visit on or after a day.
func visitFrom(m cohort.Member, day float64) int {
	for i, row := range m.Rows {
		if float64(row.Day) >= day {
			return i
		}
	}
	return len(m.Rows)
}

// share counts how often something was so.
type share struct{ Hits, Of int }

func (s *share) count(hit bool) {
	s.Of++
	if hit {
		s.Hits++
	}
}

// Percent is the share in percent; NaN of nothing.
func (s share) Percent() float64 { return 100 * float64(s.Hits) / float64(s.Of) }
