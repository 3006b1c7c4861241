package volume

import (
	"math"

	"fairlead/analytics/girth"
)

// LevelChange is the change of girth at one level, in millimetres.
type LevelChange struct {
	LevelMM       float64
	ThenMM, NowMM float64
	ChangeMM, UMM float64
	BeyondTape    bool // the change exceeds 1.96 u: it is not the tape alone
}

// GirthChanges returns the change of girth from the reference to now at every
// level of either profile inside the shared span, interpolated where a profile
// has no reading there. The uncertainty has the four terms of MeasureOn, with
// the gradient of the girth at that level by the measured girths and the bias
// C β; both visits count as one fitter's unless s says otherwise.
//
// Errors: girth.ErrTooFewLevels, girth.ErrNoSharedSpan, ErrBadSigmas.
func GirthChanges(reference, now girth.Profile, s Sigmas) ([]LevelChange, error) {
	if err := s.Validate(); err != nil {
		return nil, err
	}
	levels, err := girth.UnionLevels(reference, now)
	if err != nil {
		return nil, err
	}
	changes := make([]LevelChange, len(levels))
	for i, level := range levels {
		then, uThen := girthOn(reference, level, s)
		today, uToday := girthOn(now, level, s)
		c := LevelChange{
			LevelMM:  level,
			ThenMM:   then,
			NowMM:    today,
			ChangeMM: today - then,
			UMM:      math.Hypot(uThen, uToday),
		}
		c.BeyondTape = math.Abs(c.ChangeMM) > Normal975*c.UMM
		changes[i] = c
	}
	return changes, nil
}

// girthOn returns the girth at a level inside the span of a profile, with its
// standard uncertainty, both in millimetres.
func girthOn(p girth.Profile, levelMM float64, s Sigmas) (girthMM, uMM float64) {
	girthMM, err := p.GirthAt(levelMM)
	if err != nil {
		panic("volume: level outside the span: " + err.Error())
	}
	gradient := throughInterpolant(p, []float64{levelMM}, func(girthsMM []float64) float64 { return girthsMM[0] })
	return girthMM, propagate(p, gradient, girthMM, s).total()
}
