package models_test

import (
	"testing"
	"time"

	"fairlead/models"
	"fairlead/models/modelstest"
)

// TestLinksThatDoNotWorkCostTheSame counts what the database is asked while a
// link that doesn't work is tried, as the pages of the form try it: the same
// whatever is wrong with it, so that no clock tells one from the other.
func TestLinksThatDoNotWorkCostTheSame(t *testing.T) {
	now := at(0)
	s := modelstest.SQLiteAt(t, func() time.Time { return now })
	b := bench(t, s, "K-001")
	b.ready(t, s)
	revoked := b.linked(t, s, "revoked")
	b.linked(t, s, "expired")
	once := models.ReportLink{TokenHash: "used up", ClientID: b.client.ID, MadeBy: b.fitter.ID, ExpiresAt: at(60 * 24), MostReports: 1}
	must(t, s.CreateReportLink(ctx, &once))
	sent(t, s, "used up")
	must(t, s.RevokeReportLink(ctx, revoked.ID, b.fitter.ID))
	now = at(31 * 24)
	works := models.ReportLink{TokenHash: "works", ClientID: b.client.ID, MadeBy: b.fitter.ID, ExpiresAt: now.Add(time.Hour), MostReports: 1}
	must(t, s.CreateReportLink(ctx, &works))

	statements := s.CountStatements()
	try := func(token string) (looked, begun int) {
		before := statements()
		_, err := s.ReportLinkByHash(ctx, token)
		wantErr(t, err, models.ErrNotFound)
		looked = statements() - before
		_, err = s.BeginReport(ctx, models.ReportStart{TokenHash: token, KeyHash: "key", AddressHash: "address"})
		wantErr(t, err, models.ErrNotFound)
		return looked, statements() - before - looked
	}
	for _, token := range []string{"unknown", "revoked", "expired", "used up"} {
		if looked, begun := try(token); looked != 1 || begun != 1 {
			t.Errorf("%s: %d statements to look, %d to begin, want 1 and 1", token, looked, begun)
		}
	}
	if _, err := s.ReportLinkByHash(ctx, "works"); err != nil {
		t.Errorf("a link that works: %v", err)
	}
}
