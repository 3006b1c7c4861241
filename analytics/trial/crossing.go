package trial

import (
	"math"

	"fairlead/analytics/cohort"
)

// CrossingPercent is the change whose crossing is forecast.
const CrossingPercent = -5

// crossingBins is into how many bins of equal width forecasts are sorted by their
// probability.
const crossingBins = 5

// Crossing compares the forecasts of one bin with what happened within the
// horizon of each.
type Crossing struct {
	Predicted float64 // mean probability
	Observed  float64 // share of limbs that truly crossed
	N         int
}

// crossings are the forecasts of one limb, sum by bin.
type crossings [crossingBins]struct {
	predicted float64
	crossed   share
}

// count takes the forecasts of a limb from every visit at which there is one, the
// limb is truly not yet beyond, as others have nothing left to cross, and neither
// a step nor a swelling begins before the horizon, as no forecast knows of those.
// (With them, 0.01 to 0.03 more limbs cross.)
//
// What is forecast is the probability of being beyond on one day, the largest of
// all days up to the horizon, which for a loss is the last. So a limb has crossed
// when its true level, without the day-to-day part, lies beyond at the horizon;
// one that the season carries to and fro over the limit has not crossed on the
// way.
func (c *crossings) count(m cohort.Member, course []said) {
	limit := 100 * math.Log(1+CrossingPercent/100.0)
	for i, s := range course {
		today := float64(m.Rows[i].Day)
		horizon := today + s.forecast.horizonDays
		if math.IsNaN(s.crossing) || m.TrueLogPercentAt(today) <= limit || m.BreaksWithin(today, horizon) {
			continue
		}
		bin := &c[min(int(s.crossing*crossingBins), crossingBins-1)]
		bin.predicted += s.crossing
		bin.crossed.count(m.TrueLogPercentAt(horizon) <= limit)
	}
}

func (c *crossings) add(d crossings) {
	for i := range c {
		c[i].predicted += d[i].predicted
		c[i].crossed.add(d[i].crossed)
	}
}

// bins returns the bins that hold a forecast.
func (c crossings) bins() []Crossing {
	var bins []Crossing
	for _, b := range c {
		if n := b.crossed.Of; n > 0 {
			bins = append(bins, Crossing{b.predicted / float64(n), b.crossed.Percent() / 100, n})
		}
	}
	return bins
}
