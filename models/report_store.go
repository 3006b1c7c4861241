package models

import (
	"context"
	"crypto/rand"

	"gorm.io/gorm/clause"
)

// SendReport records what a draft says as a report of the client of its link,
// whole or not at all, and marks the draft as sent and the link as used. Said,
// LimbID, DraftID and Urgent are the caller's; all else is filled in.
//
// ErrConflict: the draft was sent before (of many callers at once one succeeds);
// ReportByDraft has what became of it. ErrNotFound: no such draft, or its link
// has been revoked, is used up, or its client is archived; one that has expired
// since the draft was begun still takes it. ErrTooMany: MostReportsADay were
// sent by the link. ErrInvalid: the limb is another client's.
//
// A report with a safety answer is never one too many: neither MostReportsADay
// nor the link's own number of reports holds it up. What that lets in is bounded
// by MostStartsAMinute, and ended by revoking the link. One that is urgent without
// a safety answer, by a skin sign of the same day, is not held up by them either
// until MostUrgentADay were sent by the link.
func (s *Store) SendReport(ctx context.Context, r *Report) error {
	return fold("send report", s.InTx(ctx, func(tx *Store) error {
		l, err := tx.takeReportDraft(ctx, *r)
		if err != nil {
			return err
		}
		r.ID, r.Number, r.SentAt = newIfEmpty(r.ID), newReportNumber(), tx.clock()
		r.ClientID, r.LinkID, r.SeenAt, r.SeenBy = l.ClientID, l.ID, nil, nil
		if err := tx.ownLimb(ctx, r); err != nil {
			return err
		}
		if err := tx.db.WithContext(ctx).Create(r).Error; err != nil {
			return err
		}
		return tx.db.WithContext(ctx).Model(&l).UpdateColumn("last_used_at", r.SentAt).Error
	}))
}

// takeReportDraft marks the draft of a report as sent, if its link still takes it,
// and returns the link.
func (s *Store) takeReportDraft(ctx context.Context, r Report) (ReportLink, error) {
	var d ReportDraft
	var l ReportLink
	db := s.db.WithContext(ctx)
	if err := db.Where("id = ?", r.DraftID).Take(&d).Error; err != nil {
		return l, err
	}
	// first the link, then the draft: in the order of BeginReport
	if err := db.Clauses(clause.Locking{Strength: "UPDATE"}).Where("id = ?", d.LinkID).Take(&l).Error; err != nil {
		return l, err
	}
	result := db.Model(&ReportDraft{}).Where("id = ? AND sent_at IS NULL", d.ID).UpdateColumn("sent_at", s.clock())
	if result.Error != nil {
		return l, result.Error
	}
	if result.RowsAffected == 0 {
		return l, ErrConflict
	}
	if safety := len(r.Said.Safety) > 0; safety || r.Urgent {
		err := db.Where("id = ?", l.ID).Where(linkStands).Take(&l).Error
		if err == nil && !safety {
			err = s.fewerToday(ctx, l.ID, MostUrgentADay)
		}
		return l, err
	}
	return l, s.MayReport(ctx, l.ID)
}

// ownLimb refuses a limb that is not one of the report's client.
func (s *Store) ownLimb(ctx context.Context, r *Report) error {
	if r.LimbID == nil {
		return nil
	}
	var n int64
	err := s.db.WithContext(ctx).Model(&Limb{}).Where("id = ? AND client_id = ?", *r.LimbID, r.ClientID).Count(&n).Error
	if err == nil && n == 0 {
		return ErrInvalid
	}
	return err
}

// newReportNumber makes a reference number that can be read out on the phone: 8
// characters of base 32 without I, L, O and U (Crockford's alphabet), 40 random
// bits.
func newReportNumber() string {
	const alphabet = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
	drawn := make([]byte, 8)
	_, _ = rand.Read(drawn) // never fails
	for i, b := range drawn {
		drawn[i] = alphabet[b%32]
	}
	return string(drawn[:4]) + "-" + string(drawn[4:])
}

// ReportByID returns one report, or ErrNotFound.
func (s *Store) ReportByID(ctx context.Context, id string) (Report, error) {
	return s.reportWhere(ctx, "report by id", "id = ?", id)
}

// ReportByDraft returns the report that a draft became, or ErrNotFound.
func (s *Store) ReportByDraft(ctx context.Context, draftID string) (Report, error) {
	return s.reportWhere(ctx, "report by draft", "draft_id = ?", draftID)
}

func (s *Store) reportWhere(ctx context.Context, operation, condition, value string) (Report, error) {
	var r Report
	err := s.db.WithContext(ctx).Where(condition, value).Take(&r).Error
	return r, fold(operation, err)
}

// ReportsOf returns the reports of a client, the newest first.
func (s *Store) ReportsOf(ctx context.Context, clientID string) ([]Report, error) {
	var reports []Report
	err := s.db.WithContext(ctx).Where("client_id = ?", clientID).Order("sent_at DESC, id DESC").Find(&reports).Error
	return reports, fold("reports of client", err)
}

// SeeReport notes who has seen a report first, and when; a second time changes
// nothing.
func (s *Store) SeeReport(ctx context.Context, id, personID string) error {
	if _, err := s.ReportByID(ctx, id); err != nil {
		return fold("see report", err)
	}
	return fold("see report", s.db.WithContext(ctx).Model(&Report{}).Where("id = ? AND seen_at IS NULL", id).
		UpdateColumns(map[string]any{"seen_at": s.clock(), "seen_by": personID}).Error)
}
