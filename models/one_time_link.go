package models

import (
	"context"
	"time"
)

// OneTimeLink lets one person choose a password once. Only the SHA-256 of its
// token is stored.
type OneTimeLink struct {
	TokenHash string `gorm:"primaryKey"`
	PersonID  string
	ExpiresAt time.Time
	UsedAt    *time.Time
}

// CreateOneTimeLink records a link. TokenHash and ExpiresAt are the caller's.
func (s *Store) CreateOneTimeLink(ctx context.Context, l *OneTimeLink) error {
	l.ExpiresAt, l.UsedAt = stored(l.ExpiresAt), storedPointer(l.UsedAt)
	return fold("create one-time link", s.db.WithContext(ctx).Create(l).Error)
}

// OneTimeLinkByHash returns the link, used and expired ones too, or ErrNotFound.
func (s *Store) OneTimeLinkByHash(ctx context.Context, tokenHash string) (OneTimeLink, error) {
	var l OneTimeLink
	err := s.db.WithContext(ctx).Where("token_hash = ?", tokenHash).Take(&l).Error
	return l, fold("one-time link", err)
}

// UseOneTimeLink uses up the link and returns whose it was. A link that is
// used, expired or unknown gives ErrNotFound; of several callers at once one
// succeeds.
func (s *Store) UseOneTimeLink(ctx context.Context, tokenHash string) (Person, error) {
	var p Person
	err := s.InTx(ctx, func(tx *Store) error {
		now := s.clock()
		result := tx.db.Model(&OneTimeLink{}).
			Where("token_hash = ? AND used_at IS NULL AND expires_at > ?", tokenHash, now).
			UpdateColumn("used_at", now)
		if result.Error != nil {
			return result.Error
		}
		if result.RowsAffected == 0 {
			return ErrNotFound
		}
		return tx.db.Where("id = (SELECT person_id FROM one_time_links WHERE token_hash = ?)", tokenHash).Take(&p).Error
	})
	return p, fold("use one-time link", err)
}
