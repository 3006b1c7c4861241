package server

import (
	"net/http"
	"strings"
	"testing"

	"fairlead/models"
	"fairlead/server/followup"
)

// report sends what a client said, as by a private link.
func (s *site) report(client benchClient, said models.Said) models.Report {
	s.t.Helper()
	ctx := s.t.Context()
	s.ready(client.Client)
	kit, err := s.store.PersonBySignIn(ctx, "kit")
	if err != nil {
		s.t.Fatal(err)
	}
	link, path := NewReportLink(client.ID, kit.ID, s.clock.Now())
	if err := s.store.CreateReportLink(ctx, &link); err != nil {
		s.t.Fatal(err)
	}
	draft, err := s.store.BeginReport(ctx, models.ReportStart{
		TokenHash: tokenHash(strings.TrimPrefix(path, "/r/")), KeyHash: models.NewID(), AddressHash: models.NewID(),
	})
	if err != nil {
		s.t.Fatal(err)
	}
	r, err := followup.ReceiveReport(ctx, s.store, s.clock.Now(), models.Report{DraftID: draft.ID, LimbID: &client.Limb.ID, Said: said}, func(err error) { s.t.Error(err) })
	if err != nil {
		s.t.Fatal(err)
	}
	return r
}

// TestReportIsReadInside shows what a client sent, the safety page first, and
// notes who has read it: the flags are seen with it and stay open.
func TestReportIsReadInside(t *testing.T) {
	site := newSite(t)
	client, other := site.BenchClient("K-014"), site.BenchClient("K-015")
	b := site.As("kit", models.Fitter)
	b.Get("/clients/"+client.ID).Has(t, http.StatusOK, "What did the client say", "No report has come through")
	text := "It <b>rubs</b>\nسلام 🙂"
	r := site.report(client, models.Said{
		Safety: []string{"open-skin", "not-sure"}, CannotPhone: true, What: []string{"rub"}, Areas: []string{"calf.posterior"},
		Since: "week", Bother: new(7), Wearing: "less", ComfortAverage: new(3), PainWorst: new(5), Looseness: new(-3),
		Skin: []string{"redness-stays"}, Text: text,
	})
	path := reportPath(client.ID, r.ID)
	b.Get("/clients/"+client.ID).Has(t, http.StatusOK, `href="`+path+`"`, "not read yet",
		"On the safety page: open or bleeding skin and not sure.", "One report through a private link. One has not been read yet.")
	page := b.Get(path)
	page.Has(t, http.StatusOK, "reference number "+r.Number, "who sent it is not confirmed", "<b>Open or bleeding skin</b>", "<b>Not sure</b>",
		"The client says that they can&#39;t phone.", "Rubbing", "Calf, posterior", "For about a week", "7 of 10", "3 of 10", "Less than usual",
		"−3 (−5 too loose, 0 just right", "Redness that stays", "It &lt;b&gt;rubs&lt;/b&gt;\nسلام 🙂", "not read yet", "I have read this report",
		"Ticked by the client on the safety page", "The client reports a fit that is loose")
	if safety, said := strings.Index(page.Body, "Open or bleeding skin"), strings.Index(page.Body, "For about a week"); safety < 0 || safety > said {
		t.Error("the safety page does not come first")
	}
	if n := unseen(t, site, client.ID); n != 1 {
		t.Errorf("%d flags of level now are unseen, want 1", n)
	}
	b.Get("/clients/"+other.ID+"/reports/"+r.ID).Has(t, http.StatusNotFound)
	b.Post("/clients/"+other.ID+"/reports/"+r.ID+"/seen").Has(t, http.StatusNotFound)

	b.Post(path+"/seen").Has(t, http.StatusSeeOther)
	page = b.Get(path)
	page.Has(t, http.StatusOK, "Noted: you have read this report.", "Read by Kit, ")
	page.Lacks(t, "I have read this report<")
	if n := unseen(t, site, client.ID); n != 0 {
		t.Errorf("%d flags of level now are unseen after the report was read", n)
	}
	flags, err := site.store.FlagsOf(t.Context(), client.ID)
	if err != nil || len(flags) < 4 {
		t.Fatalf("%d flags, %v", len(flags), err)
	}
	for _, f := range flags {
		if f.ClosedAt != nil {
			t.Errorf("reading closed the flag %s", f.Rule)
		}
	}
	seen, err := site.store.ReportByID(t.Context(), r.ID)
	site.As("wren", models.Fitter).Post(path+"/seen").Has(t, http.StatusSeeOther)
	if again, err2 := site.store.ReportByID(t.Context(), r.ID); err != nil || err2 != nil || *again.SeenBy != *seen.SeenBy {
		t.Errorf("read again by another: %+v, %v, %v; want the first", again, err, err2)
	}
}

// TestReportOfAnArchivedClient can be read, and nothing of it changes.
func TestReportOfAnArchivedClient(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-014")
	b := site.As("kit", models.Fitter)
	r := site.report(client, models.Said{What: []string{"other"}, Text: "hello"})
	now, err := site.store.ClientByID(t.Context(), client.ID)
	if err != nil {
		t.Fatal(err)
	}
	if err := site.store.ArchiveClient(t.Context(), client.ID, now.Version, "moved away"); err != nil {
		t.Fatal(err)
	}
	path := reportPath(client.ID, r.ID)
	b.Get(path).Lacks(t, "I have read this report<")
	b.Post(path+"/seen").Has(t, http.StatusConflict)
	if got, err := site.store.ReportByID(t.Context(), r.ID); err != nil || got.SeenAt != nil {
		t.Errorf("report %+v, %v; want it unseen", got, err)
	}
	b.Post("/clients/"+client.ID+"/links", "days", "30", "most", "10").Has(t, http.StatusConflict, "This client is archived", `value="30"`)
}

// unseen counts the client's open flags of level now that nobody has seen.
func unseen(t *testing.T, site *site, clientID string) int {
	t.Helper()
	flags, err := site.store.FlagsOf(t.Context(), clientID)
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, f := range flags {
		if f.Level == "now" && f.ClosedAt == nil && f.SeenAt == nil {
			n++
		}
	}
	return n
}
