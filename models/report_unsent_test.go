package models_test

import (
	"testing"
	"time"

	"fairlead/models"
	"fairlead/models/modelstest"
)

// TestSafetyAnswerThatIsNotSent comes to the top of the list of the day after a while,
// and goes when it is sent, taken back, dealt with or deleted.
func TestSafetyAnswerThatIsNotSent(t *testing.T) {
	now := at(0)
	s := modelstest.SQLiteAt(t, func() time.Time { return now })
	b := bench(t, s, "K-001")
	b.ready(t, s)
	b.linked(t, s, "token")
	other := bench(t, s, "K-002")
	var d models.ReportDraft
	tick := func(pairs ...string) {
		t.Helper()
		fields := map[string]string{}
		for i := 0; i < len(pairs); i += 2 {
			fields[pairs[i]] = pairs[i+1]
		}
		_, err := s.SaveReportFields(ctx, d.ID, fields)
		must(t, err)
	}
	waits := func(want int) {
		t.Helper()
		rows, _, err := s.Today(ctx, models.TodayFilter{On: "2026-11-25", NeedBy: "2026-11-25"})
		must(t, err)
		unseen, err := s.CountUnseenNow(ctx, nil)
		must(t, err)
		count, err := s.CountToday(ctx, nil, "2026-11-25", "2026-11-25", nil)
		must(t, err)
		if len(rows) != want || unseen != want || count.Now != want {
			t.Errorf("%d rows, %d unseen, %+v; want %d", len(rows), unseen, count, want)
		}
		if want == 1 && len(rows) == 1 && (rows[0].Level != "now" || len(rows[0].Unsent) != 1 || rows[0].Unsent[0].ID != d.ID || rows[0].Client.ID != b.client.ID) {
			t.Errorf("row %+v", rows[0])
		}
	}
	begin := func() {
		t.Helper()
		d = started(t, s, "token")
		tick("safety.open-skin", "yes")
		waits(0)
		now = now.Add(models.UnsentAfter)
		waits(1)
	}
	begin()
	must(t, s.SendReport(ctx, &models.Report{DraftID: d.ID, Said: models.Said{Safety: []string{"open-skin"}}}))
	waits(0)

	begin()
	tick("safety.open-skin", "", "safety.none", "yes")
	waits(0)

	begin()
	wantErr(t, s.DealWithUnsent(ctx, other.client.ID, d.ID, b.fitter.ID), models.ErrNotFound)
	must(t, s.DealWithUnsent(ctx, b.client.ID, d.ID, b.fitter.ID))
	wantErr(t, s.DealWithUnsent(ctx, b.client.ID, d.ID, b.fitter.ID), models.ErrConflict)
	waits(0)
	tick("text", "more")
	now = now.Add(models.UnsentAfter)
	waits(0)
	tick("safety.broken", "yes") // something new
	now = now.Add(models.UnsentAfter)
	waits(1)
	if n, err := s.CountUnseenNow(ctx, &other.fitter.ID); err != nil || n != 0 {
		t.Errorf("somebody who does not look after them counts %d, %v", n, err)
	}
	now = now.Add(8 * 24 * time.Hour)
	_, err := s.Tidy(ctx)
	must(t, err)
	waits(0)
}

// TestUnsentOnBothDatabases lists and deals with one.
func TestUnsentOnBothDatabases(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		b.ready(t, s)
		b.linked(t, s, "token")
		d := started(t, s, "token")
		_, err := s.SaveReportFields(ctx, d.ID, map[string]string{"safety.broken": "yes"})
		must(t, err)
		_, _, err = s.Today(ctx, models.TodayFilter{On: "2026-11-25"})
		must(t, err)
		_, err = s.CountUnseenNow(ctx, &b.fitter.ID)
		must(t, err)
		must(t, s.DealWithUnsent(ctx, b.client.ID, d.ID, b.fitter.ID))
		got, _, err := s.ReportDraftByKey(ctx, d.KeyHash)
		must(t, err)
		if got.ToldAt == nil || got.DealtAt == nil || got.DealtBy == nil || *got.DealtBy != b.fitter.ID {
			t.Errorf("got %+v", got)
		}
	})
}
