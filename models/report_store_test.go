package models_test

import (
	"errors"
	"regexp"
	"slices"
	"sync"
	"testing"
	"time"

	"fairlead/models"
	"fairlead/models/modelstest"
)

// ready gives the workshop and the client of a workbench what a link needs.
func (b *workbench) ready(t *testing.T, s *models.Store) {
	t.Helper()
	must(t, s.SaveWorkshop(ctx, &models.Workshop{
		Name: "Invented workshop", Zone: "Europe/Berlin", Phone: "0100 1", EmergencyPhone: "112", ReadsReportsAt: "08:00",
		ReadsReportsOn: []string{"monday"},
	}))
	b.client.ClinicPhone, b.client.OutOfHoursPhone, b.client.EmergencyPhone = "0100 2", "0100 3", "112"
	must(t, s.UpdateClient(ctx, &b.client))
}

// linked records a link of the workbench's client, for 10 reports in 30 days.
func (b *workbench) linked(t *testing.T, s *models.Store, tokenHash string) models.ReportLink {
	t.Helper()
	l := models.ReportLink{
		TokenHash: tokenHash, ClientID: b.client.ID, MadeBy: b.fitter.ID, ExpiresAt: at(30 * 24), MostReports: 10,
	}
	must(t, s.CreateReportLink(ctx, &l))
	return l
}

// started begins a report by the link whose token has the hash.
func started(t *testing.T, s *models.Store, tokenHash string) models.ReportDraft {
	t.Helper()
	d, err := s.BeginReport(ctx, models.ReportStart{TokenHash: tokenHash, KeyHash: models.NewID(), AddressHash: models.NewID()})
	must(t, err)
	return d
}

// sent begins and sends a report.
func sent(t *testing.T, s *models.Store, tokenHash string) models.Report {
	t.Helper()
	r := models.Report{DraftID: started(t, s, tokenHash).ID}
	must(t, s.SendReport(ctx, &r))
	return r
}

func TestReportFromLinkToSeen(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		b.ready(t, s)
		l := b.linked(t, s, "token")
		if got, err := s.ReportLinkByHash(ctx, "token"); err != nil || got.ID != l.ID || got.LastUsedAt != nil {
			t.Errorf("link %+v, %v", got, err)
		}
		d, err := s.BeginReport(ctx, models.ReportStart{TokenHash: "token", KeyHash: "key", AddressHash: "here"})
		must(t, err)
		if got, err := s.ReportLinkByHash(ctx, "token"); err != nil || got.LastUsedAt == nil {
			t.Errorf("after a start the link is %+v, %v; want a last use", got, err)
		}
		if _, err := s.SaveReportFields(ctx, d.ID, map[string]string{"what": "rub", "text": "a <b> 🙂 مرحبا"}); err != nil {
			t.Fatal(err)
		}
		if _, err := s.SaveReportFields(ctx, d.ID, map[string]string{"since": "today", "what": "tight"}); err != nil {
			t.Fatal(err)
		}
		got, link, err := s.ReportDraftByKey(ctx, "key")
		must(t, err)
		if link.ID != l.ID || got.Fields["what"] != "tight" || got.Fields["text"] != "a <b> 🙂 مرحبا" || got.Fields["since"] != "today" {
			t.Errorf("draft %+v of %s", got, link.ID)
		}
		r := models.Report{DraftID: d.ID, LimbID: &b.limb.ID, Said: models.Said{Safety: []string{"open-skin"}, Looseness: pointer(-2)}}
		must(t, s.SendReport(ctx, &r))
		if !regexp.MustCompile(`^[0-9A-HJKMNP-TV-Z]{4}-[0-9A-HJKMNP-TV-Z]{4}$`).MatchString(r.Number) || r.ClientID != b.client.ID {
			t.Errorf("report %+v", r)
		}
		stored, err := s.ReportByDraft(ctx, d.ID)
		must(t, err)
		if stored.ID != r.ID || !slices.Equal(stored.Said.Safety, r.Said.Safety) || *stored.Said.Looseness != -2 || *stored.LimbID != b.limb.ID {
			t.Errorf("stored %+v, want %+v", stored, r)
		}
		if _, err := s.SaveReportFields(ctx, d.ID, map[string]string{"what": "noise"}); !errors.Is(err, models.ErrConflict) {
			t.Errorf("a sent draft was changed: %v", err)
		}
		must(t, s.SeeReport(ctx, r.ID, b.fitter.ID))
		must(t, s.SeeReport(ctx, r.ID, person(t, s, "zoe").ID))
		reports, err := s.ReportsOf(ctx, b.client.ID)
		must(t, err)
		if len(reports) != 1 || reports[0].SeenAt == nil || *reports[0].SeenBy != b.fitter.ID {
			t.Errorf("reports %+v, want one, seen by the first", reports)
		}
		if _, err := s.ReportByID(ctx, r.ID); err != nil {
			t.Error(err)
		}
		wantErr(t, s.SeeReport(ctx, "none", b.fitter.ID), models.ErrNotFound)
		_, err = s.ReportByDraft(ctx, "none")
		wantErr(t, err, models.ErrNotFound)
		_, _, err = s.ReportDraftByKey(ctx, "none")
		wantErr(t, err, models.ErrNotFound)
		_, err = s.SaveReportFields(ctx, "none", nil)
		wantErr(t, err, models.ErrNotFound)
	})
}

