package models

import (
	"context"
)

// StudyUses returns every use of any study, the newest first.
func (s *Store) StudyUses(ctx context.Context) ([]StudyUse, error) {
	var uses []StudyUse
	err := s.db.WithContext(ctx).Order("number DESC").Find(&uses).Error
	return uses, fold("uses of studies", err)
}

// TakeStudyIntoUse records that a study, read at version, is in use from now on.
// It fills in ID, Number and TakenAt. before is the number of the use that was
// the last when its figures were worked out, withdrawn or not: ErrStale when
// there is another by now, or when the study was changed. ErrConflict: it is in
// use already.
func (s *Store) TakeStudyIntoUse(ctx context.Context, use *StudyUse, version, before int) error {
	use.ID, use.TakenAt = newIfEmpty(use.ID), s.clock()
	return fold("take study into use", s.InTx(ctx, func(tx *Store) error {
		if err := tx.lockStudy(ctx, use.StudyID, "version"); err != nil {
			return err
		}
		study, err := tx.StudyByID(ctx, use.StudyID)
		switch {
		case err != nil:
			return err
		case study.InUse() != nil:
			return ErrConflict
		case study.Version != version:
			return ErrStale
		}
		last, err := tx.lastUse(ctx)
		if err != nil {
			return err
		}
		if last != before {
			return ErrStale
		}
		use.Number = last + 1
		return tx.db.Create(use).Error
	}))
}

// lastUse is the number of the last use, 0 for none.
func (s *Store) lastUse(ctx context.Context) (int, error) {
	var last []StudyUse
	if err := s.db.WithContext(ctx).Order("number DESC").Limit(1).Find(&last).Error; err != nil || len(last) == 0 {
		return 0, err
	}
	return last[0].Number, nil
}

// WithdrawStudy ends the use of a study for a reason, as of now. What it stood on
// before is in force again. ErrConflict: it is withdrawn already, or a newer one
// in use rests on it and has to be withdrawn first.
func (s *Store) WithdrawStudy(ctx context.Context, useID, by, reason string) error {
	const operation = "withdraw study"
	return fold(operation, s.InTx(ctx, func(tx *Store) error {
		now := tx.clock()
		result := tx.db.Model(&StudyUse{}).Where("id = ? AND withdrawn_at IS NULL", useID).
			Where("NOT EXISTS (SELECT 1 FROM study_uses AS newer WHERE newer.number > study_uses.number AND newer.withdrawn_at IS NULL)").
			Updates(map[string]any{"withdrawn_at": now, "withdrawn_by": by, "withdrawn_reason": reason})
		if result.Error != nil || result.RowsAffected == 1 {
			return result.Error
		}
		var n int64
		if err := tx.db.Model(&StudyUse{}).Where("id = ?", useID).Count(&n).Error; err != nil {
			return err
		}
		if n == 0 {
			return ErrNotFound
		}
		return ErrConflict
	}))
}
