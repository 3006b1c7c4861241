package models

import (
	"context"
	"time"
)

// How long what has no use any more is kept, so that a question about the last
// days can still be answered.
const (
	linkMemory   = 7 * 24 * time.Hour
	signInMemory = 24 * time.Hour
	draftMemory  = 7 * 24 * time.Hour
)

// Tidied is how many rows Tidy removed.
type Tidied struct{ Sessions, Links, SignInFailures, ReportDrafts int }

// Tidy removes the sessions that have expired, the one-time links that were used
// up or expired more than 7 days ago, the failures to sign in of more than 24
// hours ago and the reports that nobody has typed at for more than 7 days and
// that were never sent. Nothing of the record of clients is touched.
func (s *Store) Tidy(ctx context.Context) (Tidied, error) {
	now := s.clock()
	var t Tidied
	for _, step := range []struct {
		row       any
		condition string
		before    time.Time
		removed   *int
	}{
		{&session{}, "expires_at <= @before", now, &t.Sessions},
		{&OneTimeLink{}, "used_at < @before OR expires_at < @before", now.Add(-linkMemory), &t.Links},
		{&signInAttempt{}, "failed_at < @before", now.Add(-signInMemory), &t.SignInFailures},
		{&ReportDraft{}, "sent_at IS NULL AND touched_at < @before", now.Add(-draftMemory), &t.ReportDrafts},
	} {
		result := s.db.WithContext(ctx).Where(step.condition, map[string]any{"before": step.before}).Delete(step.row)
		if result.Error != nil {
			return t, fold("tidy", result.Error)
		}
		*step.removed = int(result.RowsAffected)
	}
	return t, nil
}