func TestFiftySendsAtOnceMakeOneReport(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		b.ready(t, s)
		b.linked(t, s, "token")
		d := started(t, s, "token")
		errs := make([]error, 50)
		var all sync.WaitGroup
		for i := range errs {
			all.Go(func() { errs[i] = s.SendReport(ctx, &models.Report{DraftID: d.ID}) })
		}
		all.Wait()
		succeeded := 0
		for _, err := range errs {
			if err == nil {
				succeeded++
			} else {
				wantErr(t, err, models.ErrConflict)
			}
		}
		reports, err := s.ReportsOf(ctx, b.client.ID)
		must(t, err)
		if succeeded != 1 || len(reports) != 1 {
			t.Errorf("%d of 50 sends succeeded and made %d reports, want 1 and 1", succeeded, len(reports))
		}
	})
}

func TestReportLinksThatDoNotWork(t *testing.T) {
	now := at(0)
	s := modelstest.SQLiteAt(t, func() time.Time { return now })
	b := bench(t, s, "K-001")
	b.ready(t, s)
	revoked, expired, used := b.linked(t, s, "revoked"), b.linked(t, s, "expired"), b.linked(t, s, "used up")
	once := models.ReportLink{TokenHash: "once", ClientID: b.client.ID, MadeBy: b.fitter.ID, ExpiresAt: at(60 * 24), MostReports: 1}
	must(t, s.CreateReportLink(ctx, &once))
	begunBefore, lateSend, spare := started(t, s, "revoked"), started(t, s, "expired"), started(t, s, "once")
	must(t, s.RevokeReportLink(ctx, revoked.ID, b.fitter.ID))
	wantErr(t, s.RevokeReportLink(ctx, revoked.ID, b.fitter.ID), models.ErrConflict)
	wantErr(t, s.RevokeReportLink(ctx, "none", b.fitter.ID), models.ErrNotFound)
	sent(t, s, "once")
	wantErr(t, s.SendReport(ctx, &models.Report{DraftID: begunBefore.ID}), models.ErrNotFound)
	wantErr(t, s.SendReport(ctx, &models.Report{DraftID: spare.ID}), models.ErrNotFound)
	urgent := models.Said{Safety: []string{"broken"}}
	must(t, s.SendReport(ctx, &models.Report{DraftID: spare.ID, Said: urgent})) // by a link that is used up
	wantErr(t, s.SendReport(ctx, &models.Report{DraftID: begunBefore.ID, Said: urgent}), models.ErrNotFound)
	wantErr(t, s.SendReport(ctx, &models.Report{DraftID: "none"}), models.ErrNotFound)

	now = at(30 * 24)
	must(t, s.SendReport(ctx, &models.Report{DraftID: lateSend.ID}))
	for _, token := range []string{"revoked", "expired", "once", "unknown"} {
		_, err := s.ReportLinkByHash(ctx, token)
		wantErr(t, err, models.ErrNotFound)
		_, err = s.BeginReport(ctx, models.ReportStart{TokenHash: token, KeyHash: token, AddressHash: "a"})
		wantErr(t, err, models.ErrNotFound)
	}
	now = at(1)
	if _, err := s.ReportLinkByHash(ctx, used.TokenHash); err != nil {
		t.Errorf("a link that works: %v", err)
	}
	must(t, s.ArchiveClient(ctx, b.client.ID, b.client.Version, "moved away"))
	_, err := s.ReportLinkByHash(ctx, used.TokenHash)
	wantErr(t, err, models.ErrNotFound)
	links, err := s.ReportLinksOf(ctx, b.client.ID)
	must(t, err)
	if len(links) != 4 || !slices.ContainsFunc(links, func(l models.ReportLink) bool { return l.ID == expired.ID }) {
		t.Errorf("links %+v, want all four", links)
	}
}

