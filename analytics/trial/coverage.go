package trial

import (
	"math"

	"fairlead/analytics/cohort"
)

// Coverage is how often the intervals of the trend hold the truth, over all
// visits of all limbs of a cohort. Bars belong to groups that can be known at the
// visit: an interval that knows only the data is right on average over the kinds
// of limb there may be, not within each.
type Coverage struct {
	Change95   ChangeCoverage
	Forecast90 ForecastCoverage
}

// ChangeCoverage is the coverage of the 95 % interval of the change since the
// first visit, from the second visit on.
type ChangeCoverage struct {
	All, Early, Mature share
	Visits2to5         share
}

// ForecastCoverage is the coverage of the 90 % interval of the level at the
// horizon, from the fourth visit on; new steps within the window count.
type ForecastCoverage struct {
	All, Early, Mature share
	Visits4to5         share
}

// normal95 is the 95 % quantile of the normal distribution: so many standard
// deviations are half of a 90 % interval.
const normal95 = 1.644854

// coverage counts one limb.
func (c *Coverage) coverage(m cohort.Member, course []said) {
	for i, s := range course {
		day := float64(m.Rows[i].Day)
		if i >= 1 {
			truth := m.TrueLogPercentAt(day)
			c.Change95.count(m.Early(), i+1, s.changeLo <= truth && truth <= s.changeHi)
		}
		if f := s.forecast; f.horizonDays > 0 {
			truth := m.TrueLogPercentAt(day + f.horizonDays)
			c.Forecast90.count(m.Early(), i+1, math.Abs(truth-f.mean) <= normal95*f.sd)
		}
	}
}

func (c *ChangeCoverage) count(early bool, visit int, held bool) {
	c.All.count(held)
	if early {
		c.Early.count(held)
	} else {
		c.Mature.count(held)
	}
	if visit >= 2 && visit <= 5 {
		c.Visits2to5.count(held)
	}
}

func (c *ForecastCoverage) count(early bool, visit int, held bool) {
	c.All.count(held)
	if early {
		c.Early.count(held)
	} else {
		c.Mature.count(held)
	}
	if visit >= 4 && visit <= 5 {
		c.Visits4to5.count(held)
	}
}

// add adds the counts of another limb.
func (c *Coverage) add(d Coverage) {
	c.Change95.All.add(d.Change95.All)
	c.Change95.Early.add(d.Change95.Early)
	c.Change95.Mature.add(d.Change95.Mature)
	c.Change95.Visits2to5.add(d.Change95.Visits2to5)
	c.Forecast90.All.add(d.Forecast90.All)
	c.Forecast90.Early.add(d.Forecast90.Early)
	c.Forecast90.Mature.add(d.Forecast90.Mature)
	c.Forecast90.Visits4to5.add(d.Forecast90.Visits4to5)
}

func (s *share) add(t share) { s.Hits, s.Of = s.Hits+t.Hits, s.Of+t.Of }
