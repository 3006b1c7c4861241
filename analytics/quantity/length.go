package quantity

import (
	"fmt"
	"math"
)

// Length is a recorded length in tenths of a millimetre, the resolution in
// which the store keeps every length, girth and gap. Conversions to other
// units are exact to a double's rounding; FromMM rounds half away from zero.
type Length int64

// FromMM rounds a length in millimetres to the recorded resolution of 0.1 mm.
func FromMM(mm float64) Length { return Length(math.Round(mm * 10)) }

// MM returns the length in millimetres.
func (l Length) MM() float64 { return float64(l) / 10 }

// In returns the length expressed in unit u.
func (l Length) In(u LengthUnit) float64 { return l.MM() / u.MM() }

// LengthUnit is a unit in which a person reads and types lengths.
type LengthUnit string

// The units of length that a person can choose.
const (
	Millimetre LengthUnit = "mm"
	Centimetre LengthUnit = "cm"
	Inch       LengthUnit = "in"
)

// LengthUnits lists the units in the order in which they are offered.
var LengthUnits = []LengthUnit{Centimetre, Millimetre, Inch}

// MM returns how many millimetres one unit is: exactly 1, 10 or 25.4 (the inch
// of 25.4 mm is exact by the international yard agreement of 1959).
// It panics on a unit that is not one of LengthUnits.
func (u LengthUnit) MM() float64 {
	switch u {
	case Millimetre:
		return 1
	case Centimetre:
		return 10
	case Inch:
		return 25.4
	}
	panic(fmt.Sprintf("quantity: unknown length unit %q", string(u)))
}

// Decimals returns how many decimals show a tape's resolution in the unit.
func (u LengthUnit) Decimals() int {
	switch u {
	case Millimetre:
		return 0
	case Centimetre:
		return 1
	}
	return 2
}
