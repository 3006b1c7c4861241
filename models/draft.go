package models

import (
	"context"
	"maps"
	"time"
)

// Draft is a check-in being typed, kept on the server as it grows. Fields holds
// what was typed, word for word, by field name.
type Draft struct {
	ID         string
	ClientID   string
	PersonID   string
	CorrectsID *string           // the check-in that it corrects
	Fields     map[string]string `gorm:"serializer:json"`
	CreatedAt  time.Time
	UpdatedAt  time.Time
	CheckinID  *string // set once it has been saved as a check-in
	Version    int
}

// A draft's bounds, far above what the form of a check-in can have: its fields,
// and the bytes of their names and texts together.
const (
	MostDraftFields = 5000
	MostDraftBytes  = 8 << 20
)

// CreateDraft records a new draft. It fills in ID, CreatedAt, UpdatedAt and
// Version.
func (s *Store) CreateDraft(ctx context.Context, d *Draft) error {
	d.ID, d.Version = newIfEmpty(d.ID), 1
	d.CreatedAt = s.clock()
	d.UpdatedAt = d.CreatedAt
	if d.Fields == nil {
		d.Fields = map[string]string{}
	}
	return fold("create draft", s.db.WithContext(ctx).Create(d).Error)
}

// DraftByID returns one draft, saved as a check-in or not, or ErrNotFound.
func (s *Store) DraftByID(ctx context.Context, id string) (Draft, error) {
	var d Draft
	err := s.db.WithContext(ctx).Where("id = ?", id).Take(&d).Error
	return d, fold("draft by id", err)
}

// DraftsOf returns the open drafts of a client, the one touched last first.
func (s *Store) DraftsOf(ctx context.Context, clientID string) ([]Draft, error) {
	return s.openDrafts(ctx, "drafts of client", "client_id = ?", clientID)
}

// OpenDrafts returns the open drafts of a person, the one touched last first.
func (s *Store) OpenDrafts(ctx context.Context, personID string) ([]Draft, error) {
	return s.openDrafts(ctx, "open drafts", "person_id = ?", personID)
}

func (s *Store) openDrafts(ctx context.Context, operation, condition, value string) ([]Draft, error) {
	var drafts []Draft
	err := s.db.WithContext(ctx).Where(condition, value).Where("checkin_id IS NULL").
		Order("updated_at DESC, id DESC").Find(&drafts).Error
	return drafts, fold(operation, err)
}

// MergeDraftFields puts the fields over those of the draft, read at version,
// raises the version and returns the draft as it now is. It returns ErrStale
// when the draft was changed meanwhile, ErrConflict when it has been saved as a
// check-in, ErrTooLarge when it would grow past MostDraftFields or
// MostDraftBytes, and in all three cases the draft as it stands.
func (s *Store) MergeDraftFields(ctx context.Context, id string, version int, fields map[string]string) (Draft, error) {
	d, err := s.DraftByID(ctx, id)
	if err != nil {
		return d, fold("merge draft", err)
	}
	if d.CheckinID != nil {
		return d, fold("merge draft", ErrConflict)
	}
	if d.Version != version {
		return d, fold("merge draft", ErrStale)
	}
	next := d
	next.Fields = maps.Clone(d.Fields)
	if next.Fields == nil {
		next.Fields = make(map[string]string, len(fields))
	}
	maps.Copy(next.Fields, fields)
	if tooLarge(next.Fields) {
		return d, fold("merge draft", ErrTooLarge)
	}
	next.Version, next.UpdatedAt = version+1, s.clock()
	result := s.db.WithContext(ctx).Model(&next).Where("version = ? AND checkin_id IS NULL", version).
		Select("Fields", "Version", "UpdatedAt").Updates(&next)
	if result.Error != nil {
		return d, fold("merge draft", result.Error)
	}
	if result.RowsAffected == 0 { // another came between: see what it left
		return s.MergeDraftFields(ctx, id, version, fields)
	}
	return next, nil
}

// tooLarge tells whether fields are past the bounds of a draft.
func tooLarge(fields map[string]string) bool {
	return len(fields) > MostDraftFields || formSize(fields) > MostDraftBytes
}

// formSize is the bytes of the names and texts of fields together.
func formSize(fields map[string]string) int {
	size := 0
	for name, text := range fields {
		size += len(name) + len(text)
	}
	return size
}

// SubmitDraft marks an open draft as saved in the check-in. One that has been
// saved already gives ErrConflict.
func (s *Store) SubmitDraft(ctx context.Context, id, checkinID string) error {
	result := s.db.WithContext(ctx).Model(&Draft{}).Where("id = ? AND checkin_id IS NULL", id).
		UpdateColumn("checkin_id", checkinID)
	return fold("submit draft", s.openDraftOnly(ctx, id, result.RowsAffected, result.Error))
}

// DeleteDraft throws an open draft away. One that has been saved as a check-in
// gives ErrConflict.
func (s *Store) DeleteDraft(ctx context.Context, id string) error {
	result := s.db.WithContext(ctx).Where("id = ? AND checkin_id IS NULL", id).Delete(&Draft{})
	return fold("delete draft", s.openDraftOnly(ctx, id, result.RowsAffected, result.Error))
}

// openDraftOnly says why a statement on an open draft met no row.
func (s *Store) openDraftOnly(ctx context.Context, id string, rows int64, err error) error {
	if err != nil || rows == 1 {
		return err
	}
	if _, err := s.DraftByID(ctx, id); err != nil {
		return err
	}
	return ErrConflict
}
