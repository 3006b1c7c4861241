package models

import (
	"context"
	"fmt"
	"time"

	"gorm.io/gorm/clause"
)

// LongestReportLink is how long a link works at most.
const LongestReportLink = 90 * 24 * time.Hour

// CreateReportLink records a link. TokenHash, ClientID, MadeBy, ExpiresAt and
// MostReports are the caller's; ID and MadeAt are filled in.
//
// ErrInvalid: it would work for longer than LongestReportLink or not at all, or
// a number is missing that the form must show (the client's three, the
// workshop's two) or the times at which reports are read, or the client has no
// limb that a report could be about. ErrArchived: the
// client is archived. ErrNotFound: no such client, or no workshop.
func (s *Store) CreateReportLink(ctx context.Context, l *ReportLink) error {
	l.ID, l.MadeAt, l.ExpiresAt = newIfEmpty(l.ID), s.clock(), stored(l.ExpiresAt)
	return fold("create report link", s.InTx(ctx, func(tx *Store) error {
		if err := tx.mayHaveLink(ctx, l); err != nil {
			return err
		}
		return tx.db.WithContext(ctx).Create(l).Error
	}))
}

// mayHaveLink tells whether the form behind the link would be complete.
func (s *Store) mayHaveLink(ctx context.Context, l *ReportLink) error {
	if !l.ExpiresAt.After(l.MadeAt) || l.ExpiresAt.After(l.MadeAt.Add(LongestReportLink)) {
		return fmt.Errorf("expires at %s: %w", l.ExpiresAt, ErrInvalid)
	}
	client, err := s.ClientByID(ctx, l.ClientID)
	if err != nil {
		return err
	}
	if client.ArchivedAt != nil {
		return ErrArchived
	}
	limbs, err := s.LimbsOf(ctx, l.ClientID)
	if err != nil {
		return err
	}
	if len(limbs) == 0 {
		return fmt.Errorf("the client has no limb: %w", ErrInvalid)
	}
	w, err := s.Workshop(ctx)
	if err != nil {
		return err
	}
	for _, needed := range []string{
		client.ClinicPhone, client.OutOfHoursPhone, client.EmergencyPhone, w.Phone, w.EmergencyPhone, w.ReadsReportsAt,
	} {
		if needed == "" {
			return fmt.Errorf("a number or the reading time is missing: %w", ErrInvalid)
		}
	}
	if len(w.ReadsReportsOn) == 0 {
		return fmt.Errorf("no day on which reports are read: %w", ErrInvalid)
	}
	return nil
}

// linkStands is the condition under which a link takes a report at all.
const linkStands = `revoked_at IS NULL
	AND (SELECT archived_at FROM clients WHERE clients.id = report_links.client_id) IS NULL`

// linkWorks is the condition under which a report can be begun by a link, at the
// time that is its one argument.
const linkWorks = linkStands + ` AND expires_at > ?
	AND (SELECT count(*) FROM reports WHERE reports.link_id = report_links.id) < most_reports`

// linkOpens is linkWorks, or that a report was begun by the link, has not been sent,
// and is held by one of the keys whose hashes are the second argument: that one can be
// gone on with, as it can be sent, after the link has expired or been used up.
const linkOpens = linkStands + ` AND (` + linkWorks + ` OR EXISTS (SELECT 1 FROM report_drafts AS d
	WHERE d.link_id = report_links.id AND d.sent_at IS NULL AND d.key_hash IN ?))`

// ReportLinkByHash returns the link whose token has the hash, if a report can be
// begun by it, or one gone on with that is held by a key of the hashes. One that is
// unknown, revoked, expired or used up, or whose client
// is archived, gives ErrNotFound by the same single statement, so that nobody
// learns which it is.
func (s *Store) ReportLinkByHash(ctx context.Context, tokenHash string, heldHashes ...string) (ReportLink, error) {
	var l ReportLink
	err := s.db.WithContext(ctx).Where("token_hash = ?", tokenHash).Where(linkOpens, s.clock(), heldHashes).Take(&l).Error
	return l, fold("report link", err)
}

// lockReportLink is ReportLinkByHash that makes others who lock the same link
// wait until the transaction ends.
func (s *Store) lockReportLink(ctx context.Context, tokenHash string, heldHashes []string) (ReportLink, error) {
	var l ReportLink
	err := s.db.WithContext(ctx).Clauses(clause.Locking{Strength: "UPDATE"}).
		Where("token_hash = ?", tokenHash).Where(linkOpens, s.clock(), heldHashes).Take(&l).Error
	return l, err
}

// ReportLinksOf returns all links of a client, the newest first.
func (s *Store) ReportLinksOf(ctx context.Context, clientID string) ([]ReportLink, error) {
	var links []ReportLink
	err := s.db.WithContext(ctx).Where("client_id = ?", clientID).Order("made_at DESC, id DESC").Find(&links).Error
	return links, fold("report links of client", err)
}

// RevokeReportLink ends a link, and every report being typed by it, in the name
// of a person. One that was revoked before gives ErrConflict.
func (s *Store) RevokeReportLink(ctx context.Context, id, personID string) error {
	result := s.db.WithContext(ctx).Model(&ReportLink{}).Where("id = ? AND revoked_at IS NULL", id).
		UpdateColumns(map[string]any{"revoked_at": s.clock(), "revoked_by": personID})
	if result.Error != nil || result.RowsAffected == 1 {
		return fold("revoke report link", result.Error)
	}
	var n int64
	err := s.db.WithContext(ctx).Model(&ReportLink{}).Where("id = ?", id).Count(&n).Error
	if err == nil && n == 0 {
		err = ErrNotFound
	} else if err == nil {
		err = ErrConflict
	}
	return fold("revoke report link", err)
}
