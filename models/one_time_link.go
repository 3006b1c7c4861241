package models

import (
	"context"
	"time"

	"gorm.io/gorm/clause"
)

// OneTimeLink lets one person choose a password once. Only the SHA-256 of its
// token is stored.
type OneTimeLink struct {
	TokenHash string `gorm:"primaryKey"`
	PersonID  string
	MadeBy    *string    // person id; nil for the one that the program makes at its first start
	MadeAt    *time.Time // nil for one of before this was recorded
	ExpiresAt time.Time
	UsedAt    *time.Time // when it, or another link of the person, was used, or a newer one made
}

// CreateOneTimeLink records a link and ends all earlier ones of its person.
// TokenHash, MadeBy and ExpiresAt are the caller's, MadeAt is filled in. An unknown person gives ErrNotFound.
func (s *Store) CreateOneTimeLink(ctx context.Context, l *OneTimeLink) error {
	now := s.clock()
	l.MadeAt, l.ExpiresAt, l.UsedAt = &now, stored(l.ExpiresAt), storedPointer(l.UsedAt)
	return s.InTx(ctx, func(tx *Store) error {
		if _, err := tx.lockPerson(ctx, l.PersonID); err != nil {
			return fold("create one-time link", err)
		}
		if err := tx.endLinks(ctx, l.PersonID); err != nil {
			return fold("create one-time link", err)
		}
		return fold("create one-time link", tx.db.WithContext(ctx).Create(l).Error)
	})
}

// lockPerson returns a person and makes others who lock the same one wait until
// the transaction ends.
func (s *Store) lockPerson(ctx context.Context, id string) (Person, error) {
	var p Person
	err := s.db.WithContext(ctx).Clauses(clause.Locking{Strength: "UPDATE"}).Where("id = ?", id).Take(&p).Error
	return p, err
}

// endLinks uses up what is left of a person's links.
func (s *Store) endLinks(ctx context.Context, personID string) error {
	return s.db.WithContext(ctx).Model(&OneTimeLink{}).Where("person_id = ? AND used_at IS NULL", personID).
		UpdateColumn("used_at", s.clock()).Error
}

// OneTimeLinkByHash returns the link, used and expired ones too, or ErrNotFound.
func (s *Store) OneTimeLinkByHash(ctx context.Context, tokenHash string) (OneTimeLink, error) {
	var l OneTimeLink
	err := s.db.WithContext(ctx).Where("token_hash = ?", tokenHash).Take(&l).Error
	return l, fold("one-time link", err)
}

// WorkingLinkOf returns the link by which somebody's password can be chosen now, or
// ErrNotFound.
func (s *Store) WorkingLinkOf(ctx context.Context, personID string) (OneTimeLink, error) {
	var l OneTimeLink
	err := s.db.WithContext(ctx).Where("person_id = ? AND used_at IS NULL AND expires_at > ?", personID, s.clock()).Take(&l).Error
	return l, fold("working link", err)
}

// UseOneTimeLink uses up the link, with all others of its person, and returns
// whose it was. A link that is used, expired or unknown gives ErrNotFound; of
// several callers at once one succeeds.
func (s *Store) UseOneTimeLink(ctx context.Context, tokenHash string) (Person, error) {
	var p Person
	err := s.InTx(ctx, func(tx *Store) error {
		l, err := tx.OneTimeLinkByHash(ctx, tokenHash)
		if err != nil {
			return err
		}
		if p, err = tx.lockPerson(ctx, l.PersonID); err != nil {
			return err
		}
		now := tx.clock()
		result := tx.db.WithContext(ctx).Model(&OneTimeLink{}).
			Where("token_hash = ? AND used_at IS NULL AND expires_at > ?", tokenHash, now).
			UpdateColumn("used_at", now)
		if result.Error != nil {
			return result.Error
		}
		if result.RowsAffected == 0 {
			return ErrNotFound
		}
		return tx.endLinks(ctx, p.ID)
	})
	return p, fold("use one-time link", err)
}
