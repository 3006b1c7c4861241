package followup

import (
	"cmp"
	"slices"

	"fairlead/analytics/assess"
	"fairlead/analytics/volume"
	"fairlead/models"
)

// Result is what one check-in says about one limb, with what was known up to
// it.
type Result struct {
	Limb     models.Limb
	Volume   *volume.Estimate // nil: no volume from this visit
	Since    Reference        // what the change is counted from
	SinceOn  assess.Visit     // that visit
	Change   *volume.Change   // nil: nothing to compare with, or no readings
	Previous *volume.Change   // against the visit before, nil where that is the reference itself
	Control  *volume.Control  // less the change of the sound limb, nil when that was not measured
	Findings []assess.Finding // most urgent first
}

// With is the record as if a check-in had been saved: in its place among the
// others, and without the version that it corrects. A check-in without a time
// has no place and changes nothing.
func (r ClientRecord) With(c models.Checkin) ClientRecord {
	if c.MeasuredAt.IsZero() {
		return r
	}
	r.Checkins = slices.DeleteFunc(slices.Clone(r.Checkins), func(known models.Checkin) bool {
		return known.ID == c.ID || c.ReplacesID != nil && known.ID == *c.ReplacesID
	})
	r.Checkins = append(r.Checkins, c)
	slices.SortStableFunc(r.Checkins, func(a, b models.Checkin) int {
		return cmp.Or(a.MeasuredAt.Compare(b.MeasuredAt), cmp.Compare(a.ID, b.ID))
	})
	r.Limbs = slices.Clone(r.Limbs)
	for i := range r.Limbs {
		r.Limbs[i].Visits = visitsOf(r.Limbs[i].Limb.ID, r.Checkins)
	}
	return r
}

// ResultsOf works out what a check-in says about each limb that it saw. The
// check-in must be among those of the record.
//
// The error is of readings that can't be pooled, such as a pass that is there
// twice.
func (r ClientRecord) ResultsOf(checkinID string) ([]Result, error) {
	var results []Result
	for _, l := range r.Limbs {
		known := l.upTo(checkinID)
		if len(known.Visits) == 0 {
			continue
		}
		result, err := known.result()
		if err != nil {
			return nil, err
		}
		results = append(results, result)
	}
	return results, nil
}

// result is that of the newest visit.
func (l LimbRecord) result() (Result, error) {
	since, referenceID := l.Choose(SinceDelivery)
	h, err := l.History(referenceID)
	if err != nil {
		return Result{}, err
	}
	result := Result{Limb: l.Limb, Since: since, Findings: assess.Assess(h)}
	if newest, ok := h.Newest(); ok && l.Limb.Level.HasCone() {
		if estimate, err := volume.Measure(newest.Residual.Profile, h.Sigmas); err == nil {
			result.Volume = &estimate
		}
	}
	change, reference, ok := h.VolumeChange()
	result.SinceOn = reference
	if !ok {
		return result, nil
	}
	result.Change = &change
	if control, _, ok := h.SoundControl(); ok {
		result.Control = &control
	}
	if before, ok := l.visitFor(SincePrevious); ok && before.Checkin.ID != reference.ID {
		h.ReferenceID = before.Checkin.ID
		if previous, _, ok := h.VolumeChange(); ok {
			result.Previous = &previous
		}
	}
	return result, nil
}
