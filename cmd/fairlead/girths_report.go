package main

import (
	"fmt"
	"slices"

	"fairlead/analytics/quantity"
	"fairlead/analytics/volume"
)

// girthsReport is what the command girths works out.
type girthsReport struct {
	options girthsOptions
	visits  []measuredVisit
	changes []measuredChange
}

// measuredVisit is a visit with its volume.
type measuredVisit struct {
	fileVisit
	volume.Estimate
	capML *float64 // nil without a cap
}

// What a change is against.
const (
	againstBaseline = "baseline"
	againstPrevious = "previous"
)

// measuredChange is the change of one limb between two visits.
type measuredChange struct {
	against  string
	from, to measuredVisit
	volume.Change
}

// newGirthsReport measures every visit and compares each with the first of its
// limb and with the one before it, in the order in which they come.
func newGirthsReport(visits []fileVisit, o girthsOptions) (girthsReport, error) {
	r := girthsReport{options: o}
	for _, v := range visits {
		estimate, err := volume.Measure(v.Profile, o.sigmas)
		if err != nil {
			return r, fmt.Errorf("%s:%d: %w", v.file, v.Line, err)
		}
		m := measuredVisit{fileVisit: v, Estimate: estimate}
		if o.cap() != quantity.NoCap && v.Limb == quantity.Residual { // a sound limb has no distal end
			ml, err := volume.Cap(o.cap(), v.Profile[len(v.Profile)-1].GirthMM, o.capDepthMM)
			if err != nil {
				return r, fmt.Errorf("%s:%d: %w", v.file, v.Line, err)
			}
			m.capML = &ml
		}
		r.visits = append(r.visits, m)
	}
	for _, limb := range []quantity.BodyPart{quantity.Residual, quantity.Sound} {
		r.compareAll(limb)
	}
	return r, nil
}

// compareAll adds the changes of one limb.
func (r *girthsReport) compareAll(limb quantity.BodyPart) {
	var series []measuredVisit
	for _, v := range r.visits {
		if v.Limb == limb {
			series = append(series, v)
		}
	}
	for i := 1; i < len(series); i++ {
		r.changes = append(r.changes,
			r.compare(againstBaseline, series[0], series[i]),
			r.compare(againstPrevious, series[i-1], series[i]))
	}
}

func (r *girthsReport) compare(against string, from, to measuredVisit) measuredChange {
	return measuredChange{
		against: against,
		from:    from,
		to:      to,
		Change:  volume.Compare(from.forComparison(r.options), to.forComparison(r.options), r.options.sigmas),
	}
}

// forComparison is the visit as the analytics take it. The time since doffing
// says nothing about a sound limb.
func (v measuredVisit) forComparison(o girthsOptions) volume.Visit {
	visit := volume.Visit{
		Profile: v.Profile,
		Series:  volume.Series{CapKind: quantity.NoCap, Device: "tape"},
		Fitter:  v.Fitter,
	}
	if v.Limb == quantity.Residual {
		visit.Series.CapKind, visit.Series.CapDepthMM = o.cap(), o.capDepthMM
		visit.MinutesOff = v.MinutesOff
	}
	return visit
}

// sameOccasion tells whether two visits, of two limbs, are one occasion.
func sameOccasion(a, b measuredVisit) bool { return a.Date == b.Date && a.order == b.order }

// control returns the change of the residual limb less that of the sound limb
// over the same two occasions, where both were measured.
func (r *girthsReport) control(c measuredChange) (volume.Control, bool) {
	if c.to.Limb != quantity.Residual {
		return volume.Control{}, false
	}
	i := slices.IndexFunc(r.changes, func(s measuredChange) bool {
		return s.to.Limb == quantity.Sound && sameOccasion(s.from, c.from) && sameOccasion(s.to, c.to)
	})
	if i < 0 {
		return volume.Control{}, false
	}
	return volume.CompareToSound(c.Change, r.changes[i].Change)
}
