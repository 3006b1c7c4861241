package volume

import (
	"errors"
	"fmt"
)

// Sigmas are the standard uncertainties that the error model starts from.
type Sigmas struct {
	ReadingMM          float64 // σr, of one tape reading
	LevelMM            float64 // σz, of placing one level
	LandmarkMM         float64 // σL, of finding the landmark, shared by all levels of a visit
	BiasSameFitter     float64 // β, of all girths of a visit together, as a fraction, one fitter
	BiasBetweenFitters float64 // β between fitters, as a fraction
}

// DefaultSigmas is V0 (computed from common practice): with two passes on a
// transtibial limb of six levels it gives a standard uncertainty of 1.44 % of
// the volume for one fitter, and 3.8 % between fitters. It stands in for V1
// (1.5 %) and V2 (4 %), which come from published repeatability: 0.64–0.82 %
// trained fitters (Tidhar et al., J Pers Med 2015;5:341), 1.2–1.4 % over two
// weeks (Lymphat Res Biol 2022), both on intact limbs, and for V2 an inter-rater
// coefficient of 256.85 mL on residual limbs of 569–3115 mL.
var DefaultSigmas = Sigmas{
	ReadingMM:          2,
	LevelMM:            3,
	LandmarkMM:         3,
	BiasSameFitter:     0.005,
	BiasBetweenFitters: 0.0185,
}

// The largest figures that Sigmas.Validate lets pass: beyond them a tape tells
// nothing (common practice, no source).
const (
	maxSigmaMM = 100
	maxBias    = 0.5
)

// ErrBadSigmas is wrapped by the error of Sigmas.Validate.
var ErrBadSigmas = errors.New("volume: bad uncertainty")

// Validate returns an error that wraps ErrBadSigmas when a figure is negative,
// not a number or absurdly large (above 100 mm or 50 %).
func (s Sigmas) Validate() error {
	for _, part := range []struct {
		name        string
		value, most float64
		scale       float64
		unit        string
	}{
		{"of one reading", s.ReadingMM, maxSigmaMM, 1, "mm"},
		{"of placing a level", s.LevelMM, maxSigmaMM, 1, "mm"},
		{"of finding the landmark", s.LandmarkMM, maxSigmaMM, 1, "mm"},
		{"shared by a visit of the same fitter", s.BiasSameFitter, maxBias, 100, "%"},
		{"shared by a visit between fitters", s.BiasBetweenFitters, maxBias, 100, "%"},
	} {
		if !(part.value >= 0 && part.value <= part.most) {
			return fmt.Errorf("%w: that %s is %g %s and must be 0 to %g %s",
				ErrBadSigmas, part.name, part.value*part.scale, part.unit, part.most*part.scale, part.unit)
		}
	}
	return nil
}

// Between returns the sigmas with the bias that holds for a pair of visits, as
// the one of a visit.
func (s Sigmas) Between(fittersDiffer bool) Sigmas {
	if fittersDiffer {
		s.BiasSameFitter = s.BiasBetweenFitters
	}
	return s
}
