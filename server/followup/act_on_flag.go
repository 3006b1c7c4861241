package followup

import (
	"context"
	"fmt"

	"fairlead/analytics/quantity"
	"fairlead/models"
)

// Work is what somebody did about a flag of a cover.
type Work struct {
	StepID    string // of the step that it becomes, so that the same form sent twice makes one
	Action    models.CoverAction
	GapBefore *quantity.Length // nil: not read
	GapAfter  *quantity.Length
	Note      string // why, where nothing was done
	By        models.Person
	On        quantity.Date // the day of the event that follows from it
	// Close closes the flag with it, for Reason, where the flag still stands at
	// the version that it was read at.
	Close  bool
	Reason string
}

// ActOnFlag records what somebody did about an open flag of a cover: the step, the
// event of the limb that follows from it, and, where asked, the closing; all of it
// or nothing. Whether the person may is the caller's to see to.
//
// Errors: models.ErrConflict when the same step was recorded before;
// models.ErrStale when the flag was closed meanwhile or, where it is to be closed,
// got new evidence; models.ErrInvalid for nothing done without a reason.
func ActOnFlag(ctx context.Context, store *models.Store, flag models.Flag, w Work) error {
	err := store.InTx(ctx, func(tx *models.Store) error {
		step := models.FlagStep{
			ID: w.StepID, FlagID: flag.ID, Kind: models.StepActed, MadeBy: w.By.ID,
			CoverAction: w.Action, GapBefore: w.GapBefore, GapAfter: w.GapAfter, Note: w.Note,
		}
		if err := tx.AddFlagStep(ctx, &step, flag.Version); err != nil {
			return err
		}
		if kind, ok := eventOf(w.Action); ok {
			event := models.Event{LimbID: flag.LimbID, Kind: kind, On: w.On, What: w.Note, DoneBy: w.By.Name, RecordedBy: w.By.Name}
			if err := tx.AddEvent(ctx, &event); err != nil {
				return err
			}
		}
		if !w.Close {
			return nil
		}
		return tx.CloseFlag(ctx, flag.ID, flag.Version, models.Closing{By: w.By.ID, Reason: w.Reason})
	})
	if err != nil {
		return fmt.Errorf("act on flag: %w", err)
	}
	return nil
}

// eventOf is the event that an action makes of itself: after it, gaps are compared
// from anew, or a change has one more thing to be looked at first.
func eventOf(a models.CoverAction) (models.EventKind, bool) {
	switch a {
	case models.Trimmed:
		return models.CoverTrimmed, true
	case models.HeatFormed, models.SpacerPutIn, models.MadeAgain:
		return models.CoverRefitted, true
	case models.AttachmentTightened, models.AttachmentReplaced:
		return models.Repair, true
	}
	return "", false
}
