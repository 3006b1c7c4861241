package followup

import (
	"cmp"
	"slices"

	"fairlead/analytics/assess"
	"fairlead/analytics/quantity"
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
	Rounds   *Rounds          // nil: one round only
	Again    assess.AgainWhy  // why a second round of the newest visit is asked for, empty if it is not
	NoSecond models.NotDone   // why there was none when it was asked for
	Findings []assess.Finding // most urgent first; about skin and safety alone where Late is set
	Newest   bool             // no visit of the limb is newer
	Late     *Late            // nil: it was the newest when it was entered
}

// Late is what a check-in changes that was entered, or corrected, when there was
// a newer one: the newest one decides about flags.
type Late struct {
	NewestOn quantity.Date
	Finds    []assess.Finding // by the newest, which did not find them without this check-in
	Gone     []assess.Finding // by the newest without this check-in, and no longer with it by more than measuring error
}

// With is the record as if a check-in had been saved: in its place among the
// others, and without the version that it corrects. A check-in without a time
// has no place and changes nothing.
func (r ClientRecord) With(c models.Checkin) ClientRecord {
	if c.MeasuredAt.IsZero() {
		return r
	}
	r.Superseded = slices.Clone(r.Superseded)
	var kept []models.Checkin
	for _, known := range r.Checkins {
		switch {
		case known.ID == c.ID:
		case c.ReplacesID != nil && known.ID == *c.ReplacesID:
			r.Superseded = append(r.Superseded, known)
		default:
			kept = append(kept, known)
		}
	}
	kept = append(kept, c)
	slices.SortStableFunc(kept, func(a, b models.Checkin) int {
		return cmp.Or(a.MeasuredAt.Compare(b.MeasuredAt), cmp.Compare(a.ID, b.ID))
	})
	return r.holding(kept)
}

// Before is the record as it was before one of its check-ins was saved: without
// it, and with the version that it corrects, nil for none.
func (r ClientRecord) Before(checkinID string, corrected *models.Checkin) ClientRecord {
	r = r.holding(slices.DeleteFunc(slices.Clone(r.Checkins), func(c models.Checkin) bool { return c.ID == checkinID }))
	if corrected == nil {
		return r
	}
	return r.With(*corrected)
}

// holding is the record with other check-ins, oldest first.
func (r ClientRecord) holding(checkins []models.Checkin) ClientRecord {
	r.Checkins, r.Limbs = checkins, slices.Clone(r.Limbs)
	for i := range r.Limbs {
		r.Limbs[i].Visits = visitsOf(r.Limbs[i].Limb.ID, checkins)
	}
	return r
}

// ResultsOf works out what a check-in says about each limb that it saw. The
// check-in must be among those of the record; before is the record without it.
//
// The error is of readings that can't be pooled, such as a pass that is there
// twice.
func (r ClientRecord) ResultsOf(checkinID string, before ClientRecord) ([]Result, error) {
	var results []Result
	for _, l := range r.Limbs {
		known := l.upTo(checkinID)
		n := len(known.Visits)
		if n == 0 {
			continue
		}
		result, err := known.result()
		if err != nil {
			return nil, err
		}
		result.NoSecond = known.Visits[n-1].Seen.SecondNotDone
		if result.Newest = n == len(l.Visits); !result.Newest {
			result.Again = ""
		}
		if r.late(l, known.Visits[n-1].Checkin) {
			if err := result.enteredLate(known, l, before); err != nil {
				return nil, err
			}
		}
		results = append(results, result)
	}
	return results, nil
}

// enteredLate makes the result that of a check-in after which the newest visit
// of the limb is assessed again. Known is the limb as it was up to it.
func (r *Result) enteredLate(known, l LimbRecord, before ClientRecord) error {
	var err error
	if r.Findings, err = known.assess(false); err != nil {
		return err
	}
	r.Late = &Late{NewestOn: Day(l.Visits[len(l.Visits)-1].Checkin)}
	now, err := l.Assess()
	if err != nil {
		return err
	}
	was, _ := before.Limb(l.Limb.ID)
	then, err := was.Assess()
	if err != nil {
		return err
	}
	for _, f := range now {
		if !slices.ContainsFunc(then, func(known assess.Finding) bool { return sameFigures(known, f) }) {
			r.Late.Finds = append(r.Late.Finds, f)
		}
	}
	h, err := l.defaultHistory()
	if err != nil {
		return err
	}
	for _, f := range then {
		o, judged := h.Outlying(f)
		found := slices.ContainsFunc(now, func(found assess.Finding) bool { return found.Rule == f.Rule && found.Place == f.Place })
		if !found && (!judged || o.Gone()) {
			r.Late.Gone = append(r.Late.Gone, f)
		}
	}
	return nil
}

// sameFigures tells whether two findings differ in nothing but the versions of
// the check-ins that they rest on.
func sameFigures(a, b assess.Finding) bool {
	a.VisitID, a.AgainstVisitID = b.VisitID, b.AgainstVisitID
	return equal(a, b)
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
		result.Rounds = roundsOf(newest, h.Sigmas)
	}
	result.Again, _ = h.MeasureAgain()
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
