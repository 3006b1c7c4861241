package assess

import (
	"slices"

	"fairlead/analytics/quantity"
	"fairlead/analytics/trend"
	"fairlead/analytics/volume"
)

// Series are the volumes of the residual limb that are followed together: those of
// the base visit and of every later one that can be compared with it. Visits after
// a new landmark, plan reference, cap, device or operation are left out; the series
// that begins with one of them is another.
type Series struct {
	Base    Visit
	Volumes []SeriesVolume // by time; the first is that of the base visit
	// Weeks since amputation or the last operation on the limb at the base visit; 0
	// where that is not known or the limb was so from birth.
	Weeks float64

	sourcePercent float64 // see History
}

// SeriesVolume is one volume of a series. A visit that was measured in two complete
// rounds has two, on one day.
type SeriesVolume struct {
	Of     Visit
	Round  int // 1, or 2 for the second round
	Volume trend.Visit
}

// Series returns the series that the newest visit is judged by, which begins with
// the reference or, where the newest is the reference itself, with the one before.
// ok is false when the level of the limb has no volume or nothing was measured at
// the base visit.
func (h History) Series() (s Series, ok bool) {
	base, ok := h.base()
	return h.seriesFrom(base, ok)
}

// SeriesSinceReference is Series from the reference on, also where the newest visit
// is the reference itself and stands in it alone.
func (h History) SeriesSinceReference() (s Series, ok bool) {
	reference, ok := h.Reference()
	return h.seriesFrom(reference, ok)
}

func (h History) seriesFrom(base Visit, ok bool) (Series, bool) {
	if !ok || !h.Limb.Level.HasCone() || !base.hasVolume() {
		return Series{}, false
	}
	s := Series{Base: base, Weeks: h.Limb.weeksAt(base), sourcePercent: h.SourcePercent}
	visits := h.ascending()
	for _, v := range visits[slices.IndexFunc(visits, func(v Visit) bool { return v.ID == base.ID }):] {
		if v.MeasuredTwice() {
			s.add(v, 1, v.ResidualFirst, h.sigmas())
			s.add(v, 2, v.Residual, h.sigmas())
			continue
		}
		s.add(v, 1, v.Residual, h.sigmas())
	}
	return s, len(s.Volumes) > 0 && s.Volumes[0].Of.ID == base.ID
}

// add appends the volume of one round of a visit, where it can be compared.
func (s *Series) add(v Visit, round int, measured volume.Visit, sigmas volume.Sigmas) {
	if !measurable(measured.Profile) {
		return
	}
	at, _, ok := volume.OnReference(s.Base.Residual, measured, sigmas)
	if what, _ := trend.Fault(at.VolumeML, at.UML); !ok || what != "" {
		return
	}
	s.Volumes = append(s.Volumes, SeriesVolume{Of: v, Round: round, Volume: trend.Visit{
		Date: v.On, VolumeML: at.VolumeML, UML: at.UML, Source: trend.SourceOf(measured.Series.Device, measured.Fitter, ""),
	}})
}

// Run follows the series with the trend: every visit with its smoothed level, and
// the forecast for a limit of the change in percent, below 0 for a loss. The error
// is that of trend.Run.
func (s Series) Run(limitPercent float64) (*trend.Result, error) {
	visits := make([]trend.Visit, len(s.Volumes))
	for i, v := range s.Volumes {
		visits[i] = v.Volume
	}
	settings := s.settings()
	return trend.Run(visits, trend.Options{WeeksSinceAmputation: s.Weeks, LimitPercent: limitPercent, Settings: &settings})
}

// settings are the default ones of the trend, with what fitters differ by lastingly
// as it is known of the workshop.
func (s Series) settings() trend.Settings {
	settings := trend.DefaultSettings()
	if s.sourcePercent > 0 && s.sourcePercent <= mostSourcePercent {
		settings.SourceSD = s.sourcePercent
	}
	return settings
}

// mostSourcePercent is a difference between fitters beyond which a tape tells nothing.
const mostSourcePercent = 100

// weeksAt returns the weeks from the amputation, or from the last operation before
// it, to a visit; 0 when they are not known or the limb was so from birth.
func (l Limb) weeksAt(v Visit) float64 {
	since := max(l.AmputatedOn, v.Residual.Series.RevisedOn)
	days, known := v.On.DaysSince(since)
	if !known || days < 0 || l.PresentAtBirth && v.Residual.Series.RevisedOn == "" {
		return 0
	}
	return float64(days) / 7
}

// Course is a series with what the trend knows of the newest visit from all of it.
type Course struct {
	Series
	readings []trend.Reading
	filter   *trend.Filter
	state    trend.State
}

// CourseDays is how many days with a volume it takes before a change is judged by
// the course of all of them instead of by two visits (V6).
const CourseDays = 3

// Course returns what the rules know from the series of the newest visit; ok is false when the newest
// visit has no volume in it.
func (h History) Course() (c Course, ok bool) {
	s, ok := h.Series()
	newest, _ := h.Newest()
	if !ok || s.Volumes[len(s.Volumes)-1].Of.ID != newest.ID {
		return Course{}, false
	}
	filter, err := trend.NewFilter(s.settings())
	if err != nil {
		panic("assess: settings of the trend: " + err.Error())
	}
	filter.Reset(s.Weeks)
	c = Course{Series: s, filter: filter}
	for _, v := range s.Volumes {
		reading := trend.Reading{Day: c.dayOf(v.Of.On), Value: v.Volume.VolumeML, U: v.Volume.UML, Source: v.Volume.Source}
		if filter.Add(reading) != nil {
			return Course{}, false
		}
		c.readings = append(c.readings, reading)
	}
	c.state = filter.StateNow()
	return c, true
}

// judges tells whether there are enough days with a volume for the course to judge
// a change.
func (c Course) judges() bool { return c.filter.Days() >= CourseDays }

// dayOf counts days from the base visit. A day before that of the visit before, as
// a traveller across zones may have, counts as that day.
func (c Course) dayOf(on quantity.Date) float64 {
	days, _ := on.DaysSince(c.Base.On)
	day := float64(days)
	if n := len(c.readings); n > 0 {
		day = max(day, c.readings[n-1].Day)
	}
	return day
}
