package followup

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"fairlead/analytics/assess"
	"fairlead/models"
)

// Recorded is what a saved check-in led to.
type Recorded struct {
	Checkin  models.Checkin
	Findings map[string][]assess.Finding // what was raised, by limb id
	Again    bool                        // the same draft had been saved before; nothing was added
}

// RecordCheckin keeps a check-in whole or not at all: the visit with all its
// readings, the draft it came from marked as saved, what was seen of the cover's
// attachment points, the day of a delivery with its cover, and a flag for every
// finding. A draft that was saved before gives the check-in it made then.
//
// Errors: models.ErrConflict when another correction of the same check-in came
// first; models.ErrInvalid when the store refuses a value.
func RecordCheckin(ctx context.Context, store *models.Store, now time.Time, c models.Checkin) (Recorded, error) {
	var result Recorded
	err := store.InTx(ctx, func(tx *models.Store) error {
		if err := tx.CreateCheckin(ctx, &c); err != nil {
			return err
		}
		if err := tx.SubmitDraft(ctx, c.DraftID, c.ID); err != nil {
			return err
		}
		if err := deliverCovers(ctx, tx, c); err != nil {
			return err
		}
		result.Checkin = c
		var err error
		result.Findings, err = raiseFlags(ctx, tx, now, c)
		return err
	})
	if errors.Is(err, models.ErrConflict) {
		before, findErr := store.CheckinByDraft(ctx, c.DraftID)
		if findErr == nil {
			return Recorded{Checkin: before, Again: true}, nil
		}
		if !errors.Is(findErr, models.ErrNotFound) {
			return Recorded{}, findErr
		}
	}
	if err != nil {
		return Recorded{}, fmt.Errorf("record check-in: %w", err)
	}
	return result, nil
}

// deliverCovers keeps the day of a delivery with the covers that it names and
// that have none.
func deliverCovers(ctx context.Context, tx *models.Store, c models.Checkin) error {
	if c.Kind != models.Delivery {
		return nil
	}
	for _, seen := range c.Limbs {
		if seen.CoverID == nil {
			continue
		}
		if err := tx.DeliverCover(ctx, *seen.CoverID, Day(c)); err != nil {
			return err
		}
	}
	return nil
}

// upTo is the record as it was known at a check-in: without later visits. It
// has no visits when the check-in did not see this limb.
func (l LimbRecord) upTo(checkinID string) LimbRecord {
	i := slices.IndexFunc(l.Visits, func(v LimbVisit) bool { return v.Checkin.ID == checkinID })
	l.Visits = l.Visits[:i+1]
	return l
}

// Assess returns the findings of the newest visit against the default
// reference, most urgent first.
func (l LimbRecord) Assess() ([]assess.Finding, error) { return l.assess(true) }

// assess returns all findings, or those about skin and safety alone.
func (l LimbRecord) assess(all bool) ([]assess.Finding, error) {
	h, err := l.defaultHistory()
	if err != nil {
		return nil, err
	}
	if !all {
		return assess.Safety(h), nil
	}
	return assess.Assess(h), nil
}

// defaultHistory is the limb's history, compared with the default reference.
func (l LimbRecord) defaultHistory() (assess.History, error) {
	_, referenceID := l.Choose(SinceDelivery)
	return l.History(referenceID)
}
