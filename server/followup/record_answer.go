package followup

import (
	"context"
	"fmt"
	"time"

	"fairlead/models"
)

// Answered is an answer to a handover as somebody records it.
type Answered struct {
	models.Answering
	// Limits are the figures, the room and the reason of limits per letter; nil:
	// left as they are. They need the document.
	Limits *models.LimbLimits
	// LimitsNumber is the number of the limits that were in force when the answer was
	// read; 0: none.
	LimitsNumber int
	Zone         *time.Location // of the workshop, in which evidence has its day
	// MayClose decides whether a written answer closes a flag.
	MayClose func(models.Flag) bool
}

// RecordAnswer records what was answered to a handover, whole or not at all: the
// answer with its document and what that decides, the flags that it closes and the
// limits that it sets, all in the name of the person who answered. Without a document
// it decides, closes and sets nothing.
//
// Errors: models.ErrInvalid for decisions, closings or limits without a document, for
// decisions that contradict one another, for a
// flag that a written answer does not close, for one with evidence that is newer
// than the answer, and for limits over newer ones; models.ErrStale when the handover,
// a flag or the limits to be replaced were changed meanwhile; models.ErrConflict when the same answer was
// recorded before.
func RecordAnswer(ctx context.Context, store *models.Store, a Answered) error {
	if a.Limits != nil && (a.Document == nil || a.Answer.Means != models.ByLetter) {
		return fmt.Errorf("record answer: limits without a letter and its document: %w", models.ErrInvalid)
	}
	if Contradictory(a.Answer.Decisions) {
		return fmt.Errorf("record answer: decisions %v: %w", a.Answer.Decisions, models.ErrInvalid)
	}
	err := store.InTx(ctx, func(tx *models.Store) error {
		h, err := tx.HandoverByID(ctx, a.Answer.HandoverID)
		if err != nil {
			return err
		}
		for _, c := range a.Closings {
			f, err := tx.FlagByID(ctx, c.FlagID)
			if err != nil {
				return err
			}
			if f.ClosedAt != nil {
				return fmt.Errorf("closing flag %s, which is closed: %w", f.ID, models.ErrStale)
			}
			if !a.MayClose(f) {
				return fmt.Errorf("closing flag %s: %w", f.ID, models.ErrInvalid)
			}
			if day := NewerThanLetter(f, h.RecordedAt, a.Answer.AnsweredOn, a.Zone); day != "" {
				return fmt.Errorf("closing flag %s by an answer of %s on evidence of %s: %w", f.ID, a.Answer.AnsweredOn, day, models.ErrInvalid)
			}
		}
		if err := tx.RecordAnswer(ctx, a.Answering); err != nil || a.Limits == nil {
			return err
		}
		if err := replaceable(ctx, tx, a); err != nil {
			return err
		}
		set := *a.Limits
		set.LimbID, set.SetBy, set.SetOn, set.ReviewID, set.AnswerID = a.Answer.LimbID, a.Answer.FromWhom, a.Answer.AnsweredOn, nil, &a.Answer.ID
		return tx.SetLimbLimits(ctx, &set)
	})
	if err != nil {
		return fmt.Errorf("record answer: %w", err)
	}
	return nil
}

// replaceable fails where the limits in force are not those that the answer was read
// with, or newer than its letter.
func replaceable(ctx context.Context, tx *models.Store, a Answered) error {
	limits, err := tx.LimitsOfMany(ctx, []string{a.Answer.LimbID})
	if err != nil {
		return err
	}
	inForce := limits[a.Answer.LimbID]
	if len(inForce) != a.LimitsNumber {
		return fmt.Errorf("limits number %d in place of number %d: %w", len(inForce), a.LimitsNumber, models.ErrStale)
	}
	if newer := LimitsNewerThanLetter(inForce, a.Answer); newer != nil {
		return fmt.Errorf("limits of a letter of %s over those of %s: %w", a.Answer.AnsweredOn, newer.SetOn, models.ErrInvalid)
	}
	return nil
}
