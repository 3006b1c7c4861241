package volume

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"fairlead/analytics/girth"
	"fairlead/analytics/quantity"
)

// MaxCapDepthMM is the deepest distal cap that is taken; a longer end wants
// levels of its own (common practice, no source).
const MaxCapDepthMM = 300

// ErrBadCap is wrapped by the errors of Cap.
var ErrBadCap = errors.New("volume: bad distal cap")

// Cap returns the volume in millilitres of the distal end below the last level,
// taken as a solid of revolution on a base of girth baseGirthMM with the depth
// depthMM, both in millimetres (geometry):
//
//	semi-ellipsoid  C² d /  6π
//	paraboloid      C² d /  8π
//	cone            C² d / 12π
//
// quantity.NoCap has the volume 0 and looks at neither figure. The end is the
// least repeatable part of a limb: the choice between cone and semi-ellipsoid
// alone moves a transtibial limb by about 4 %, so a cap is reported on its own
// line, and visits with different caps are not compared.
//
// The error wraps ErrBadCap: a kind that does not exist, a base girth outside
// girth.MinGirthMM–girth.MaxGirthMM, a depth that is not above 0 and at most
// MaxCapDepthMM.
func Cap(kind quantity.CapKind, baseGirthMM, depthMM float64) (float64, error) {
	if kind == quantity.NoCap {
		return 0, nil
	}
	divisor, ok := map[quantity.CapKind]float64{
		quantity.SemiEllipsoid: 6,
		quantity.Paraboloid:    8,
		quantity.ConeCap:       12,
	}[kind]
	switch {
	case !ok:
		return 0, fmt.Errorf("%w: kind %q is none of %q", ErrBadCap, kind, slices.Clone(quantity.CapKinds))
	case !(baseGirthMM >= girth.MinGirthMM && baseGirthMM <= girth.MaxGirthMM):
		return 0, fmt.Errorf("%w: base girth %g mm is outside %d–%d mm", ErrBadCap, baseGirthMM, girth.MinGirthMM, girth.MaxGirthMM)
	case !(depthMM > 0 && depthMM <= MaxCapDepthMM):
		return 0, fmt.Errorf("%w: depth %g mm is not above 0 and up to %d mm", ErrBadCap, depthMM, MaxCapDepthMM)
	}
	return baseGirthMM * baseGirthMM * depthMM / (divisor * math.Pi) / mm3PerML, nil
}
