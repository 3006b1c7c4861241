package models

import (
	"context"
	"maps"
	"time"

	"gorm.io/gorm/clause"
)

// ReportIdle is how long a report can be typed at without saving. After that its
// page must be taken up again by the link.
const ReportIdle = 60 * time.Minute

// What the form by a link is held to.
const (
	MostReportsADay    = 5                    // sent by one link in 24 hours, but for urgent ones and those with a safety answer
	MostUrgentADay     = 10 * MostReportsADay // for those that are urgent without a safety answer: against abuse alone
	MostStartsAMinute  = 10
	mostReportFields   = 200
	mostReportFormSize = 256 << 10 // bytes of names and texts together
)

// ReportStart asks to begin a report. All hashes are SHA-256.
type ReportStart struct {
	TokenHash   string   // of the link
	KeyHash     string   // of the key that the browser will hold
	HeldHashes  []string // of the keys that it holds already
	AddressHash string   // of where it asks from
}

// BeginReport begins a report by a link, or continues one that the browser
// has begun and not sent: then the draft's KeyHash is one of
// HeldHashes, and KeyHash is not used. That is one of the same link or, where that has
// none, of another link of the client that takes no report any more: what was typed
// goes over to the new link. The link counts as used either way. It can be begun
// after MostReportsADay were sent: only the safety page tells whether it must
// wait (see MayReport).
//
// ErrNotFound: no report can be begun or gone on with by the link (see
// ReportLinkByHash). ErrTooMany: MostStartsAMinute were begun from the address.
func (s *Store) BeginReport(ctx context.Context, start ReportStart) (ReportDraft, error) {
	var d ReportDraft
	err := s.InTx(ctx, func(tx *Store) error {
		l, err := tx.lockReportLink(ctx, start.TokenHash, start.HeldHashes)
		if err != nil {
			return err
		}
		now := tx.clock()
		if d, err = tx.openReportDraft(ctx, l, start.HeldHashes); err != nil {
			return err
		}
		if d.ID == "" {
			if err := tx.mayStart(ctx, start.AddressHash); err != nil {
				return err
			}
			d = ReportDraft{
				ID: NewID(), LinkID: l.ID, KeyHash: start.KeyHash, AddressHash: start.AddressHash,
				Fields: map[string]string{}, StartedAt: now, TouchedAt: now, Version: 1,
			}
			err = tx.db.WithContext(ctx).Create(&d).Error
		} else {
			d.TouchedAt, d.LinkID = now, l.ID
			err = tx.saveReportDraft(ctx, &d)
		}
		if err != nil {
			return err
		}
		return tx.db.WithContext(ctx).Model(&l).UpdateColumn("last_used_at", now).Error
	})
	return d, fold("begin report", err)
}

// openReportDraft returns the newest unsent draft whose key has one of the hashes, of
// the link, or else of another link of its client that has expired or been used up; the
// empty one when there is none. What was typed by a revoked link stays there.
func (s *Store) openReportDraft(ctx context.Context, l ReportLink, keyHashes []string) (ReportDraft, error) {
	var drafts []ReportDraft
	err := s.db.WithContext(ctx).Clauses(clause.Locking{Strength: "UPDATE"}).
		Where("key_hash IN ? AND sent_at IS NULL", keyHashes).
		Where("(link_id = ? OR link_id IN (SELECT id FROM report_links WHERE client_id = ? AND revoked_at IS NULL AND NOT ("+linkWorks+")))",
			l.ID, l.ClientID, s.clock()).
		Order(clause.OrderBy{Expression: clause.Expr{SQL: "CASE WHEN link_id = ? THEN 0 ELSE 1 END, id DESC", Vars: []any{l.ID}}}).
		Limit(1).Find(&drafts).Error
	if err != nil || len(drafts) == 0 {
		return ReportDraft{}, err
	}
	return drafts[0], nil
}

