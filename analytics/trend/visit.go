package trend

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"fairlead/analytics/quantity"
)

// Visit is one volume of a series. UML holds only what a visit does not share
// with the others of its source (reading, placing, landmark, tension); the
// lasting bias of a fitter is the offset of the source.
type Visit struct {
	Date          quantity.Date
	VolumeML, UML float64
	Source        string // see SourceOf
}

// SourceOf names the source of a volume: a method in the hands of a fitter with
// a device. An unknown fitter is a source of its own, as is each other.
func SourceOf(method, fitter, device string) string {
	if method == "" && fitter == "" && device == "" {
		return ""
	}
	return method + "\x1f" + fitter + "\x1f" + device
}

// Reading is one value on the clock of a filter.
type Reading struct {
	Day    float64 // since any zero, the same for all readings of a series
	Value  float64 // mL; mm when the settings are linear
	U      float64 // its standard uncertainty, in the same unit
	Source string
}

// The values that a reading may have.
const (
	MinVolumeML = 1.0
	MaxVolumeML = 100_000.0
	maxGapMM    = 1_000.0
)

// ReadingError says which reading, counted from 0 in the order it was given,
// can't be used, why, and what to do.
type ReadingError struct {
	Index    int
	What, Do string
}

func (e *ReadingError) Error() string {
	return fmt.Sprintf("trend: reading %d: %s; %s", e.Index+1, e.What, e.Do)
}

// Fault says what is wrong with a volume and its uncertainty in millilitres and
// what to do about it; nothing when they can be used.
func Fault(volumeML, uML float64) (what, do string) {
	return fault(volumeML, uML, false)
}

func fault(value, u float64, linear bool) (what, do string) {
	unit := "mL"
	if linear {
		unit = "mm"
	}
	switch {
	case math.IsNaN(value) || math.IsInf(value, 0):
		return "the value is not a number", "give a number in " + unit
	case linear && math.Abs(value) > maxGapMM:
		return fmt.Sprintf("the gap of %g mm is outside ±%g mm", value, maxGapMM), "check the typing and the unit"
	case !linear && !(value >= MinVolumeML && value <= MaxVolumeML):
		return fmt.Sprintf("the volume of %g mL is outside %g–%g mL", value, MinVolumeML, MaxVolumeML), "check the typing and the unit"
	case !(u > 0) || math.IsInf(u, 0):
		return fmt.Sprintf("the uncertainty of %g %s is not above zero", u, unit), "give the standard uncertainty of each value"
	case !linear && u > value, linear && u > maxGapMM:
		return fmt.Sprintf("the uncertainty of %g %s is larger than what it belongs to", u, unit), "check the typing and the unit"
	}
	return "", ""
}

// fault says what is wrong with the reading after the one of day last.
func (r Reading) fault(last float64, first, linear bool) (what, do string) {
	switch {
	case math.IsNaN(r.Day) || math.Abs(r.Day) > maxDays:
		return "the day is not a number", "give the days since a date"
	case !first && r.Day < last:
		return "it is earlier than the one before", "give the readings in the order of their days"
	}
	return fault(r.Value, r.U, linear)
}

// maxDays is about the ten thousand years that a date can tell.
const maxDays = 4e6

// inOrder returns the visits as readings by date, those of one day in the order
// in which they were given, with the index that each had. Day 0 is the first.
func inOrder(visits []Visit) ([]Reading, []int, error) {
	order := make([]int, len(visits))
	for i, v := range visits {
		if _, known := v.Date.Time(); !known {
			return nil, nil, &ReadingError{Index: i, What: fmt.Sprintf("the date is %q", string(v.Date)), Do: "give a date such as 2026-03-02"}
		}
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(visits[a].Date, visits[b].Date) })
	readings := make([]Reading, len(visits))
	for k, i := range order {
		v := visits[i]
		day, _ := v.Date.DaysSince(visits[order[0]].Date)
		readings[k] = Reading{Day: float64(day), Value: v.VolumeML, U: v.UML, Source: v.Source}
	}
	return readings, order, nil
}
