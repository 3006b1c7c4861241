package followup

import (
	"context"
	"encoding/json"
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
	Findings map[string][]assess.Finding // by limb id, most urgent first
	Again    bool                        // the same draft had been saved before; nothing was added
}

// RecordCheckin keeps a check-in whole or not at all: the visit with all its
// readings, the draft it came from marked as saved, what was seen of the cover's
// attachment points, and a flag for every finding. A draft that was saved
// before gives the check-in it made then.
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

// raiseFlags assesses every limb that the check-in saw, with what was known up
// to it. A check-in that is not the newest of its limb, entered late or
// corrected, changes the history but is no news about the fit; what it says
// about skin and safety is raised all the same.
func raiseFlags(ctx context.Context, tx *models.Store, now time.Time, c models.Checkin) (map[string][]assess.Finding, error) {
	record, err := Load(ctx, tx, c.ClientID)
	if err != nil {
		return nil, err
	}
	findings := map[string][]assess.Finding{}
	for _, l := range record.Limbs {
		known := l.upTo(c.ID)
		if len(known.Visits) == 0 {
			continue
		}
		newest := len(known.Visits) == len(l.Visits)
		if newest {
			if err := tx.SeeAttachments(ctx, known.Visits[len(known.Visits)-1].Seen.Attachments); err != nil {
				return nil, err
			}
		}
		found, err := known.assess(newest)
		if err != nil {
			return nil, err
		}
		findings[l.Limb.ID] = found
		for _, f := range found {
			if err := raiseFlag(ctx, tx, now, c, l.Limb.ID, f); err != nil {
				return nil, err
			}
		}
	}
	return findings, nil
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
	_, referenceID := l.Choose(SinceDelivery)
	h, err := l.History(referenceID)
	if err != nil {
		return nil, err
	}
	if !all {
		return assess.Safety(h), nil
	}
	return assess.Assess(h), nil
}

func raiseFlag(ctx context.Context, tx *models.Store, now time.Time, c models.Checkin, limbID string, f assess.Finding) error {
	finding, err := json.Marshal(f)
	if err != nil {
		return fmt.Errorf("finding %s: %w", f.Rule, err)
	}
	flag := models.Flag{
		ID: models.NewID(), ClientID: c.ClientID, LimbID: limbID, Rule: string(f.Rule), Place: f.Place,
		About: string(f.About), Level: string(f.Level), OpenedAt: now,
	}
	evidence := models.FlagEvidence{
		ID: models.NewID(), CheckinID: c.ID, RuleVersion: f.RuleVersion, Level: string(f.Level), Finding: finding, AddedAt: now,
	}
	_, err = tx.RaiseFlag(ctx, flag, evidence)
	return err
}
