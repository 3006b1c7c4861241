package models

import (
	"context"
	"fmt"

	"fairlead/analytics/quantity"
	"gorm.io/gorm"
)

// CreateCover records a cover with its attachments and stations. It fills in
// the ids, CreatedAt and Version. Two stations at the same level, direction and
// posture give ErrConflict.
func (s *Store) CreateCover(ctx context.Context, c *Cover) error {
	c.ID, c.CreatedAt, c.Version = newIfEmpty(c.ID), s.clock(), 1
	return fold("create cover", s.InTx(ctx, func(tx *Store) error {
		if err := tx.db.Create(c).Error; err != nil {
			return err
		}
		return tx.saveCoverParts(c)
	}))
}

// UpdateCover writes the cover, read at c.Version, and raises the version. Its
// attachments and stations become those of c: with a known id they change,
// without they are added, and those not in c are removed, which gives ErrInUse
// for one that a check-in has read. It returns ErrStale when the cover was
// changed meanwhile.
func (s *Store) UpdateCover(ctx context.Context, c *Cover) error {
	next := *c
	next.Version++
	err := s.InTx(ctx, func(tx *Store) error {
		if err := tx.update(ctx, &next, next.ID, next.Version, "LimbID"); err != nil {
			return err
		}
		return tx.saveCoverParts(&next)
	})
	if err != nil {
		return fold("update cover", err)
	}
	*c = next
	return nil
}

// SeeAttachments keeps, with each attachment point, how it was seen, and raises
// the version of a cover where that is news.
func (s *Store) SeeAttachments(ctx context.Context, seen []AttachmentSeen) error {
	return fold("see attachments", s.InTx(ctx, func(tx *Store) error {
		var changed []string
		for _, a := range seen {
			result := tx.db.Model(&Attachment{}).Where("id = ? AND state <> ?", a.AttachmentID, a.State).
				UpdateColumn("state", a.State)
			if result.Error != nil {
				return result.Error
			}
			if result.RowsAffected == 1 {
				changed = append(changed, a.AttachmentID)
			}
		}
		if len(changed) == 0 {
			return nil
		}
		return tx.db.Model(&Cover{}).Where("id IN (SELECT cover_id FROM attachments WHERE id IN ?)", changed).
			UpdateColumn("version", gorm.Expr("version + 1")).Error
	}))
}

// DeliverCover keeps the day on which a cover was delivered, and raises its
// version, where no such day is recorded yet. What is recorded stays.
func (s *Store) DeliverCover(ctx context.Context, id string, on quantity.Date) error {
	err := s.db.WithContext(ctx).Model(&Cover{}).Where("id = ? AND delivered_on = ''", id).
		UpdateColumns(map[string]any{"delivered_on": on, "version": gorm.Expr("version + 1")}).Error
	return fold("deliver cover", err)
}

// saveCoverParts makes the stored attachments and stations those of c.
func (s *Store) saveCoverParts(c *Cover) error {
	attachments := partList[Attachment]{s.db, c.ID, func(a *Attachment) (id, coverID *string) { return &a.ID, &a.CoverID }}
	if err := attachments.save(c.Attachments); err != nil {
		return err
	}
	stations := partList[Station]{s.db, c.ID, func(p *Station) (id, coverID *string) { return &p.ID, &p.CoverID }}
	return stations.save(c.Stations)
}

// partList is the stored list of one kind of part of a cover.
type partList[T any] struct {
	db      *gorm.DB
	coverID string
	keys    func(*T) (id, coverID *string)
}

// save makes the stored list equal to parts. What goes is removed first, so
// that what comes may take its place.
func (l partList[T]) save(parts []T) error {
	var part T
	var stored []string
	if err := l.db.Model(&part).Where("cover_id = ?", l.coverID).Pluck("id", &stored).Error; err != nil {
		return err
	}
	gone := make(map[string]bool, len(stored))
	for _, id := range stored {
		gone[id] = true
	}
	var added, kept []int
	for i := range parts {
		id, coverID := l.keys(&parts[i])
		*coverID = l.coverID
		if *id != "" && gone[*id] {
			kept = append(kept, i)
			delete(gone, *id)
			continue
		}
		*id = newIfEmpty(*id)
		added = append(added, i)
	}
	for id := range gone {
		if err := l.db.Where("id = ?", id).Delete(&part).Error; err != nil {
			return fmt.Errorf("remove %s: %w", id, err)
		}
	}
	for _, i := range kept {
		id, _ := l.keys(&parts[i])
		if err := l.db.Model(&parts[i]).Where("id = ?", *id).Select("*").Omit("ID").Updates(&parts[i]).Error; err != nil {
			return err
		}
	}
	for _, i := range added {
		if err := l.db.Create(&parts[i]).Error; err != nil {
			return err
		}
	}
	return nil
}

// CoverByID returns a cover with attachments and stations, or ErrNotFound.
func (s *Store) CoverByID(ctx context.Context, id string) (Cover, error) {
	return s.oneCover(ctx, "cover by id", s.db.WithContext(ctx).Where("id = ?", id))
}

// CurrentCover returns the newest cover of a limb that has not been retired,
// with attachments and stations, or ErrNotFound.
func (s *Store) CurrentCover(ctx context.Context, limbID string) (Cover, error) {
	return s.oneCover(ctx, "current cover", s.db.WithContext(ctx).Where("limb_id = ? AND retired_on = ''", limbID))
}

func (s *Store) oneCover(ctx context.Context, operation string, which *gorm.DB) (Cover, error) {
	covers, err := s.covers(ctx, which.Limit(1))
	if err == nil && len(covers) == 0 {
		err = ErrNotFound
	}
	if err != nil {
		return Cover{}, fold(operation, err)
	}
	return covers[0], nil
}

// CoversOf returns all covers of a limb with attachments and stations, the
// newest first.
func (s *Store) CoversOf(ctx context.Context, limbID string) ([]Cover, error) {
	covers, err := s.covers(ctx, s.db.WithContext(ctx).Where("limb_id = ?", limbID))
	return covers, fold("covers of limb", err)
}

// covers loads covers, the newest first, with their parts in walking order.
func (s *Store) covers(ctx context.Context, which *gorm.DB) ([]Cover, error) {
	var covers []Cover
	if err := which.Order("delivered_on DESC, id DESC").Find(&covers).Error; err != nil || len(covers) == 0 {
		return nil, err
	}
	place := make(map[string]*Cover, len(covers))
	ids := make([]string, len(covers))
	for i := range covers {
		place[covers[i].ID], ids[i] = &covers[i], covers[i].ID
	}
	var attachments []Attachment
	if err := s.db.WithContext(ctx).Where("cover_id IN ?", ids).Order("ordinal, id").Find(&attachments).Error; err != nil {
		return nil, err
	}
	for _, a := range attachments {
		place[a.CoverID].Attachments = append(place[a.CoverID].Attachments, a)
	}
	var stations []Station
	if err := s.db.WithContext(ctx).Where("cover_id IN ?", ids).Order("ordinal, id").Find(&stations).Error; err != nil {
		return nil, err
	}
	for _, p := range stations {
		place[p.CoverID].Stations = append(place[p.CoverID].Stations, p)
	}
	return covers, nil
}
