package models

import (
	"context"
	"fmt"

	"fairlead/analytics/quantity"
)

// CreateCheckin records a check-in with everything in it, whole or not at all,
// and sets the client's next date from the newest check-in. It fills in the
// ids, EnteredAt and Number. With ReplacesID it is a correction and supersedes
// that version.
//
// ErrConflict: the draft has been saved before, or the version to replace has
// been replaced. ErrArchived: the client is archived. ErrInvalid: a value out
// of range, a limb of another client, no time of measurement. ErrInUse: a
// person, station, plan, … that is not there. ErrNotFound: no such client or no
// such version to replace.
func (s *Store) CreateCheckin(ctx context.Context, c *Checkin) error {
	c.prepare(s)
	return fold("create check-in", s.InTx(ctx, func(tx *Store) error {
		if err := tx.mayHold(c); err != nil {
			return err
		}
		if c.ReplacesID != nil {
			if err := tx.supersede(c); err != nil {
				return err
			}
		}
		if err := tx.db.Create(c).Error; err != nil {
			return err
		}
		if err := tx.createCheckinLimbs(c.Limbs); err != nil {
			return err
		}
		return tx.setNextCheckin(c.ClientID)
	}))
}

// prepare gives every record of the check-in its id and the id of its parent,
// and puts times into the form in which they are stored.
func (c *Checkin) prepare(s *Store) {
	c.ID, c.EnteredAt, c.Number, c.SupersededAt = newIfEmpty(c.ID), s.clock(), 1, nil
	if !c.MeasuredAt.IsZero() {
		c.MeasuredAt = stored(c.MeasuredAt)
	}
	for i := range c.Limbs {
		l := &c.Limbs[i]
		l.ID, l.CheckinID = newIfEmpty(l.ID), c.ID
		l.DoffedAt, l.FirstReadingAt = storedPointer(l.DoffedAt), storedPointer(l.FirstReadingAt)
		l.SecondReadingAt = storedPointer(l.SecondReadingAt)
		for j := range l.Readings {
			l.Readings[j].ID, l.Readings[j].CheckinLimbID = newIfEmpty(l.Readings[j].ID), l.ID
		}
		for j := range l.Clearances {
			l.Clearances[j].ID, l.Clearances[j].CheckinLimbID = newIfEmpty(l.Clearances[j].ID), l.ID
		}
		for j := range l.Functions {
			l.Functions[j].ID, l.Functions[j].CheckinLimbID = newIfEmpty(l.Functions[j].ID), l.ID
		}
		for j := range l.Skin {
			l.Skin[j].ID, l.Skin[j].CheckinLimbID = newIfEmpty(l.Skin[j].ID), l.ID
		}
		for j := range l.Attachments {
			l.Attachments[j].ID, l.Attachments[j].CheckinLimbID = newIfEmpty(l.Attachments[j].ID), l.ID
		}
	}
}

// mayHold tells whether the client can have this check-in.
func (s *Store) mayHold(c *Checkin) error {
	if c.MeasuredAt.IsZero() {
		return fmt.Errorf("no time of measurement: %w", ErrInvalid)
	}
	var client Client
	if err := s.db.Where("id = ?", c.ClientID).Take(&client).Error; err != nil {
		return err
	}
	if client.ArchivedAt != nil {
		return ErrArchived
	}
	var limbs []string
	if err := s.db.Model(&Limb{}).Where("client_id = ?", c.ClientID).Pluck("id", &limbs).Error; err != nil {
		return err
	}
	own := make(map[string]bool, len(limbs))
	for _, id := range limbs {
		own[id] = true
	}
	for _, l := range c.Limbs {
		if !own[l.LimbID] {
			return fmt.Errorf("limb %s is not one of client %s: %w", l.LimbID, c.ClientID, ErrInvalid)
		}
	}
	return nil
}

// supersede marks the version that c corrects as replaced and numbers c after
// it.
func (s *Store) supersede(c *Checkin) error {
	var old Checkin
	if err := s.db.Where("id = ? AND client_id = ?", *c.ReplacesID, c.ClientID).Take(&old).Error; err != nil {
		return err
	}
	result := s.db.Model(&Checkin{}).Where("id = ? AND superseded_at IS NULL", old.ID).
		UpdateColumn("superseded_at", c.EnteredAt)
	if result.Error != nil {
		return result.Error
	}
	if result.RowsAffected == 0 {
		return ErrConflict
	}
	c.Number = old.Number + 1
	return nil
}

// createCheckinLimbs inserts the limbs of a check-in and all they hold, one
// statement for each kind.
func (s *Store) createCheckinLimbs(limbs []CheckinLimb) error {
	if err := createAll(s.db, limbs); err != nil {
		return err
	}
	for _, l := range limbs {
		if err := createAll(s.db, l.Readings); err != nil {
			return err
		}
		if err := createAll(s.db, l.Clearances); err != nil {
			return err
		}
		if err := createAll(s.db, l.Functions); err != nil {
			return err
		}
		if err := createAll(s.db, l.Skin); err != nil {
			return err
		}
		if err := createAll(s.db, l.Attachments); err != nil {
			return err
		}
	}
	return nil
}

// setNextCheckin takes the client's next date from the newest check-in: one
// that is entered late, from paper, does not move it.
func (s *Store) setNextCheckin(clientID string) error {
	var next []quantity.Date
	err := s.db.Model(&Checkin{}).Where("client_id = ? AND superseded_at IS NULL", clientID).
		Order("measured_at DESC, id DESC").Limit(1).Pluck("next_on", &next).Error
	if err != nil {
		return err
	}
	return s.db.Model(&Client{}).Where("id = ?", clientID).UpdateColumn("next_checkin_on", next[0]).Error
}
