package server

import (
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"

	"fairlead/analytics/quantity"
	"fairlead/models"
)

// sentAlong is the form that a page sends along.
func sentAlong(t *testing.T, a answer) string {
	t.Helper()
	form := a.hidden().Get("form")
	if form == "" {
		t.Fatalf("the page sends no form along\n%s", a.Body)
	}
	return form
}

// TestTwoLinksInOneBrowser: what a page of one link sends after another was started
// in the same browser goes nowhere, and nobody is told that it was sent.
func TestTwoLinksInOneBrowser(t *testing.T) {
	s := newSite(t)
	s.withNumbers()
	one, two := s.Reporter("K-001", quantity.Transtibial), s.Reporter("K-002", quantity.Transtibial)
	two.browser = one.browser
	one.Start()
	one.Answer("safety", "now", "safety.breathless", "yes")
	first := sentAlong(t, one.Get("/report/text"))
	two.Start()
	two.Answer("safety", "what", "safety.none", "yes")
	other := func(a answer) {
		t.Helper()
		a.Has(t, http.StatusConflict, "Another form was opened in this browser", "Nothing was sent. Open your link again.", "tel:112", "tel:03011")
		a.Lacks(t, "tel:030122")
	}
	send := func(path string, pairs ...string) answer {
		return one.browser.Post(path, append(pairs, "form", first)...)
	}
	other(send("/report/text", "text", "of the first"))
	other(send("/report/send", "from", "now", "cannot-phone", "yes"))
	other(send("/report/keep"))
	other(one.browser.Post("/report/text", "text", "of nobody"))
	two.Post("/report/send").leads(t, "sent")
	other(send("/report/send"))
	if got := two.reports(); len(got) != 1 || got[0].Said.Text != "" || got[0].Said.CannotPhone {
		t.Errorf("reports of the second %+v, want one without a word of the first", got)
	}
	if got := one.reports(); len(got) != 0 {
		t.Errorf("reports of the first %+v, want none", got)
	}
}

// TestEveryPageSendsItsForm along, and none of them the key.
func TestEveryPageSendsItsForm(t *testing.T) {
	s := newSite(t)
	s.withNumbers()
	r := s.Reporter("K-001", quantity.Transtibial, quantity.Transradial)
	r.Start()
	r.Answer("safety", "now", "safety.broken", "yes")
	want := sentAlong(t, r.Get("/report/check"))
	for _, step := range reportSteps {
		a := r.Get("/report/" + step.name)
		if got := sentAlong(t, a); got != want || strings.Contains(a.Body, r.key()) {
			t.Errorf("%s: form %q, want %q and not the key", step.name, got, want)
		}
		if !strings.Contains(a.Body, `data-form="`+want+`"`) {
			t.Errorf("%s: the page's script does not see its form", step.name)
		}
	}
}

// TestEndsCarryNumbers: no end of the form leaves anybody without the number for
// an emergency, nor whoever ticked a sign without the client's own three.
func TestEndsCarryNumbers(t *testing.T) {
	workshops, clients := []string{"03011", "112"}, []string{"113", "030133", "030122"}
	tests := []struct {
		name  string
		end   func(r reporter) answer
		first func(r reporter)
	}{
		{"revoked", func(r reporter) answer { return r.Post("/report/text", "text", "x") }, func(r reporter) {
			if err := r.store.RevokeReportLink(r.t.Context(), r.link.ID, r.link.MadeBy); err != nil {
				r.t.Fatal(err)
			}
		}},
		{"idle", func(r reporter) answer { return r.Get("/report/text") }, func(r reporter) { r.clock.Pass(61 * time.Minute) }},
		{"unknown", func(r reporter) answer { return r.Get("/r/unknown") }, func(reporter) {}},
		{"too many starts", func(r reporter) answer { return r.Post(r.start() + "/start") }, func(r reporter) {
			for range models.MostStartsAMinute {
				r.other().Post(r.start() + "/start")
			}
			if err := r.store.SendReport(r.t.Context(), &models.Report{DraftID: r.form(), Said: models.Said{Safety: []string{"broken"}}}); err != nil {
				r.t.Fatal(err)
			}
		}},
		{"no such page", func(r reporter) answer { return r.Get("/report/nothing") }, func(reporter) {}},
		{"no such page below", func(r reporter) answer { return r.Get("/report/safety/nothing") }, func(reporter) {}},
		{"unreadable", func(r reporter) answer { return r.raw("/report/safety", "safety=%zz") }, func(reporter) {}},
	}
	for _, tt := range tests {
		for _, sign := range []string{"breathless", "none"} {
			r := newReporter(t)
			r.client.EmergencyPhone = "113"
			if err := r.store.UpdateClient(t.Context(), &r.client); err != nil {
				t.Fatal(err)
			}
			r.Start()
			r.Post("/report/safety", "safety."+sign, "yes")
			tt.first(r)
			a := tt.end(r)
			main, _, found := strings.Cut(a.Body, "<footer")
			want := workshops
			if sign == "breathless" {
				want = clients
			}
			if got := tels(main); a.Status < 400 || !found || !slices.Equal(got, want) {
				t.Errorf("%s with %s: status %d offers %v, want %v", tt.name, sign, a.Status, got, want)
			}
		}
	}
}

// TestFaultOfOursCarriesNumbers closes the record under the form.
func TestFaultOfOursCarriesNumbers(t *testing.T) {
	r := newReporter(t)
	r.Start()
	if err := r.store.Close(); err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{"/report/safety", r.start()} {
		r.Get(path).Has(t, http.StatusInternalServerError, "Something went wrong on our side", "your local emergency number")
	}
}

// TestIdleReportSaysThatItWasNotSent, and is still sent by whoever ticked a sign.
func TestIdleReportSaysThatItWasNotSent(t *testing.T) {
	r := newReporter(t)
	r.Start()
	r.Answer("safety", "now", "safety.breathless", "yes")
	r.clock.Pass(61 * time.Minute)
	r.Get("/report/now").Has(t, http.StatusGone, "<h1>Nothing has been sent yet.", "tel:030133")
	r.Post("/report/send", "from", "now", "cannot-phone", "yes").leads(t, "sent")
	if got := r.reports(); len(got) != 1 || !got[0].Said.CannotPhone || r.flagsNow() == 0 {
		t.Errorf("reports %+v and %d flags", got, r.flagsNow())
	}
}

// TestSentThenRevoked keeps the number of the report, and the client's numbers no
// longer.
func TestSentThenRevoked(t *testing.T) {
	r := newReporter(t)
	r.Start()
	r.Answer("safety", "now", "safety.breathless", "yes")
	r.Post("/report/send", "from", "now").leads(t, "sent")
	number := r.reports()[0].Number
	r.Get("/report/sent").Has(t, http.StatusOK, number, "tel:030122")
	if err := r.store.RevokeReportLink(t.Context(), r.link.ID, r.link.MadeBy); err != nil {
		t.Fatal(err)
	}
	for path, status := range map[string]int{"/report/sent": http.StatusOK, "/report/text": http.StatusGone, "/r/unknown": http.StatusNotFound} {
		a := r.Get(path)
		a.Has(t, status, "tel:112", "tel:03011")
		a.Lacks(t, "tel:030122")
		a.Lacks(t, "tel:030133")
		if path == "/report/sent" {
			a.Has(t, status, number)
		}
	}
}
