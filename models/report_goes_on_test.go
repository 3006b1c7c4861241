package models_test

import (
	"testing"
	"time"

	"fairlead/models"
	"fairlead/models/modelstest"
)

// TestHeldReportIsGoneOnWith after its link has been used up: by that link, or by the
// client's next one, for whoever holds its key.
func TestHeldReportIsGoneOnWith(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b, other := bench(t, s, "K-001"), bench(t, s, "K-002")
		b.ready(t, s)
		other.client.ClinicPhone, other.client.OutOfHoursPhone, other.client.EmergencyPhone = "0100 2", "0100 3", "112"
		must(t, s.UpdateClient(ctx, &other.client))
		once := models.ReportLink{TokenHash: "once", ClientID: b.client.ID, MadeBy: b.fitter.ID, ExpiresAt: at(60 * 24), MostReports: 1}
		must(t, s.CreateReportLink(ctx, &once))
		other.linked(t, s, "another client's")
		begin := func(token string, held ...string) (models.ReportDraft, error) {
			return s.BeginReport(ctx, models.ReportStart{TokenHash: token, KeyHash: models.NewID(), HeldHashes: held, AddressHash: models.NewID()})
		}
		first, err := begin("once")
		must(t, err)
		_, err = s.SaveReportFields(ctx, first.ID, map[string]string{"text": "kept"})
		must(t, err)
		must(t, s.MayReport(ctx, once.ID))
		sent(t, s, "once") // by another browser
		wantErr(t, s.MayReport(ctx, once.ID), models.ErrNotFound)
		_, err = begin("once")
		wantErr(t, err, models.ErrNotFound)
		_, err = s.ReportLinkByHash(ctx, "once", "guessed")
		wantErr(t, err, models.ErrNotFound)
		_, err = s.ReportLinkByHash(ctx, "once", "guessed", first.KeyHash)
		must(t, err)
		if d, err := begin("once", first.KeyHash); err != nil || d.ID != first.ID {
			t.Errorf("by its own link: %+v, %v", d, err)
		}
		if d, err := begin("another client's", first.KeyHash); err != nil || d.ID == first.ID {
			t.Errorf("by another client's link: %+v, %v", d, err)
		}
		b.linked(t, s, "next")
		if d, err := begin("next"); err != nil || d.ID == first.ID {
			t.Errorf("by another browser: %+v, %v", d, err)
		}
		d, err := begin("next", first.KeyHash)
		must(t, err)
		if d.ID != first.ID || d.LinkID == once.ID || d.Fields["text"] != "kept" {
			t.Errorf("by the next link: %+v", d)
		}
		must(t, s.SendReport(ctx, &models.Report{DraftID: d.ID}))
		_, err = begin("once", first.KeyHash)
		wantErr(t, err, models.ErrNotFound)
	})
}

// TestHeldReportAfterItsLinkHasExpired goes on by it, and by no link that was revoked.
func TestHeldReportAfterItsLinkHasExpired(t *testing.T) {
	now := at(0)
	s := modelstest.SQLiteAt(t, func() time.Time { return now })
	b := bench(t, s, "K-001")
	b.ready(t, s)
	l := b.linked(t, s, "token")
	d := started(t, s, "token")
	begin := func(token string) (models.ReportDraft, error) {
		return s.BeginReport(ctx, models.ReportStart{TokenHash: token, KeyHash: models.NewID(), HeldHashes: []string{d.KeyHash}, AddressHash: "a"})
	}
	now = at(30*24 + 1)
	if got, err := begin("token"); err != nil || got.ID != d.ID || got.Idle(now) {
		t.Errorf("after the link has expired: %+v, %v", got, err)
	}
	must(t, s.RevokeReportLink(ctx, l.ID, b.fitter.ID))
	_, err := begin("token")
	wantErr(t, err, models.ErrNotFound)
	next := models.ReportLink{TokenHash: "next", ClientID: b.client.ID, MadeBy: b.fitter.ID, ExpiresAt: now.Add(time.Hour), MostReports: 1}
	must(t, s.CreateReportLink(ctx, &next))
	if got, err := begin("next"); err != nil || got.ID == d.ID {
		t.Errorf("what was typed by a revoked link went over: %+v, %v", got, err)
	}
}