func TestReportLinkNeedsNumbers(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		link := func(change func(*models.ReportLink)) error {
			l := models.ReportLink{TokenHash: models.NewID(), ClientID: b.client.ID, MadeBy: b.fitter.ID, ExpiresAt: at(24), MostReports: 10}
			change(&l)
			return s.CreateReportLink(ctx, &l)
		}
		same := func(*models.ReportLink) {}
		wantErr(t, link(same), models.ErrNotFound) // no workshop yet
		b.ready(t, s)
		must(t, link(same))
		wantErr(t, link(func(l *models.ReportLink) { l.ExpiresAt = at(0) }), models.ErrInvalid)
		wantErr(t, link(func(l *models.ReportLink) { l.ExpiresAt = at(90*24 + 1) }), models.ErrInvalid)
		wantErr(t, link(func(l *models.ReportLink) { l.MostReports = 0 }), models.ErrInvalid)
		wantErr(t, link(func(l *models.ReportLink) { l.ClientID = "none" }), models.ErrNotFound)
		bare := models.Client{Code: "K-002", Name: "Bare", ClinicPhone: "0100 2", OutOfHoursPhone: "0100 3", EmergencyPhone: "112"}
		must(t, s.CreateClient(ctx, &bare))
		wantErr(t, link(func(l *models.ReportLink) { l.ClientID = bare.ID }), models.ErrInvalid)
		w, err := s.Workshop(ctx)
		must(t, err)
		for _, without := range []func(*models.Workshop){
			func(w *models.Workshop) { w.Phone = "" }, func(w *models.Workshop) { w.EmergencyPhone = "" },
			func(w *models.Workshop) { w.ReadsReportsAt = "" }, func(w *models.Workshop) { w.ReadsReportsOn = nil },
		} {
			less := w
			without(&less)
			must(t, s.SaveWorkshop(ctx, &less))
			wantErr(t, link(same), models.ErrInvalid)
			w.Version = less.Version
			must(t, s.SaveWorkshop(ctx, &w))
		}
		for _, without := range []func(*models.Client){
			func(c *models.Client) { c.ClinicPhone = "" }, func(c *models.Client) { c.OutOfHoursPhone = "" },
			func(c *models.Client) { c.EmergencyPhone = "" },
		} {
			less := b.client
			without(&less)
			must(t, s.UpdateClient(ctx, &less))
			wantErr(t, link(same), models.ErrInvalid)
			b.client.Version = less.Version
			must(t, s.UpdateClient(ctx, &b.client))
		}
		must(t, s.ArchiveClient(ctx, b.client.ID, b.client.Version, "moved away"))
		wantErr(t, link(same), models.ErrArchived)
	})
}

func TestReportIsContinuedByItsOwnBrowser(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		b.ready(t, s)
		b.linked(t, s, "token")
		b.linked(t, s, "other")
		begin := func(token, key, held string) models.ReportDraft {
			t.Helper()
			d, err := s.BeginReport(ctx, models.ReportStart{TokenHash: token, KeyHash: key, HeldHashes: []string{"none", held}, AddressHash: key})
			must(t, err)
			return d
		}
		first := begin("token", "one", "")
		_, err := s.SaveReportFields(ctx, first.ID, map[string]string{"text": "kept"})
		must(t, err)
		if d := begin("token", "two", "one"); d.ID != first.ID || d.KeyHash != "one" || d.Fields["text"] != "kept" {
			t.Errorf("the same browser got %+v, want the draft it has begun", d)
		}
		if d := begin("token", "three", ""); d.ID == first.ID {
			t.Error("another browser continues the draft of the first")
		}
		if d := begin("other", "four", "one"); d.ID == first.ID {
			t.Error("another link continues the draft of the first")
		}
		must(t, s.SendReport(ctx, &models.Report{DraftID: first.ID}))
		if d := begin("token", "five", "one"); d.ID == first.ID {
			t.Error("a sent draft is continued")
		}
	})
}

