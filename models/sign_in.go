package models

import (
	"context"
	"time"
)

// signInMemory is how long a sign-in that did not succeed is remembered.
const signInMemory = 24 * time.Hour

// signInAttempt is one sign-in that did not succeed.
type signInAttempt struct {
	ID         string
	AttemptKey string
	FailedAt   time.Time
}

// RecordSignInFailure remembers, for 24 hours, that a sign-in under the key
// did not succeed. The caller chooses the key: a sign-in name, an address.
func (s *Store) RecordSignInFailure(ctx context.Context, key string) error {
	now := s.clock()
	db := s.db.WithContext(ctx)
	if err := db.Where("failed_at < ?", now.Add(-signInMemory)).Delete(&signInAttempt{}).Error; err != nil {
		return fold("forget old sign-in failures", err)
	}
	attempt := signInAttempt{ID: NewID(), AttemptKey: key, FailedAt: now}
	return fold("record sign-in failure", db.Create(&attempt).Error)
}

// SignInFailures returns how many sign-ins under the key did not succeed since
// the given time, and when the latest of them was.
func (s *Store) SignInFailures(ctx context.Context, key string, since time.Time) (int, time.Time, error) {
	var attempts []signInAttempt
	err := s.db.WithContext(ctx).Where("attempt_key = ? AND failed_at >= ?", key, stored(since)).
		Order("failed_at DESC").Find(&attempts).Error
	if err != nil || len(attempts) == 0 {
		return 0, time.Time{}, fold("sign-in failures", err)
	}
	return len(attempts), attempts[0].FailedAt, nil
}

// ClearSignInFailures forgets the failures under the key, after a success.
func (s *Store) ClearSignInFailures(ctx context.Context, key string) error {
	err := s.db.WithContext(ctx).Where("attempt_key = ?", key).Delete(&signInAttempt{}).Error
	return fold("clear sign-in failures", err)
}
