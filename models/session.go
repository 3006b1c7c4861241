package models

import (
	"context"
	"errors"
	"time"

	"gorm.io/gorm/clause"
)

// session is what a browser's cookie stands for: the data is opaque here.
type session struct {
	Token     string `gorm:"primaryKey"`
	Data      []byte
	ExpiresAt time.Time
}

// Sessions keeps the sessions of those who are signed in, in the form that the
// session library scs asks of a store. The tokens arrive hashed.
type Sessions struct{ store *Store }

// Sessions returns the sessions of the store.
func (s *Store) Sessions() Sessions { return Sessions{s} }

// FindCtx returns the data of a session, and false for one that is unknown or
// expired.
func (s Sessions) FindCtx(ctx context.Context, token string) ([]byte, bool, error) {
	var row session
	err := fold("find session", s.store.db.WithContext(ctx).
		Where("token = ? AND expires_at > ?", token, s.store.clock()).Take(&row).Error)
	if errors.Is(err, ErrNotFound) {
		return nil, false, nil
	}
	return row.Data, err == nil, err
}

// CommitCtx keeps the data of a session until expiry, in place of what it held.
func (s Sessions) CommitCtx(ctx context.Context, token string, data []byte, expiry time.Time) error {
	replace := clause.OnConflict{
		Columns:   []clause.Column{{Name: "token"}},
		DoUpdates: clause.AssignmentColumns([]string{"data", "expires_at"}),
	}
	row := session{Token: token, Data: data, ExpiresAt: stored(expiry)}
	return fold("commit session", s.store.db.WithContext(ctx).Clauses(replace).Create(&row).Error)
}

// DeleteCtx ends a session; one that is unknown is no error.
func (s Sessions) DeleteCtx(ctx context.Context, token string) error {
	return fold("delete session", s.store.db.WithContext(ctx).Where("token = ?", token).Delete(&session{}).Error)
}

// Find is FindCtx without a context.
func (s Sessions) Find(token string) ([]byte, bool, error) {
	return s.FindCtx(context.Background(), token)
}

// Commit is CommitCtx without a context.
func (s Sessions) Commit(token string, data []byte, expiry time.Time) error {
	return s.CommitCtx(context.Background(), token, data, expiry)
}

// Delete is DeleteCtx without a context.
func (s Sessions) Delete(token string) error { return s.DeleteCtx(context.Background(), token) }
