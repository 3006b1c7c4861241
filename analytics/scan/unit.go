package scan

import (
	"fmt"
	"math"
)

// Unit is the length that a file's coordinates count.
type Unit string

// The units in which scans are written. Auto leaves the choice to the size.
const (
	Auto       Unit = "auto"
	Millimetre Unit = "mm"
	Centimetre Unit = "cm"
	Metre      Unit = "m"
	Inch       Unit = "in"
)

// Units are the units that a person can state.
var Units = []Unit{Millimetre, Centimetre, Metre, Inch}

// MM returns how many millimetres the unit is. It panics on Auto and on what is
// no unit.
func (u Unit) MM() float64 {
	switch u {
	case Millimetre:
		return 1
	case Centimetre:
		return 10
	case Metre:
		return 1000
	case Inch:
		return 25.4
	}
	panic(fmt.Sprintf("scan: unknown unit %q", string(u)))
}

// usualMM is the longest side of the box round a usual scan of a limb: mean
// lengths of residual limbs are 160 mm transtibial and 280 mm transfemoral
// (Prosthet Orthot Int 1991;15:178–184), with some of the joint above.
const usualMM = 250

// doubtRatio is how much nearer to the usual size one unit must bring a scan
// than the next for the choice to be clear.
const doubtRatio = 1.35

// Guess tells the unit of a scan from the longest side of the box round it, in
// the file's unit: the one that brings it nearest to the size of a usual limb.
// clear is false when another unit would do nearly as well, as between inches
// and centimetres for a short limb in cm or a long one in inches.
func Guess(longest float64) (unit Unit, clear bool) {
	best, second := math.Inf(1), math.Inf(1)
	for _, u := range Units {
		off := math.Abs(math.Log(longest * u.MM() / usualMM))
		if off < best {
			unit, best, second = u, off, best
		} else if off < second {
			second = off
		}
	}
	return unit, second-best >= math.Log(doubtRatio)
}
