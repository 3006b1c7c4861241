package trial

import (
	"fmt"
	"math"

	"fairlead/analytics/assess"
	"fairlead/analytics/cohort"
	"fairlead/analytics/trend"
)

// said is what the trend says at one visit, from it and those before it.
type said struct {
	changeLo, changeHi float64 // 95 %, log-percent
	forecast           forecast
	// crossing is the probability that the change crosses CrossingPercent up to
	// the horizon; NaN where there is no forecast of it.
	crossing float64
}

// forecast is the change at the horizon, in log-percent.
type forecast struct{ horizonDays, mean, sd float64 }

// ruledPercent is the change that the rule on the trend asks for (V6).
const ruledPercent = 3

// follower runs the trend on limbs, one after the other.
type follower struct {
	filter   *trend.Filter
	settings trend.Settings
	readings []trend.Reading
}

func newFollower() *follower {
	f := &follower{settings: trend.DefaultSettings()}
	filter, err := trend.NewFilter(f.settings)
	if err != nil {
		panic(fmt.Sprintf("trial: default settings of the trend: %v", err))
	}
	f.filter = filter
	return f
}

// add takes a round of the tape.
func (f *follower) add(row cohort.Row) {
	r := trend.Reading{Day: float64(row.Day), Value: row.VolumeML, U: row.UML, Source: sources[row.Source]}
	if err := f.filter.Add(r); err != nil {
		panic(fmt.Sprintf("trial: a row of the cohort: %v", err))
	}
	f.readings = append(f.readings, r)
}

var sources = [...]string{trend.SourceOf("tape", "own", ""), trend.SourceOf("tape", "second", "")}

// begin starts a limb.
func (f *follower) begin(m cohort.Member) {
	f.filter.Reset(m.WeeksSince)
	f.readings = f.readings[:0]
}

// signal is what the rule "change of more than ruledPercent" says of a limb. With
// again, a second round is taken at the first visit and wherever the trend asks
// for one, and the rule speaks after it.
func (f *follower) signal(m cohort.Member, again bool) signal {
	f.begin(m)
	s := signal{make([]float64, len(m.Rows)), make([]float64, len(m.Rows))}
	for i, row := range m.Rows {
		f.add(row)
		if again && (i == 0 || f.filter.Wild()+f.filter.Step() > assess.AskAgainAt) {
			f.add(m.Again[i])
		}
		if i > 0 {
			s.loss[i], s.gain[i] = f.filter.Loss(ruledPercent), f.filter.Gain(ruledPercent)
		}
	}
	return s
}

// follow says everything of a limb, one round at each visit.
func (f *follower) follow(m cohort.Member) []said {
	f.begin(m)
	course := make([]said, len(m.Rows))
	for i, row := range m.Rows {
		f.add(row)
		change := f.filter.Change()
		s := &course[i]
		s.changeLo, s.changeHi = change.Mean-normal975*change.SD, change.Mean+normal975*change.SD
		s.crossing = math.NaN()
		crossing := f.filter.Crossing(CrossingPercent)
		if crossing.Kind == trend.ForecastOne || crossing.Kind == trend.ForecastFew {
			continue
		}
		s.forecast.horizonDays = float64(crossing.HorizonDays)
		ahead := f.filter.AfterDays(s.forecast.horizonDays)
		s.forecast.mean, s.forecast.sd = ahead.Mean, ahead.SD
		if crossing.Kind == trend.ForecastGiven {
			s.crossing = crossing.Probability
		}
	}
	return course
}

// normal975 is the 97.5 % quantile of the normal distribution.
const normal975 = 1.959964
