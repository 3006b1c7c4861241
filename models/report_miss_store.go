package models

import (
	"context"
	"time"
)

// reportMiss is the key under which all tries of links that don't work are
// counted among the attempts to get in.
const reportMiss = "report-link"

// ReportMisses is how many links that don't work were tried from an address
// since a time.
func (s *Store) ReportMisses(ctx context.Context, addressHash string, since time.Time) (int, error) {
	return s.countMisses(ctx, reportMiss+" "+addressHash, since)
}

// AddReportMiss counts one more from the address, and returns how many there
// were from everywhere since a time.
func (s *Store) AddReportMiss(ctx context.Context, addressHash string, since time.Time) (int, error) {
	now := s.clock()
	rows := []signInAttempt{
		{ID: NewID(), AttemptKey: reportMiss, FailedAt: now},
		{ID: NewID(), AttemptKey: reportMiss + " " + addressHash, FailedAt: now},
	}
	if err := s.db.WithContext(ctx).Create(&rows).Error; err != nil {
		return 0, fold("add report miss", err)
	}
	return s.countMisses(ctx, reportMiss, since)
}

func (s *Store) countMisses(ctx context.Context, key string, since time.Time) (int, error) {
	var n int64
	err := s.db.WithContext(ctx).Model(&signInAttempt{}).
		Where("attempt_key = ? AND failed_at >= ?", key, stored(since)).Count(&n).Error
	return int(n), fold("report misses", err)
}
