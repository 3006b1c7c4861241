package followup

import (
	"math"
	"slices"

	"fairlead/analytics/assess"
	"fairlead/analytics/trend"
	"fairlead/analytics/volume"
)

// CourseView is the course of the volume since the reference, by all visits that can be
// compared with it.
type CourseView struct {
	Series  assess.Series
	Result  *trend.Result
	Volumes []CourseVolume // by time
	// Judges tells that there are enough days with a volume for the rules to judge a
	// change by the course. Until then the course is not shown.
	Judges bool
	// Found are the findings about the volume at Taped, counted from the reference
	// shown, most urgent first.
	Found []assess.Finding
	// Loss and Gain are the forecasts for the limits of a change; nil for a loss of
	// all there is.
	Loss, Gain *trend.Forecast
}

// VolumePoint is one volume of a visit in percent of that at the reference: of the level
// there by all visits together or, while the course does not judge yet, of what was
// measured there.
type VolumePoint struct {
	Round, Rounds  int
	Device, Fitter string          // the fitter is a person's id
	Percent        trend.Interval  // the central 95 %; without a width at the reference itself
	VolumeML, UML  float64         // on the scale of the reference, of this round alone
	Smooth         *trend.Interval // percent, by all visits together; nil outside the course
	SlipPercent    *float64        // probability that it is a slip; nil outside the course
}

// Doubtful tells whether a volume is more likely a slip than not.
func (p VolumePoint) Doubtful() bool { return p.SlipPercent != nil && *p.SlipPercent > 50 }

// follow works the course out and puts every visit in its place on it.
func (v *LimbView) follow() {
	if v.Reference == nil || v.Reference.Volume == nil {
		return
	}
	v.Course = v.course()
	for i := range v.Visits {
		v.Visits[i].Points = v.points(v.Visits[i])
	}
}

// course is nil where nothing can be followed.
func (v *LimbView) course() *CourseView {
	series, ok := v.History.SeriesSinceReference()
	if !ok {
		return nil
	}
	loss, gain := v.limitPercents()
	result, err := series.Run(max(loss, -99))
	if err != nil {
		return nil
	}
	c := CourseView{
		Series: series, Result: result, Volumes: CourseVolumes(series, result), Judges: result.Days >= assess.CourseDays,
		Found: assess.Volume(v.upToTaped()),
	}
	if loss > -100 {
		c.Loss = &result.Forecast
	}
	forecast := result.Crossing(gain)
	c.Gain = &forecast
	return &c
}

// limitPercents are the limits of a change in percent: below zero that of a loss.
func (v *LimbView) limitPercents() (loss, gain float64) {
	set, starting := v.History.VolumeLimits, assess.StartingVolumeLimits
	if loss, gain = set.LossPercent, set.GainPercent; loss <= 0 {
		loss = starting.LossPercent
	}
	if gain <= 0 {
		gain = starting.GainPercent
	}
	return -min(loss, 100), min(gain, 1000)
}

// upToTaped is the history as it was when the limb was measured last.
func (v *LimbView) upToTaped() assess.History {
	h := v.History
	if v.Taped != nil {
		h.Visits = h.Visits[:slices.IndexFunc(h.Visits, func(a assess.Visit) bool { return a.ID == v.Taped.Assessed.ID })+1]
	}
	return h
}

// Judged tells whether the change of the newest volume is judged by the course.
func (v *LimbView) Judged() bool {
	return v.Course != nil && v.Course.Judges && v.Taped != nil &&
		v.Course.Volumes[len(v.Course.Volumes)-1].VisitID == v.Taped.Assessed.ID
}

// points are the volumes of a visit that can be compared with the reference.
func (v *LimbView) points(at VisitView) []VolumePoint {
	if at.Volume == nil || !at.IsReference && (at.Change == nil || !at.Change.Comparable) {
		return nil
	}
	base := v.Reference.Assessed.Residual
	rounds := []volume.Visit{at.Assessed.Residual}
	if at.Assessed.MeasuredTwice() {
		rounds = []volume.Visit{at.Assessed.ResidualFirst, at.Assessed.Residual}
	}
	var points []VolumePoint
	for i, round := range rounds {
		measured, _, ok := volume.OnReference(base, round, v.History.Sigmas)
		if !ok {
			continue
		}
		p := VolumePoint{
			Round: i + 1, Rounds: len(rounds), Device: round.Series.Device, Fitter: round.Fitter, VolumeML: measured.VolumeML, UML: measured.UML,
		}
		v.place(&p, at, i == len(rounds)-1)
		points = append(points, p)
	}
	return points
}

// place puts a volume on the course, or where there is none yet beside the reference.
func (v *LimbView) place(p *VolumePoint, at VisitView, last bool) {
	level, half := v.Reference.Volume.VolumeML, volume.Normal975*p.UML
	course := v.Course != nil && v.Course.Judges
	if course {
		level = v.Course.Volumes[0].LevelML
		for _, known := range v.Course.Volumes {
			if known.VisitID == at.Assessed.ID && known.Round == p.Round {
				smooth, slip := known.SmoothChange, known.SlipPercent
				p.Smooth, p.SlipPercent = &smooth, &slip
			}
		}
	}
	percent := func(ml float64) float64 { return 100 * (ml - level) / level }
	p.Percent = trend.Interval{Estimate: percent(p.VolumeML), Lo: percent(p.VolumeML - half), Hi: percent(p.VolumeML + half)}
	switch {
	case course || !last:
	case at.IsReference:
		p.Percent = trend.Interval{}
	default: // as the two visits by themselves say
		p.Percent = trend.Interval{Estimate: at.Change.ChangePercent, Lo: at.Change.LoPercent, Hi: at.Change.HiPercent}
	}
}

// DayOnCourse is what all visits together say of one day.
type DayOnCourse struct {
	VisitID string // the last one of the day
	Change  trend.Interval
}

// Days are the days of the course in order; none while it does not judge yet.
func (c *CourseView) Days() []DayOnCourse {
	if c == nil || !c.Judges {
		return nil
	}
	var days []DayOnCourse
	for i, at := range c.Volumes {
		day := DayOnCourse{at.VisitID, at.SmoothChange}
		if i > 0 && c.Volumes[i-1].On == at.On {
			days[len(days)-1] = day
			continue
		}
		days = append(days, day)
	}
	return days
}

// ForecastDay is the forecast for one day.
type ForecastDay struct {
	After              int // days after the newest volume
	Within90, Within50 trend.Interval
}

// forecastSteps is how many steps a drawn forecast has.
const forecastSteps = 26

// Ahead are the days of the forecast, from that of the newest volume to the horizon;
// none where there is too little to say.
func (c *CourseView) Ahead() []ForecastDay {
	if c == nil || !c.Judges || !c.Result.Forecast.Told() {
		return nil
	}
	horizon := c.Result.Forecast.HorizonDays
	step := max(1, int(math.Ceil(float64(horizon)/forecastSteps)))
	var days []ForecastDay
	for after := 0; ; after += step {
		after = min(after, horizon)
		day := ForecastDay{After: after}
		day.Within90, day.Within50 = c.Result.Fan(after)
		days = append(days, day)
		if after == horizon {
			return days
		}
	}
}

// Volume is that of a round of a visit in the course with its uncertainty.
func (c *CourseView) Volume(visitID string, round int) (ml, u float64, ok bool) {
	if c == nil {
		return 0, 0, false
	}
	for _, at := range c.Volumes {
		if at.VisitID == visitID && at.Round == round {
			return at.VolumeML, at.UML, true
		}
	}
	return 0, 0, false
}
