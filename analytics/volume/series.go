package volume

import (
	"math"

	"fairlead/analytics/girth"
)

// InSeries is the volume of one visit as it enters a series that begins with a
// reference visit.
type InSeries struct {
	VolumeML float64 // over the whole span of the reference visit
	UML      float64 // standard uncertainty of this visit alone
}

// OnReference puts the volume of a visit on the scale of the reference visit of its
// series: the volume of the reference over its whole span, times the ratio of the
// two over the span that both cover. For two visits of the same levels, as for the
// reference itself, it is the measured volume.
//
// The uncertainty is that of this visit alone, with the bias of one fitter: what
// lasts between fitters is for whoever joins the series to find out, and must not
// be counted twice. The difference of the rises expected by the time since doffing
// (Compare) widens it. ok is false, and why tells what forbids it, where Compare
// would call the two not comparable.
func OnReference(reference, now Visit, s Sigmas) (at InSeries, why Why, ok bool) {
	if code := reference.differs(now); code != "" {
		return InSeries{}, Why{Code: code}, false
	}
	levels, err := girth.UnionLevels(reference.Profile, now.Profile)
	if err != nil {
		return InSeries{}, Why{Code: codeOf(err)}, false
	}
	whole, err := Measure(reference.Profile, s)
	if err != nil {
		return InSeries{}, Why{Code: codeOf(err)}, false
	}
	then, err := MeasureOn(reference.Profile, levels, s)
	if err != nil {
		return InSeries{}, Why{Code: codeOf(err)}, false
	}
	today, err := MeasureOn(now.Profile, levels, s)
	if err != nil {
		return InSeries{}, Why{Code: codeOf(err)}, false
	}
	scale := whole.VolumeML / then.VolumeML
	rise := doffingDifference(reference, now) * then.VolumeML
	return InSeries{VolumeML: scale * today.VolumeML, UML: scale * math.Hypot(today.UML, rise)}, Why{}, true
}
