package followup

import (
	"context"
	"fmt"
	"slices"

	"fairlead/models"
)

// ReviewBasis is what lies before a prosthetist who reviews one limb.
type ReviewBasis struct {
	Record  ClientRecord
	Limb    LimbRecord
	Flags   []models.Flag   // of the limb: the open ones first by urgency, then the closed ones
	Reports []models.Report // about the limb, or about none by name; newest first
	Reviews []models.Review // newest first
	Letters []models.Answer // of prosthetists who do not sign in, with decisions; the newest recorded first
}

// LoadReview reads what there is to review about a limb. A limb that is not the
// client's gives models.ErrNotFound.
func LoadReview(ctx context.Context, store *models.Store, clientID, limbID string) (ReviewBasis, error) {
	var b ReviewBasis
	var err error
	if b.Record, err = Load(ctx, store, clientID); err != nil {
		return b, err
	}
	var ok bool
	if b.Limb, ok = b.Record.Limb(limbID); !ok {
		return b, fmt.Errorf("load review: limb: %w", models.ErrNotFound)
	}
	flags, err := store.FlagsOf(ctx, clientID)
	if err != nil {
		return b, fmt.Errorf("load review: %w", err)
	}
	b.Flags = slices.DeleteFunc(flags, func(f models.Flag) bool { return f.LimbID != limbID })
	b.Reports = b.Limb.Reports
	if b.Reviews, err = store.ReviewsOf(ctx, limbID); err != nil {
		return b, fmt.Errorf("load review: %w", err)
	}
	answers, err := store.AnswersOf(ctx, clientID)
	if err != nil {
		return b, fmt.Errorf("load review: %w", err)
	}
	b.Letters = slices.DeleteFunc(answers, func(a models.Answer) bool { return a.LimbID != limbID || len(a.Decisions) == 0 })
	return b, nil
}

// Last returns the newest signed review, or nil.
func (b ReviewBasis) Last() *models.Review {
	if len(b.Reviews) == 0 {
		return nil
	}
	return &b.Reviews[0]
}

// Open returns the open flags, the most urgent first.
func (b ReviewBasis) Open() []models.Flag {
	return slices.DeleteFunc(slices.Clone(b.Flags), func(f models.Flag) bool { return f.ClosedAt != nil })
}

// saw lists what there is, before anything is decided about it.
func (b ReviewBasis) saw() models.Saw {
	saw := models.Saw{Checkins: []models.SawCheckin{}, Flags: []models.SawFlag{}, Reports: []string{}}
	for _, v := range b.Limb.Visits {
		saw.Checkins = append(saw.Checkins, models.SawCheckin{ID: v.Checkin.ID, Number: v.Checkin.Number, Readings: len(v.Seen.Readings)})
	}
	for _, f := range b.Open() {
		saw.Flags = append(saw.Flags, models.SawFlag{ID: f.ID, Version: f.Version, Level: f.Level})
	}
	for _, r := range b.Reports {
		saw.Reports = append(saw.Reports, r.ID)
	}
	if set := b.Limb.LimitsInForce(); set != nil {
		saw.LimitsID = set.ID
	}
	return saw
}

// SinceReview is what came since the last signature.
type SinceReview struct {
	Checkins []models.Checkin // new or corrected, newest first
	Events   []models.Event   // newest first
	Reports  []models.Report  // newest first
	Opened   []models.Flag    // open or closed by now
	Closed   []models.Flag    // not by that signature
	Limits   []models.LimbLimits
	Letters  []models.Answer // with decisions, by when they were recorded
}

// Since tells what came since the last signature; all there is where the limb was
// never reviewed.
func (b ReviewBasis) Since() SinceReview {
	last := models.Review{}
	if signed := b.Last(); signed != nil {
		last = *signed
	}
	var since SinceReview
	for _, v := range slices.Backward(b.Limb.Visits) {
		if !slices.ContainsFunc(last.Saw.Checkins, func(s models.SawCheckin) bool { return s.ID == v.Checkin.ID }) {
			since.Checkins = append(since.Checkins, v.Checkin)
		}
	}
	for _, e := range slices.Backward(b.Limb.Events) {
		if !e.CreatedAt.Before(last.SignedAt) {
			since.Events = append(since.Events, e)
		}
	}
	for _, r := range b.Reports {
		if !slices.Contains(last.Saw.Reports, r.ID) {
			since.Reports = append(since.Reports, r)
		}
	}
	for _, f := range b.Flags {
		seen := slices.ContainsFunc(last.Saw.Flags, func(s models.SawFlag) bool { return s.ID == f.ID })
		if !seen && !f.OpenedAt.Before(last.SignedAt) {
			since.Opened = append(since.Opened, f)
		}
		bySignature := f.ClosedReviewID != nil && *f.ClosedReviewID == last.ID
		if f.ClosedAt != nil && !bySignature && !f.ClosedAt.Before(last.SignedAt) {
			since.Closed = append(since.Closed, f)
		}
	}
	for _, a := range b.Letters {
		if !a.RecordedAt.Before(last.SignedAt) {
			since.Letters = append(since.Letters, a)
		}
	}
	for _, l := range b.Limb.Limits {
		if (l.ReviewID == nil || *l.ReviewID != last.ID) && !l.CreatedAt.Before(last.SignedAt) {
			since.Limits = append(since.Limits, l)
		}
	}
	return since
}

// LimitsOf returns the limits that a review set or confirmed, and those that were
// in force before; nil where there are none.
func (l LimbRecord) LimitsOf(reviewID string) (set, before *models.LimbLimits) {
	for i := range l.Limits {
		if l.Limits[i].ReviewID != nil && *l.Limits[i].ReviewID == reviewID {
			return &l.Limits[i], before
		}
		before = &l.Limits[i]
	}
	return nil, nil
}
