package trend

import (
	"errors"
	"fmt"
	"math"

	"fairlead/analytics/quantity"
)

// DefaultLimitPercent is the limit that a forecast is made for unless another
// is set: a loss of about one sock.
const DefaultLimitPercent = -5

// Options say what Run should know of a series beyond its visits. The zero value
// is a limb whose age is not known, the default settings and limit.
type Options struct {
	WeeksSinceAmputation float64 // at the first visit; 0 when not known
	LimitPercent         float64 // of the forecast: negative for a loss; 0 for DefaultLimitPercent
	Settings             *Settings
}

// MaxVisits is the longest series that Run takes: daily visits for 55 years.
const MaxVisits = 20_000

// ErrNoVisits means that there is nothing to follow.
var ErrNoVisits = errors.New("trend: no visits")

// ErrBadOptions is wrapped by the error of Run for options without a meaning.
var ErrBadOptions = errors.New("trend: bad options")

// VisitState is a visit with what is known of the limb at it.
type VisitState struct {
	Visit
	Index    int      // among the visits that were given
	Filtered State    // from this visit and those before it
	Level    Interval // mL, smoothed: from all visits; on the scale of the first source
	Change   Interval // percent since the first visit, smoothed
	Weight   float64  // 1 − the probability that it is wild, given the next visit too
}

// Result is all that is told of a series. State is what is known after the
// newest visit; the last of Visits has the same change. When the settings are
// linear, mL and percent stand for mm.
type Result struct {
	State
	Early                bool
	LogShape, DecayShape float64 // weights of the shapes of shrinkage in an early limb
	LogLik               float64
	Visits               []VisitState // by date
	Days                 int          // with a visit
	Steadiness           Steadiness
	TheilSen             float64 // percent (log) per month, beside the rest, never in a flag
	HasTheilSen          bool
	Forecast             Forecast
	first, last          quantity.Date
	filter               *Filter
}

// Run follows a series of visits, in any order: by date, those of one day as
// given. A new landmark, plan reference, cap or revision begins another series.
//
// Errors: a *ReadingError names the first visit that can't be used; ErrNoVisits;
// one that wraps ErrBadOptions or ErrBadSettings.
func Run(visits []Visit, o Options) (*Result, error) {
	if len(visits) == 0 {
		return nil, ErrNoVisits
	}
	if len(visits) > MaxVisits {
		return nil, &ReadingError{Index: MaxVisits, What: fmt.Sprintf("there are more than %d visits", MaxVisits), Do: "split the series"}
	}
	settings := DefaultSettings()
	if o.Settings != nil {
		settings = *o.Settings
	}
	if o.LimitPercent == 0 {
		o.LimitPercent = settings.percent(DefaultLimitPercent)
	}
	if what := settings.limitFault(o.LimitPercent); what != "" {
		return nil, badOption(what)
	}
	if !(o.WeeksSinceAmputation >= 0 && o.WeeksSinceAmputation <= maxDays/7) {
		return nil, badOption("the weeks since amputation must be none or above zero")
	}
	f, err := NewFilter(settings)
	if err != nil {
		return nil, err
	}
	f.Reset(o.WeeksSinceAmputation)
	readings, order, err := inOrder(visits)
	if err != nil {
		return nil, err
	}
	r := &Result{Visits: make([]VisitState, len(visits)), filter: f, Early: f.Early()}
	for k, i := range order {
		r.Visits[k] = VisitState{Visit: visits[i], Index: i}
	}
	if err := r.follow(readings, order); err != nil {
		return nil, err
	}
	r.State = r.Visits[len(visits)-1].Filtered
	r.first, r.last = visits[order[0]].Date, visits[order[len(order)-1]].Date
	r.LogShape, r.DecayShape = f.Shapes()
	r.LogLik, r.Days = f.LogLik(), f.Days()
	r.Steadiness = settings.SteadyAfter(readings, f.Slope())
	r.TheilSen, r.HasTheilSen = settings.theilSen(readings)
	r.Forecast = f.Crossing(o.LimitPercent)
	return r, nil
}

