package models

import (
	"context"
	"time"

	"gorm.io/gorm"
)

// signInAttempt is one sign-in that did not succeed, or of which it is not
// known yet.
type signInAttempt struct {
	ID         string
	AttemptKey string
	FailedAt   time.Time
}

// SignInKey is something under which attempts to sign in are counted: a sign-in
// name, an address. Wait is how long after the latest of so many attempts
// without success the next one may come; zero or less is at once.
type SignInKey struct {
	Key  string
	Wait func(failures int) time.Duration
}

// SignInAttempt is an attempt that is let through. It counts as a failure until
// SignInSucceeded takes it back.
type SignInAttempt struct{ ids []string }

// signInLock is the number of PostgreSQL's advisory lock on sign_in_attempts;
// any number that nothing else here uses.
const signInLock = 7105

// BeginSignIn counts an attempt under all keys, before the password is checked,
// and lets it through; or, when one of the keys asks for it, counts nothing and
// returns how long the caller must wait. Failures of before since don't count.
// Attempts at the same moment are judged one after the other.
func (s *Store) BeginSignIn(ctx context.Context, since time.Time, keys []SignInKey) (SignInAttempt, time.Duration, error) {
	var attempt SignInAttempt
	var longest time.Duration
	err := s.InTx(ctx, func(tx *Store) error {
		db, now := tx.db.WithContext(ctx), tx.clock()
		if db.Name() == "postgres" { // in SQLite one transaction writes at a time
			if err := db.Exec("SELECT pg_advisory_xact_lock(?)", signInLock).Error; err != nil {
				return err
			}
		}
		for _, k := range keys {
			n, latest, err := tx.signInFailures(ctx, k.Key, since)
			if err != nil {
				return err
			}
			if n > 0 {
				longest = max(longest, latest.Add(k.Wait(n)).Sub(now))
			}
		}
		if longest > 0 {
			return nil
		}
		rows := make([]signInAttempt, len(keys))
		for i, k := range keys {
			rows[i] = signInAttempt{ID: NewID(), AttemptKey: k.Key, FailedAt: now}
			attempt.ids = append(attempt.ids, rows[i].ID)
		}
		return db.Create(&rows).Error
	})
	return attempt, longest, fold("begin sign-in", err)
}

// signInFailures returns how many attempts stand under the key since a time, and
// when the latest was.
func (s *Store) signInFailures(ctx context.Context, key string, since time.Time) (int, time.Time, error) {
	db := s.db.WithContext(ctx).Model(&signInAttempt{}).
		Where("attempt_key = ? AND failed_at >= ?", key, stored(since)).Session(&gorm.Session{})
	var n int64
	if err := db.Count(&n).Error; err != nil || n == 0 {
		return 0, time.Time{}, err
	}
	var latest signInAttempt
	err := db.Order("failed_at DESC").Take(&latest).Error
	return int(n), latest.FailedAt, err
}

// SignInSucceeded takes the attempt back, and forgets all failures under key.
func (s *Store) SignInSucceeded(ctx context.Context, a SignInAttempt, key string) error {
	err := s.db.WithContext(ctx).Where("id IN ? OR attempt_key = ?", a.ids, key).Delete(&signInAttempt{}).Error
	return fold("sign-in succeeded", err)
}
