package models

import (
	"context"
	"slices"
	"time"
)

// UnsentAfter is how long after a safety answer was given the workshop is told of it,
// though the report was not sent: long enough to send it, and to take it back.
const UnsentAfter = 15 * time.Minute

// unsentSafety holds for drafts with a safety answer that was given until the time that
// is its one argument, was neither sent nor taken back, and that nobody dealt with.
const unsentSafety = "told_at <= ? AND sent_at IS NULL AND dealt_at IS NULL"

// unsentClients are the ids of the clients of such drafts, each as often as it has any.
const unsentClients = `SELECT report_links.client_id FROM report_drafts JOIN report_links ON report_links.id = report_drafts.link_id
	WHERE ` + unsentSafety

// Safety are the signs that were ticked on the safety page, as typed so far.
func (d ReportDraft) Safety() []string {
	return slices.DeleteFunc(slices.Clone(SafetySigns), func(sign string) bool { return d.Fields["safety."+sign] != "yes" })
}

// noteSafety notes when a sign was ticked that was not before, which nobody has dealt
// with yet, or that none is any more.
func (d *ReportDraft) noteSafety(before map[string]string, now time.Time) {
	told := d.Safety()
	if len(told) == 0 {
		d.ToldAt, d.DealtAt, d.DealtBy = nil, nil, nil
	}
	if slices.ContainsFunc(told, func(sign string) bool { return before["safety."+sign] != "yes" }) {
		d.ToldAt, d.DealtAt, d.DealtBy = &now, nil, nil
	}
}

// unsentOf returns the drafts of clients with a safety answer that was not sent in
// UnsentAfter, the oldest first, by client.
func (s *Store) unsentOf(ctx context.Context, clientIDs []string) (map[string][]ReportDraft, error) {
	var found []struct {
		ReportDraft
		ClientID string
	}
	err := s.db.WithContext(ctx).Table("report_drafts").Select("report_drafts.*, report_links.client_id").
		Joins("JOIN report_links ON report_links.id = report_drafts.link_id").
		Where(unsentSafety, s.clock().Add(-UnsentAfter)).Where("report_links.client_id IN ?", clientIDs).
		Order("told_at, report_drafts.id").Find(&found).Error
	unsent := make(map[string][]ReportDraft, len(found))
	for _, f := range found {
		unsent[f.ClientID] = append(unsent[f.ClientID], f.ReportDraft)
	}
	return unsent, err
}

// DealWithUnsent notes that a person has called a client about a safety answer that was
// not sent. ErrNotFound: the client has no such draft. ErrConflict: it was sent or dealt
// with before, or the answer was taken back.
func (s *Store) DealWithUnsent(ctx context.Context, clientID, draftID, personID string) error {
	own := s.db.WithContext(ctx).Model(&ReportDraft{}).
		Where("id = ? AND link_id IN (SELECT id FROM report_links WHERE client_id = ?)", draftID, clientID)
	result := own.Where(unsentSafety, s.clock()).UpdateColumns(map[string]any{"dealt_at": s.clock(), "dealt_by": personID})
	if result.Error != nil || result.RowsAffected == 1 {
		return fold("deal with unsent report", result.Error)
	}
	var n int64
	err := s.db.WithContext(ctx).Model(&ReportDraft{}).
		Where("id = ? AND link_id IN (SELECT id FROM report_links WHERE client_id = ?)", draftID, clientID).Count(&n).Error
	if err == nil && n == 0 {
		err = ErrNotFound
	} else if err == nil {
		err = ErrConflict
	}
	return fold("deal with unsent report", err)
}
