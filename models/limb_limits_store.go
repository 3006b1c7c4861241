package models

import "context"

// SetLimbLimits records the next limits of a limb. It fills in ID, Number and
// CreatedAt. ErrInvalid: a limit out of range, the larger below the smaller one,
// or not exactly one of review and answer to rest on.
func (s *Store) SetLimbLimits(ctx context.Context, l *LimbLimits) error {
	l.ID, l.CreatedAt = newIfEmpty(l.ID), s.clock()
	return fold("set limits", s.InTx(ctx, func(tx *Store) error {
		var before int64
		if err := tx.db.Model(&LimbLimits{}).Where("limb_id = ?", l.LimbID).Count(&before).Error; err != nil {
			return err
		}
		l.Number = int(before) + 1 // limits are never removed
		return tx.db.Create(l).Error
	}))
}

// LimitsOfMany returns all limits of several limbs, by limb, the first ones
// first. The last are in force.
func (s *Store) LimitsOfMany(ctx context.Context, limbIDs []string) (map[string][]LimbLimits, error) {
	found, err := loadIn[LimbLimits](ctx, s, "limb_id", limbIDs, "number")
	return byKey(found, func(l LimbLimits) string { return l.LimbID }), fold("limits of limbs", err)
}
