package girth

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/interp"
)

var (
	// ErrTooFewLevels means that something needs a length of limb and the
	// profile has fewer than two levels.
	ErrTooFewLevels = errors.New("girth: fewer than two levels")
	// ErrOutsideSpan means that a level lies outside the span that was
	// measured; girths are never extrapolated.
	ErrOutsideSpan = errors.New("girth: level outside the measured span")
	// ErrNoSharedSpan means that two profiles have no length of limb in common.
	ErrNoSharedSpan = errors.New("girth: no shared span")
)

// Profile is the girth along a limb at one visit, ascending by level, each
// level once.
type Profile []Pooled

// Levels returns the levels in millimetres.
func (p Profile) Levels() []float64 {
	levels := make([]float64, len(p))
	for i, at := range p {
		levels[i] = at.LevelMM
	}
	return levels
}

// Girths returns the girths in millimetres, in the order of Levels.
func (p Profile) Girths() []float64 {
	girths := make([]float64, len(p))
	for i, at := range p {
		girths[i] = at.GirthMM
	}
	return girths
}

// Span returns the first and the last level in millimetres; both are 0 for an
// empty profile.
func (p Profile) Span() (fromMM, toMM float64) {
	if len(p) == 0 {
		return 0, 0
	}
	return p[0].LevelMM, p[len(p)-1].LevelMM
}

// GirthAt returns the girth in millimetres at one level; see GirthsAt.
func (p Profile) GirthAt(levelMM float64) (float64, error) {
	girths, err := p.GirthsAt([]float64{levelMM})
	if err != nil {
		return 0, err
	}
	return girths[0], nil
}

// GirthsAt returns the girths in millimetres at the levels given, interpolated
// by the monotone piecewise cubic of Fritsch FN, Butland J, SIAM J Sci Stat
// Comput 1984;5:300–304: it keeps the shape, so between two levels the girth
// stays between their girths, and it equals the profile at its own levels. Its
// weak side is high tension: a bulge whose crest falls between two levels is
// cut off.
//
// ErrTooFewLevels comes back for fewer than two levels in the profile and
// ErrOutsideSpan for a level outside its span.
func (p Profile) GirthsAt(levelsMM []float64) ([]float64, error) {
	if len(p) < 2 {
		return nil, ErrTooFewLevels
	}
	from, to := p.Span()
	curve := p.curve()
	girths := make([]float64, len(levelsMM))
	for i, level := range levelsMM {
		if !(level >= from && level <= to) {
			return nil, fmt.Errorf("%w: %g mm is not within %g to %g mm", ErrOutsideSpan, level, from, to)
		}
		girths[i] = curve.Predict(level)
	}
	return girths, nil
}

// slopeReachMM is how far to either side a slope is taken: about one standard
// uncertainty of placing a level, which is what slopes are for.
const slopeReachMM = 3.0

// Slopes returns how the girth changes along the limb at each level, in
// millimetres of girth per millimetre distally: the mean slope of the curve of
// GirthsAt within 3 mm to either side, as far as the span goes. The derivative
// at the level itself would be too small there, because the curve flattens at
// its nodes. A profile of fewer than two levels has no slope; zeros come back.
func (p Profile) Slopes() []float64 {
	slopes := make([]float64, len(p))
	if len(p) < 2 {
		return slopes
	}
	curve := p.curve()
	from, to := p.Span()
	for i, at := range p {
		above, below := math.Max(at.LevelMM-slopeReachMM, from), math.Min(at.LevelMM+slopeReachMM, to)
		slopes[i] = (curve.Predict(below) - curve.Predict(above)) / (below - above)
	}
	return slopes
}

// curve fits the interpolant to a profile of at least two levels.
func (p Profile) curve() interp.FritschButland {
	var curve interp.FritschButland
	if err := curve.Fit(p.Levels(), p.Girths()); err != nil {
		panic(fmt.Sprintf("girth: fit of a profile: %v", err)) // documented to be always nil
	}
	return curve
}

// UnionLevels returns the levels, ascending, on which two profiles can be
// compared: every level of either that lies inside the span both cover, and
// the two ends of that span. Levels closer than SameLevelMM count once.
//
// ErrTooFewLevels comes back when a profile has fewer than two levels,
// ErrNoSharedSpan when the two have no length in common.
func UnionLevels(a, b Profile) ([]float64, error) {
	if len(a) < 2 || len(b) < 2 {
		return nil, ErrTooFewLevels
	}
	aFrom, aTo := a.Span()
	bFrom, bTo := b.Span()
	from, to := math.Max(aFrom, bFrom), math.Min(aTo, bTo)
	if to-from <= SameLevelMM {
		return nil, fmt.Errorf("%w: %g to %g mm and %g to %g mm", ErrNoSharedSpan, aFrom, aTo, bFrom, bTo)
	}
	inner := slices.Concat(a.Levels(), b.Levels())
	slices.Sort(inner)
	union := []float64{from}
	for _, level := range inner {
		if level-union[len(union)-1] > SameLevelMM && to-level > SameLevelMM {
			union = append(union, level)
		}
	}
	return append(union, to), nil
}
