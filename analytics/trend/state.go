package trend

import "math"

// State is what is known after a visit from it and those before it. With one
// visit only the change, which is nothing, has a meaning.
type State struct {
	ChangeLog            Moments  // log-percent
	Change               Interval // percent of the level at the first visit
	Slope                Interval // percent (log) per month
	LossOver3, GainOver3 float64  // probabilities of a change beyond so many percent
	LossOver5, GainOver5 float64
	Wild, Step           float64 // probabilities about the newest reading
	MeasureAgain         bool
}

// StateNow returns what the filter knows after its last reading. When the
// settings are linear, a percent stands for 0.25 mm.
func (f *Filter) StateNow() State {
	s := &f.settings
	edges := [...]struct {
		at    float64
		below bool
		p     float64
	}{
		{at: s.fromPercent(s.percent(-3)), below: true}, {at: s.fromPercent(s.percent(3))},
		{at: s.fromPercent(s.percent(-5)), below: true}, {at: s.fromPercent(s.percent(5))},
	}
	var sum mixed
	for i := range f.mixture[:labels*len(f.points)] {
		c := &f.mixture[i]
		if c.weight < negligible {
			continue
		}
		mean, variance := c.mean[change], c.cov[c00]
		sum.add(c.weight, mean, variance)
		sd := math.Sqrt(max(variance, leastVariance))
		for k := range edges {
			edges[k].p += float64(c.weight * beyond(edges[k].at, mean, sd, edges[k].below))
		}
	}
	m := sum.moments()
	return State{
		ChangeLog: m,
		Change:    s.intervalPercent(m.about(normal975)),
		Slope:     f.Slope().about(normal975),
		LossOver3: min(edges[0].p, 1), GainOver3: min(edges[1].p, 1),
		LossOver5: min(edges[2].p, 1), GainOver5: min(edges[3].p, 1),
		Wild: f.Wild(), Step: f.Step(),
		MeasureAgain: f.MeasureAgain(),
	}
}
