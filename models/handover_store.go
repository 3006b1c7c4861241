package models

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"fairlead/analytics/quantity"
	"gorm.io/gorm"
)

// CreateHandover records that the flags FlagIDs were handed over: from now on they
// await an answer until AskAgainOn, and count as seen. One that was handed over
// before moves to this handover. It fills in ID, RecordedAt and Version.
//
// ErrInvalid: no flags, or one of another limb. ErrStale: one was closed
// meanwhile, or says more than at its version in FlagVersions. ErrConflict: a handover with this ID is there already.
func (s *Store) CreateHandover(ctx context.Context, h *Handover) error {
	return fold("create handover", s.InTx(ctx, func(tx *Store) error {
		h.ID, h.RecordedAt, h.AnsweredAt, h.Version = newIfEmpty(h.ID), s.clock(), nil, 1
		h.FlagIDs = slices.Compact(slices.Sorted(slices.Values(h.FlagIDs))) // one order for all, against deadlocks
		if err := tx.db.WithContext(ctx).Create(h).Error; err != nil {
			return err
		}
		if len(h.FlagIDs) == 0 {
			return fmt.Errorf("a handover without a flag: %w", ErrInvalid)
		}
		for _, id := range h.FlagIDs {
			if err := tx.handOver(ctx, *h, id); err != nil {
				return err
			}
		}
		return nil
	}))
}

// handOver puts one flag into a handover.
func (s *Store) handOver(ctx context.Context, h Handover, flagID string) error {
	db := s.db.WithContext(ctx)
	var f Flag
	err := fold("flag", db.Where("id = ? AND client_id = ? AND limb_id = ?", flagID, h.ClientID, h.LimbID).Take(&f).Error)
	if errors.Is(err, ErrNotFound) {
		return fmt.Errorf("a flag that is not of the limb: %w", ErrInvalid)
	}
	if err != nil {
		return err
	}
	if read, ok := h.FlagVersions[flagID]; ok && read != f.Version {
		return errSaysMore
	}
	if err := db.Create(&HandoverFlag{HandoverID: h.ID, FlagID: flagID}).Error; err != nil {
		return err
	}
	step := FlagStep{FlagID: flagID, Kind: StepHandedOver, MadeBy: h.RecordedBy, Note: h.Note, AskAgainOn: h.AskAgainOn, HandoverID: &h.ID}
	if err := s.AddFlagStep(ctx, &step, f.Version); err != nil {
		return err
	}
	result := db.Model(&Flag{}).Where("id = ? AND closed_at IS NULL", flagID).
		UpdateColumns(map[string]any{"handover_id": h.ID, "ask_again_on": h.AskAgainOn})
	if result.Error == nil && result.RowsAffected == 0 { // closed at this moment
		return ErrStale
	}
	return result.Error
}

// HandoverByID returns one handover with the flags in it, or ErrNotFound.
func (s *Store) HandoverByID(ctx context.Context, id string) (Handover, error) {
	found := make([]Handover, 1)
	err := s.db.WithContext(ctx).Where("id = ?", id).Take(&found[0]).Error
	if err == nil {
		err = s.loadHandoverFlags(ctx, found)
	}
	return found[0], fold("handover by id", err)
}

// HandoversOf returns the handovers of a client with the flags in them, the
// newest first.
func (s *Store) HandoversOf(ctx context.Context, clientID string) ([]Handover, error) {
	var found []Handover
	err := s.db.WithContext(ctx).Where("client_id = ?", clientID).Order("handed_on DESC, recorded_at DESC, id DESC").Find(&found).Error
	if err == nil {
		err = s.loadHandoverFlags(ctx, found)
	}
	return found, fold("handovers of client", err)
}

// loadHandoverFlags fills in which flags are in handovers.
func (s *Store) loadHandoverFlags(ctx context.Context, handovers []Handover) error {
	place := make(map[string]*Handover, len(handovers))
	ids := make([]string, len(handovers))
	for i := range handovers {
		place[handovers[i].ID], ids[i] = &handovers[i], handovers[i].ID
	}
	found, err := loadIn[HandoverFlag](ctx, s, "handover_id", ids, "handover_id, flag_id")
	for _, f := range found {
		h := place[f.HandoverID]
		h.FlagIDs = append(h.FlagIDs, f.FlagID)
	}
	return err
}

// AskAgain records that somebody asked again for the answer to a handover, read
// at version, and will ask once more on a day. ErrStale: the handover was changed
// meanwhile, or no open flag awaits its answer any more.
func (s *Store) AskAgain(ctx context.Context, id string, version int, on quantity.Date, personID, note string) error {
	if on == "" {
		return fmt.Errorf("ask again on no day: %w", ErrInvalid)
	}
	return fold("ask again", s.InTx(ctx, func(tx *Store) error {
		if err := tx.changeHandover(ctx, id, version, map[string]any{"ask_again_on": on}); err != nil {
			return err
		}
		awaiting, err := tx.openFlags(ctx, "handover_id = ?", id)
		if err == nil && len(awaiting) == 0 {
			err = ErrStale
		}
		for i := 0; err == nil && i < len(awaiting); i++ {
			err = tx.AddFlagStep(ctx, &FlagStep{
				FlagID: awaiting[i].ID, Kind: StepAskedAgain, MadeBy: personID, Note: note, AskAgainOn: on, HandoverID: &id,
			}, 0)
		}
		if err != nil {
			return err
		}
		return tx.db.WithContext(ctx).Model(&Flag{}).Where("handover_id = ? AND closed_at IS NULL", id).
			UpdateColumn("ask_again_on", on).Error
	}))
}

// changeHandover changes a handover that was read at version.
func (s *Store) changeHandover(ctx context.Context, id string, version int, columns map[string]any) error {
	columns["version"] = gorm.Expr("version + 1")
	result := s.db.WithContext(ctx).Model(&Handover{}).Where("id = ? AND version = ?", id, version).UpdateColumns(columns)
	if result.Error == nil && result.RowsAffected == 0 {
		return s.missingOrStale(ctx, &Handover{}, id)
	}
	return result.Error
}

// openFlags returns the open flags that meet a condition, without what belongs
// to them, in the order in which all change them.
func (s *Store) openFlags(ctx context.Context, condition string, values ...any) ([]Flag, error) {
	var open []Flag
	err := s.db.WithContext(ctx).Where("closed_at IS NULL").Where(condition, values...).Order("id").Find(&open).Error
	return open, err
}
