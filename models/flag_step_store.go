package models

import (
	"context"
	"errors"
	"fmt"

	"gorm.io/gorm"
)

// SeeFlag records that a person saw what an open flag says, read at version.
// Nothing is added when somebody has seen it already, which is no news then. ErrStale:
// it is closed, or says more by now than the person has seen.
func (s *Store) SeeFlag(ctx context.Context, id string, version int, personID string) (news bool, err error) {
	err = s.InTx(ctx, func(tx *Store) error {
		if news, err = tx.see(ctx, id, version); err != nil || !news {
			return err
		}
		return tx.addStep(ctx, &FlagStep{FlagID: id, Kind: StepSeen, MadeBy: personID})
	})
	return news && err == nil, fold("see flag", err)
}

// AddFlagStep records what somebody did about an open flag. Whoever read it at
// version, where it still is, has seen it as well; 0 stands for nobody. It fills
// in ID and MadeAt. A flag that is closed gives ErrStale.
func (s *Store) AddFlagStep(ctx context.Context, step *FlagStep, version int) error {
	return fold("add flag step", s.InTx(ctx, func(tx *Store) error {
		if _, err := tx.see(ctx, step.FlagID, version); err != nil && !errors.Is(err, errSaysMore) {
			return err
		}
		return tx.addStep(ctx, step)
	}))
}

// errSaysMore: an open flag has got evidence since it was read.
var errSaysMore = fmt.Errorf("the flag says more by now: %w", ErrStale)

// see marks an open flag that is at version as seen and tells whether that is
// news.
func (s *Store) see(ctx context.Context, id string, version int) (news bool, err error) {
	db := s.db.WithContext(ctx)
	result := db.Model(&Flag{}).Where("id = ? AND version = ? AND closed_at IS NULL AND seen_at IS NULL", id, version).
		UpdateColumn("seen_at", s.clock())
	if result.Error != nil || result.RowsAffected == 1 {
		return true, result.Error
	}
	var f Flag
	switch err := db.Where("id = ?", id).Take(&f).Error; {
	case err != nil:
		return false, err
	case f.ClosedAt != nil:
		return false, ErrStale
	case f.SeenAt == nil:
		return false, errSaysMore
	}
	return false, nil
}

func (s *Store) addStep(ctx context.Context, step *FlagStep) error {
	step.ID, step.MadeAt, step.CalledAt = newIfEmpty(step.ID), s.clock(), storedPointer(step.CalledAt)
	return s.db.WithContext(ctx).Create(step).Error
}

// CloseFlag closes a flag, read at version, for a reason that must be given.
// One about limb or skin needs a signed review or a written answer about the same
// limb, or the error is ErrInvalid: this is the last of the places that see to it.
// It returns ErrStale when the flag was changed or closed meanwhile, such as by
// new evidence.
func (s *Store) CloseFlag(ctx context.Context, id string, version int, c Closing) error {
	db := s.db.WithContext(ctx).Model(&Flag{}).Where("id = ? AND version = ? AND closed_at IS NULL", id, version)
	if err := s.mayBeClosed(ctx, id, c); err != nil {
		return fold("close flag", err)
	}
	now := s.clock()
	result := db.UpdateColumns(map[string]any{
		"closed_at": now, "closed_by": c.By, "close_reason": c.Reason, "closed_review_id": c.ReviewID, "closed_answer_id": c.AnswerID,
		"seen_at": gorm.Expr("COALESCE(seen_at, ?)", now), "handover_id": nil, "ask_again_on": "", "version": version + 1,
	})
	err := result.Error
	if err == nil && result.RowsAffected == 0 {
		err = s.missingOrStale(ctx, &Flag{}, id)
	}
	return fold("close flag", err)
}

// mayBeClosed fails for a flag that only a prosthetist's word closes, unless the
// closing rests on such a word about its limb: a review, or an answer with its
// document.
func (s *Store) mayBeClosed(ctx context.Context, id string, c Closing) error {
	var f Flag
	db := s.db.WithContext(ctx)
	if err := db.Select("id", "about", "limb_id").Where("id = ?", id).Take(&f).Error; err != nil {
		return err
	}
	if f.About != "limb" && f.About != "skin" {
		return nil
	}
	var words int64
	var err error
	switch {
	case c.ReviewID != nil:
		err = db.Model(&Review{}).Where("id = ? AND limb_id = ?", *c.ReviewID, f.LimbID).Count(&words).Error
	case c.AnswerID != nil:
		err = db.Model(&Answer{}).Where("id = ? AND limb_id = ? AND document_sha256 IS NOT NULL AND means = ?", *c.AnswerID, f.LimbID, ByLetter).Count(&words).Error
	}
	if err == nil && words == 0 {
		err = fmt.Errorf("a flag about %s closes by a signed review or a written answer: %w", f.About, ErrInvalid)
	}
	return err
}

// WithSteps fills in what was done about flags.
func (s *Store) WithSteps(ctx context.Context, flags []Flag) error {
	return fold("steps of flags", s.loadSteps(ctx, flags))
}

// loadSteps fills in the steps of the flags, the oldest first.
func (s *Store) loadSteps(ctx context.Context, flags []Flag) error {
	place := make(map[string]*Flag, len(flags))
	ids := make([]string, len(flags))
	for i := range flags {
		place[flags[i].ID], ids[i] = &flags[i], flags[i].ID
	}
	steps, err := loadIn[FlagStep](ctx, s, "flag_id", ids, "made_at, id")
	for _, step := range steps {
		place[step.FlagID].Steps = append(place[step.FlagID].Steps, step)
	}
	return err
}
