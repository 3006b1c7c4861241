package trend

import "math"

// The labels that a reading may have.
const (
	ordinary = iota
	wild
	stepped
	labels
)

// mostStep bounds the probability of a step in a gap of many years, so that
// there is always room for the other labels.
const mostStep = 0.9

// Filter takes the readings of one series one after the other and always knows
// what is to be said after the last. It holds no reading, so that its size does
// not grow; neither Add nor any question allocates. It is not safe for use by
// several goroutines at once.
type Filter struct {
	settings Settings
	weeks0   float64 // since amputation at the first reading, when early
	shapes   []shape // none unless early
	rises    []float64
	points   []point
	mixture  []component // by point, then by label of the last reading
	lag      []float64   // by point and label: of the reading before, given the last
	sources  []string    // those with a state of their own; the first has none
	dim      int

	n, days  int // readings, and days with one
	firstDay float64
	lastDay  float64
	scale    float64 // the first value: y is relative to it
	logLik   float64

	predicted [labels]component
	expected  [labels]innovation
	updated   [labels]component
}

// NewFilter returns an empty filter for a limb that is not early. The error
// wraps ErrBadSettings. The settings must not be changed while it is in use.
func NewFilter(s Settings) (*Filter, error) {
	if err := s.Validate(); err != nil {
		return nil, err
	}
	shapes := 1 + len(s.HalfLivesWeeks)
	points := shapes * len(s.SlopeSDs) * len(s.DayToDaySDs)
	f := &Filter{
		settings: s,
		shapes:   make([]shape, 0, shapes),
		rises:    make([]float64, shapes),
		points:   make([]point, 0, points),
		mixture:  make([]component, labels*points),
		lag:      make([]float64, labels*points),
		sources:  make([]string, 0, 1+maxOffsets),
	}
	f.Reset(0)
	return f, nil
}

// Reset empties the filter for another series, whose first visit is so many
// weeks after amputation; 0 when that is not known. A limb of less than
// EarlyWeeks is early.
func (f *Filter) Reset(weeksSinceAmputation float64) {
	s := &f.settings
	f.weeks0, f.shapes, f.dim = 0, f.shapes[:0], amplitude
	if weeksSinceAmputation > 0 && weeksSinceAmputation < s.EarlyWeeks {
		f.weeks0 = weeksSinceAmputation
		f.shapes = s.shapesOf(f.shapes, f.weeks0)
		f.dim = amplitude + 1
	}
	f.points = s.pointsOf(f.points[:0], len(f.shapes))
	f.sources = f.sources[:0]
	f.n, f.days, f.logLik = 0, 0, 0
}

// Early tells whether shapes of shrinkage after amputation compete.
func (f *Filter) Early() bool { return len(f.shapes) > 0 }

// Len returns how many readings there are, and Days on how many days.
func (f *Filter) Len() int { return f.n }

// Days returns on how many days there was a reading.
func (f *Filter) Days() int { return f.days }

// Span returns the days from the first reading to the last.
func (f *Filter) Span() float64 {
	if f.n == 0 {
		return 0
	}
	return f.lastDay - f.firstDay
}

// LogLik returns the sum of the predictive log densities of all readings but
// the first, per log-percent (per mm when linear).
func (f *Filter) LogLik() float64 { return f.logLik }

// Add takes the next reading. The error is a *ReadingError; the filter is then
// as it was.
func (f *Filter) Add(r Reading) error {
	if what, do := r.fault(f.lastDay, f.n == 0, f.settings.Linear); what != "" {
		return &ReadingError{Index: f.n, What: what, Do: do}
	}
	if f.n == 0 {
		f.scale, f.firstDay = r.Value, r.Day
	}
	y, variance := f.onScale(r)
	offset, shared := f.offsetOf(r.Source)
	variance += shared
	if f.n == 0 {
		f.begin(variance)
		f.days = 1
	} else {
		f.advance(y, variance, offset, r.Day)
		if r.Day-f.lastDay >= 0.5 {
			f.days++
		}
	}
	f.n++
	f.lastDay = r.Day
	return nil
}

// onScale returns y, relative to the first value, and its variance.
func (f *Filter) onScale(r Reading) (y, variance float64) {
	y, u := f.settings.onScale(r, f.scale)
	return y, float64(u * u)
}

// onScale returns y = 100 ln(V/V1) and u = 100 u/V, or millimetres when linear;
// u is never below its floor.
func (s *Settings) onScale(r Reading, first float64) (y, u float64) {
	if s.Linear {
		return r.Value - first, math.Max(r.U, s.FloorPercent)
	}
	return 100 * math.Log(r.Value/first), math.Max(100*r.U/r.Value, s.FloorPercent)
}

// offsetOf returns the place of the offset of a source, which it makes when the
// source is new; 0 for the first. A source beyond the sixth further one gets no
// place but the variance of its offset at each reading.
func (f *Filter) offsetOf(source string) (place int, variance float64) {
	for i, known := range f.sources {
		if known == source {
			return f.offsetAt(i), 0
		}
	}
	offsetVar := f.settings.SourceSD * f.settings.SourceSD
	if len(f.sources) > maxOffsets {
		return 0, offsetVar
	}
	f.sources = append(f.sources, source)
	if len(f.sources) == 1 {
		return 0, 0
	}
	row := at(f.dim, 0)
	for i := range f.points {
		for k := range labels {
			c := &f.mixture[labels*i+k]
			c.mean[f.dim] = 0
			clear(c.cov[row : row+f.dim])
			c.cov[row+f.dim] = offsetVar
		}
	}
	f.dim++
	return f.dim - 1, 0
}

// offsetAt returns the place of the offset of the i-th source.
func (f *Filter) offsetAt(i int) int {
	if i == 0 {
		return 0
	}
	return f.dim - len(f.sources) + i
}

// begin conditions the diffuse baseline on the first reading, which is 0 on the
// scale relative to itself. There is no step at the first visit.
func (f *Filter) begin(variance float64) {
	s := &f.settings
	even := -math.Log(float64(len(f.points)))
	priors := [labels]float64{1 - s.WildPrior, s.WildPrior, 0}
	variances := [labels]float64{variance, variance + float64(s.WildSD*s.WildSD), variance}
	for g := range f.points {
		p := &f.points[g]
		for k := range labels {
			c := &f.mixture[labels*g+k]
			*c = component{logWeight: even + math.Log(priors[k])}
			c.weight = math.Exp(c.logWeight)
			c.cov[c11] = p.slopeVar
			c.cov[c22] = p.dayVar
			c.cov[c32] = -p.dayVar
			c.cov[c33] = variances[k] + p.dayVar
			if f.Early() {
				c.mean[amplitude] = f.shapes[p.shape].ampMean
				c.cov[c44] = f.shapes[p.shape].ampVar
			}
		}
	}
}

// weeksAt returns the weeks since amputation on a day.
func (f *Filter) weeksAt(day float64) float64 { return f.weeks0 + (day-f.firstDay)/7 }

// rise fills rises with f(w′) − f(w) of each shape from one day to another.
func (f *Filter) rise(from, to float64) {
	for i := range f.shapes {
		s := &f.shapes[i]
		f.rises[i] = s.at(f.weeksAt(to), f.weeks0) - s.at(f.weeksAt(from), f.weeks0)
	}
	if !f.Early() {
		f.rises[0] = 0
	}
}
