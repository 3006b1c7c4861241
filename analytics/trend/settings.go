package trend

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// Settings are the constants of the model. Slopes are log-percent per month of
// DaysPerMonth, other sizes log-percent of volume, unless Linear is set: then
// all are millimetres.
type Settings struct {
	// Linear leaves the logarithm out: values are millimetres, and so is all
	// that is told of them.
	Linear bool

	SlopeSDs    []float64 // s, stationary SD of the slope: one filter for each pair of s and g
	DayToDaySDs []float64 // g, SD of the day-to-day deviation
	DriftSD     float64   // m, random walk of the level per square root of a month
	SlopeReturn float64   // κ, return of the slope to zero, per month
	DayMemory   float64   // τd, memory of the day-to-day deviation, in days

	WildPrior float64 // ε, probability that a reading is wild
	WildSD    float64 // W, further SD of a wild reading
	StepRate  float64 // steps a year
	StepSD    float64 // S, size of a step

	SourceSD     float64 // lasting offset of a source from the first one
	FloorPercent float64 // least standard uncertainty of a reading

	EarlyWeeks     float64   // a limb younger than this at its first visit is early
	LogMean, LogSD float64   // amplitude of the log-time shape, per natural log of weeks
	DecayMean      float64   // amplitude of the decay shapes of a limb of DecayWeeks or less
	DecaySD        float64   // its SD
	DecayWeeks     float64   // older limbs have what is left of it
	HalfLivesWeeks []float64 // of the decay shapes
}

// DaysPerMonth is the mean month of the Gregorian calendar, a twelfth of
// 365.25 days.
const DaysPerMonth = 30.4375

// The default settings. They were chosen on simulated limbs; where a figure
// comes from elsewhere, the comment says so.
const (
	DefaultDriftSD     = 0.1      // %/√month
	DefaultSlopeReturn = 1.0 / 24 // per month: a slope keeps for about two years
	DefaultDayMemory   = 2        // days
	DefaultWildPrior   = 0.015
	DefaultWildSD      = 16   // %: slips of a digit, a row or a landmark
	DefaultStepRate    = 0.08 // a year
	DefaultStepSD      = 6    // %

	// DefaultSourceSD with a standard uncertainty of 1.5 % gives the 4 % of a
	// volume between fitters (V2, from an inter-rater coefficient of 256.85 mL on
	// residual limbs of 569–3115 mL).
	DefaultSourceSD     = 3.7
	DefaultFloorPercent = 0.3

	// DefaultEarlyWeeks is a year and a half: after it the shapes are flat.
	DefaultEarlyWeeks = 78
	// DefaultLogMean is the loss per natural log of weeks of Tantua et al.,
	// J Rehabil Res Dev 2014;51:1121 (−9.7 %), rounded.
	DefaultLogMean    = -10
	DefaultLogSD      = 8
	DefaultDecayMean  = -12
	DefaultDecaySD    = 8
	DefaultDecayWeeks = 12
)

// DefaultSettings returns the settings for volumes in millilitres.
func DefaultSettings() Settings {
	return Settings{
		SlopeSDs:    []float64{0.05, 0.8},
		DayToDaySDs: []float64{0.4, 0.9},
		DriftSD:     DefaultDriftSD,
		SlopeReturn: DefaultSlopeReturn,
		DayMemory:   DefaultDayMemory,

		WildPrior: DefaultWildPrior,
		WildSD:    DefaultWildSD,
		StepRate:  DefaultStepRate,
		StepSD:    DefaultStepSD,

		SourceSD:     DefaultSourceSD,
		FloorPercent: DefaultFloorPercent,

		EarlyWeeks: DefaultEarlyWeeks,
		LogMean:    DefaultLogMean, LogSD: DefaultLogSD,
		DecayMean: DefaultDecayMean, DecaySD: DefaultDecaySD, DecayWeeks: DefaultDecayWeeks,
		HalfLivesWeeks: []float64{5, 12},
	}
}

// mmPerPercent is the change of radius of a limb of 48 to 50 mm radius whose
// volume changes by 1 % (computed: half of 1 % of the radius).
const mmPerPercent = 0.25

// ClearanceSettings returns the settings for clearances in millimetres: those
// for volumes without the logarithm, all sizes times 0.25 mm per percent. That
// transfer is our own and was not tried on simulated covers. No limb is early
// in them, as a gap need not follow the limb.
func ClearanceSettings() Settings {
	s := DefaultSettings()
	s.Linear = true
	for _, sizes := range [][]float64{s.SlopeSDs, s.DayToDaySDs} {
		for i := range sizes {
			sizes[i] *= mmPerPercent
		}
	}
	for _, size := range []*float64{&s.DriftSD, &s.WildSD, &s.StepSD, &s.SourceSD, &s.FloorPercent} {
		*size *= mmPerPercent
	}
	s.EarlyWeeks = 0
	return s
}

// ErrBadSettings is wrapped by the error of Settings.Validate.
var ErrBadSettings = errors.New("trend: bad settings")

// Validate returns an error that wraps ErrBadSettings when a constant has no
// meaning: a size or rate that is negative or not finite, a memory, floor or
// half-life that is not above zero, no or too many filters.
func (s Settings) Validate() error {
	const most = 8 // sizes or half-lives, each of which multiplies the filters
	if n, m, k := len(s.SlopeSDs), len(s.DayToDaySDs), len(s.HalfLivesWeeks); n < 1 || n > most || m < 1 || m > most || k > most {
		return fmt.Errorf("%w: %d slope SDs, %d day-to-day SDs and %d half-lives", ErrBadSettings, n, m, k)
	}
	sizes := slices.Concat(s.SlopeSDs, s.DayToDaySDs, []float64{
		s.DriftSD, s.WildSD, s.StepRate, s.StepSD, s.SourceSD, s.EarlyWeeks, s.LogSD, s.DecaySD, math.Abs(s.LogMean), math.Abs(s.DecayMean),
	})
	for _, v := range sizes {
		if !(v >= 0 && v <= 1e3) {
			return fmt.Errorf("%w: a size or rate is %g", ErrBadSettings, v)
		}
	}
	for _, v := range append([]float64{s.SlopeReturn, s.DayMemory, s.FloorPercent, s.DecayWeeks}, s.HalfLivesWeeks...) {
		if !(v > 0 && v <= 1e3) {
			return fmt.Errorf("%w: a memory, floor or half-life is %g", ErrBadSettings, v)
		}
	}
	if !(s.WildPrior >= 0 && s.WildPrior <= 0.5) {
		return fmt.Errorf("%w: the probability of a wild reading is %g", ErrBadSettings, s.WildPrior)
	}
	return nil
}