// TestUrgentReportsAreBoundedAgainstAbuse alone, and those with a safety answer not
// at all.
func TestUrgentReportsAreBoundedAgainstAbuse(t *testing.T) {
	s := modelstest.SQLiteAt(t, func() time.Time { return at(0) })
	b := bench(t, s, "K-001")
	b.ready(t, s)
	link := models.ReportLink{TokenHash: "token", ClientID: b.client.ID, MadeBy: b.fitter.ID, ExpiresAt: at(60), MostReports: 100}
	must(t, s.CreateReportLink(ctx, &link))
	for range models.MostUrgentADay {
		must(t, s.SendReport(ctx, &models.Report{DraftID: started(t, s, "token").ID, Urgent: true}))
	}
	last := started(t, s, "token")
	wantErr(t, s.SendReport(ctx, &models.Report{DraftID: last.ID, Urgent: true}), models.ErrTooMany)
	must(t, s.SendReport(ctx, &models.Report{DraftID: last.ID, Urgent: true, Said: models.Said{Safety: []string{"broken"}}}))
}

func TestReportsAndStartsAreBounded(t *testing.T) {
	now := at(0)
	s := modelstest.SQLiteAt(t, func() time.Time { return now })
	b := bench(t, s, "K-001")
	b.ready(t, s)
	b.linked(t, s, "token")
	b.linked(t, s, "other")
	begin := func(token, address string) error {
		_, err := s.BeginReport(ctx, models.ReportStart{TokenHash: token, KeyHash: models.NewID(), AddressHash: address})
		return err
	}
	for range models.MostStartsAMinute {
		must(t, begin("token", "here"))
	}
	wantErr(t, begin("other", "here"), models.ErrTooMany)
	must(t, begin("token", "elsewhere"))
	now = now.Add(time.Minute)
	must(t, begin("other", "here"))

	spare := started(t, s, "token")
	for range models.MostReportsADay {
		sent(t, s, "token")
	}
	must(t, begin("token", "far")) // for the safety page
	wantErr(t, s.MayReport(ctx, spare.LinkID), models.ErrTooMany)
	wantErr(t, s.SendReport(ctx, &models.Report{DraftID: spare.ID}), models.ErrTooMany)
	must(t, begin("other", "far"))
	must(t, s.SendReport(ctx, &models.Report{DraftID: started(t, s, "token").ID, Said: models.Said{Safety: []string{"broken"}}}))
	now = now.Add(24 * time.Hour)
	must(t, s.MayReport(ctx, spare.LinkID))
	must(t, s.SendReport(ctx, &models.Report{DraftID: spare.ID}))

	d := started(t, s, "other")
	_, err := s.SaveReportFields(ctx, d.ID, map[string]string{"text": string(make([]byte, 300<<10))})
	wantErr(t, err, models.ErrTooLarge)
}

func TestIdleReportKeepsWhatIsTyped(t *testing.T) {
	now := at(0)
	s := modelstest.SQLiteAt(t, func() time.Time { return now })
	b := bench(t, s, "K-001")
	b.ready(t, s)
	b.linked(t, s, "token")
	start := models.ReportStart{TokenHash: "token", KeyHash: "key", HeldHashes: []string{"key"}, AddressHash: "a"}
	d, err := s.BeginReport(ctx, start)
	must(t, err)
	save := func(text string) models.ReportDraft {
		t.Helper()
		d, err = s.SaveReportFields(ctx, d.ID, map[string]string{"text": text})
		must(t, err)
		return d
	}
	now = now.Add(models.ReportIdle)
	if d := save("in time"); d.Idle(now) || !d.TouchedAt.Equal(now) {
		t.Errorf("after an hour: %+v", d)
	}
	now = now.Add(models.ReportIdle + time.Second)
	if d := save("late"); !d.Idle(now) || d.Fields["text"] != "late" {
		t.Errorf("after more than an hour: %+v, want it idle with its text", d)
	}
	if d, err = s.BeginReport(ctx, start); err != nil || d.Idle(now) || d.Fields["text"] != "late" {
		t.Errorf("taken up again: %+v, %v", d, err)
	}
}

func TestReportOfAnothersLimbIsRefused(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		b.ready(t, s)
		b.linked(t, s, "token")
		d, other := started(t, s, "token"), limb(t, s, client(t, s, "K-002", "Another").ID)
		wantErr(t, s.SendReport(ctx, &models.Report{DraftID: d.ID, LimbID: &other.ID}), models.ErrInvalid)
		must(t, s.SendReport(ctx, &models.Report{DraftID: d.ID})) // nothing of the refused one was kept
	})
}