// MayReport tells whether a link takes one more report, expired or not: ErrNotFound
// when it is used up or takes none for good, ErrTooMany when it has sent as many as it
// may in 24 hours. It does not hold for an urgent report, or one with a safety answer.
func (s *Store) MayReport(ctx context.Context, linkID string) error {
	var l ReportLink
	err := s.db.WithContext(ctx).Where("id = ?", linkID).Where(linkWorks, time.Time{}).Take(&l).Error
	if err != nil {
		return fold("may report", err)
	}
	return s.fewerToday(ctx, linkID, MostReportsADay)
}

// fewerToday gives ErrTooMany unless fewer than most reports were sent by a link in
// 24 hours.
func (s *Store) fewerToday(ctx context.Context, linkID string, most int64) error {
	var n int64
	err := s.db.WithContext(ctx).Model(&Report{}).
		Where("link_id = ? AND sent_at > ?", linkID, s.clock().Add(-24*time.Hour)).Count(&n).Error
	if err == nil && n >= most {
		return ErrTooMany
	}
	return fold("reports today", err)
}

// mayStart refuses one report more than an address may begin in a minute.
func (s *Store) mayStart(ctx context.Context, addressHash string) error {
	var n int64
	err := s.db.WithContext(ctx).Model(&ReportDraft{}).
		Where("address_hash = ? AND started_at > ?", addressHash, s.clock().Add(-time.Minute)).Count(&n).Error
	if err == nil && n >= MostStartsAMinute {
		return ErrTooMany
	}
	return err
}

// Idle tells whether the report was left for longer than ReportIdle.
func (d ReportDraft) Idle(now time.Time) bool { return now.Sub(d.TouchedAt) > ReportIdle }

// saveReportDraft writes all that typing changes of a draft that
// this transaction has locked, and raises its version.
func (s *Store) saveReportDraft(ctx context.Context, d *ReportDraft) error {
	d.Version++
	return s.db.WithContext(ctx).Model(d).Select("LinkID", "Fields", "Version", "TouchedAt", "ToldAt", "DealtAt", "DealtBy").Updates(d).Error
}

// ReportDraftByKey returns the draft whose key has the hash, sent or not, and
// the link by which it was begun, in whatever state that is now; or ErrNotFound.
func (s *Store) ReportDraftByKey(ctx context.Context, keyHash string) (ReportDraft, ReportLink, error) {
	var d ReportDraft
	var l ReportLink
	db := s.db.WithContext(ctx)
	err := db.Where("key_hash = ?", keyHash).Take(&d).Error
	if err == nil {
		err = db.Where("id = ?", d.LinkID).Take(&l).Error
	}
	return d, l, fold("report draft", err)
}

// SaveReportFields puts the fields over those of an unsent draft, leaves all
// others as they are, and returns the draft as it then is. Fields of several
// pages, saved at once by two tabs, are all kept. It counts as touched now, unless
// it is idle: then what was typed is kept, and stays out of sight until the
// report is taken up again.
//
// ErrConflict: it has been sent. ErrTooLarge: it would grow past its bounds.
// ErrNotFound: there is no such draft.
func (s *Store) SaveReportFields(ctx context.Context, id string, fields map[string]string) (ReportDraft, error) {
	var d ReportDraft
	err := s.InTx(ctx, func(tx *Store) error {
		err := tx.db.WithContext(ctx).Clauses(clause.Locking{Strength: "UPDATE"}).Where("id = ?", id).Take(&d).Error
		if err != nil {
			return err
		}
		if d.SentAt != nil {
			return ErrConflict
		}
		next := maps.Clone(d.Fields)
		if next == nil {
			next = make(map[string]string, len(fields))
		}
		maps.Copy(next, fields)
		if len(next) > mostReportFields || formSize(next) > mostReportFormSize {
			return ErrTooLarge
		}
		before := d.Fields
		d.Fields = next
		d.noteSafety(before, tx.clock())
		if now := tx.clock(); !d.Idle(now) {
			d.TouchedAt = now
		}
		return tx.saveReportDraft(ctx, &d)
	})
	return d, fold("save report fields", err)
}