func badOption(what string) error { return errors.Join(ErrBadOptions, errors.New("trend: "+what)) }

// follow filters the readings and then smooths them.
func (r *Result) follow(readings []Reading, order []int) error {
	f := r.filter
	p := newPast(f, len(readings), sourcesIn(readings))
	for j, reading := range readings {
		if err := f.Add(reading); err != nil {
			var bad *ReadingError
			if errors.As(err, &bad) {
				bad.Index = order[j]
			}
			return err
		}
		p.keep(f)
		r.Visits[j].Filtered = f.StateNow()
		r.Visits[j].Weight = 1 - f.Wild()
		if j > 0 {
			r.Visits[j-1].Weight = 1 - f.wildBefore()
		}
	}
	weights := make([]float64, len(f.points))
	for g := range weights {
		weights[g] = f.pointWeight(g)
	}
	sums := make([]struct{ change, level mixed }, len(readings))
	p.smooth(f, func(j, g int, mean, cov []float64) {
		sums[j].change.add(weights[g], mean[change], cov[c00])
		sums[j].level.add(weights[g], mean[change]+mean[baseline], cov[c00]+float64(2*cov[c30])+cov[c33])
	})
	for j := range sums {
		r.Visits[j].Change = f.settings.intervalPercent(sums[j].change.moments().about(normal975))
		r.Visits[j].Level = f.settings.level(sums[j].level.moments().about(normal975), f.scale)
	}
	return nil
}

// sourcesIn counts the sources, up to those that have a state of their own.
func sourcesIn(readings []Reading) int {
	var known []string
next:
	for _, r := range readings {
		for _, source := range known {
			if source == r.Source {
				continue next
			}
		}
		if known = append(known, r.Source); len(known) > maxOffsets {
			break
		}
	}
	return len(known)
}

// theilSen is the plain cross-check: the median slope per month between two
// readings, of all pairs.
func (s *Settings) theilSen(readings []Reading) (slope float64, ok bool) {
	x, y := make([]float64, len(readings)), make([]float64, len(readings))
	for i, r := range readings {
		x[i] = (r.Day - readings[0].Day) / DaysPerMonth
		y[i], _ = s.onScale(r, readings[0].Value)
	}
	slope, ok = TheilSen(x, y)
	return slope, ok && !math.IsInf(slope, 0)
}

// Beyond is the probability that the level is now beyond a limit in percent of
// the level at the first visit, below it when it is negative.
func (r *Result) Beyond(limitPercent float64) float64 { return r.filter.Beyond(limitPercent) }

// Crossing is the forecast for any limit; see Filter.Crossing.
func (r *Result) Crossing(limitPercent float64) Forecast { return r.filter.Crossing(limitPercent) }

// Ahead is where the limb may be so many days after the newest visit, without
// new steps: the change in percent since the first visit and the level in mL,
// each with its central 90 %.
func (r *Result) Ahead(days int) (change, level Interval) {
	f := r.filter
	change = f.settings.intervalPercent(f.AfterDays(float64(days)).about(normal95))
	level = f.settings.level(f.levelMoments(float64(days)).about(normal95), f.scale)
	return change, level
}

// Fan is where the change since the first visit may be so many days after the newest
// one, without new steps: in percent, with its central 90 % and its central 50 %.
func (r *Result) Fan(days int) (within90, within50 Interval) {
	f := r.filter
	ahead := f.AfterDays(float64(days))
	return f.settings.intervalPercent(ahead.about(normal95)), f.settings.intervalPercent(ahead.about(normal75))
}

// DateOf is the date so many days after the newest visit; empty for NoDay.
func (r *Result) DateOf(days int) quantity.Date {
	if days == NoDay {
		return ""
	}
	return r.last.AddDays(days)
}

// DateFrom is the date so many days after the first visit.
func (r *Result) DateFrom(days int) quantity.Date { return r.first.AddDays(days) }
