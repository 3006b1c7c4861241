package server

import (
	"fmt"
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"

	"fairlead/analytics/quantity"
	"fairlead/models"
)

// TestTwoLinksInOneBrowser: a couple report by one phone. Each window stays with its
// own form, whatever is started, typed or sent in the other.
func TestTwoLinksInOneBrowser(t *testing.T) {
	s := newSite(t)
	s.withNumbers()
	one, two := s.Reporter("K-001", quantity.Transtibial), s.Reporter("K-002", quantity.Transradial)
	two.browser = one.browser
	one.Start()
	one.Answer("safety", "now", "safety.breathless", "yes")
	two.Start()
	two.Answer("safety", "what", "safety.none", "yes")
	if one.form() == two.form() || one.key() == two.key() {
		t.Fatalf("forms %s and %s, keys %s and %s", one.form(), two.form(), one.key(), two.key())
	}
	one.Get("/report/now").Has(t, http.StatusOK, "Short of breath")
	one.Answer("text", "check", "text", "of the first")
	two.Answer("text", "check", "text", "of the second")
	for range 2 { // reloaded
		check := one.Get("/report/check")
		check.Has(t, http.StatusOK, "of the first", "Short of breath", `href="/report/what?from=check"`)
		check.Lacks(t, "of the second")
		check = two.Get("/report/check")
		check.Has(t, http.StatusOK, "of the second")
		check.Lacks(t, "of the first")
	}
	one.Get("/report/nothing").Has(t, http.StatusNotFound, "tel:030122")
	two.Get("/report/nothing").Lacks(t, "tel:030122")
	two.Post("/report/send").leads(t, "sent")
	one.Post("/report/keep").Has(t, http.StatusNoContent)
	one.Post("/report/send", "from", "now", "cannot-phone", "yes").leads(t, "sent")
	first, second := one.reports(), two.reports()
	if len(first) != 1 || len(second) != 1 || first[0].Said.Text != "of the first" || second[0].Said.Text != "of the second" || second[0].Said.CannotPhone {
		t.Fatalf("reports %+v and %+v", first, second)
	}
	one.Get("/report/sent").Has(t, http.StatusOK, first[0].Number)
	two.Get("/report/sent").Has(t, http.StatusOK, second[0].Number)

	// a window also stays with what it sent when the same link starts another
	sent := one.at("/report/sent")
	one.Start()
	if one.at("/report/sent") == sent {
		t.Fatal("the report that was sent is typed at again")
	}
	one.browser.Get(sent).Has(t, http.StatusOK, first[0].Number)
	one.Get("/report/sent").leads(t, "check")
}

// TestFormNeedsItsKey: the id in the address opens nothing alone, nor by the key of
// another form.
func TestFormNeedsItsKey(t *testing.T) {
	s := newSite(t)
	s.withNumbers()
	one, two := s.Reporter("K-001", quantity.Transtibial), s.Reporter("K-002", quantity.Transtibial)
	one.Start()
	one.Answer("safety", "now", "safety.breathless", "yes")
	two.Start()
	path := one.at("/report/now")
	two.http.Jar.SetCookies(mustURL(t, s.URL), []*http.Cookie{{Name: reportCookie + "-" + one.form(), Value: two.key(), Path: "/", Secure: true}})
	for name, b := range map[string]*browser{"no key": s.Browser(), "another key": two.browser} {
		for _, a := range []answer{b.Get(path), b.Post(path, "cannot-phone", "yes"), b.Post(one.at("/report/send")), b.Post(one.at("/report/keep")), b.Get(one.at("/report/sent"))} {
			a.Has(t, http.StatusGone, "This browser has no open form")
			a.Lacks(t, "tel:030122")
		}
		if n := len(one.reports()); n > 0 {
			t.Errorf("%s: %d reports", name, n)
		}
	}
}

// TestBrowserForgetsTheOldestForms so that what it sends along stays small.
func TestBrowserForgetsTheOldestForms(t *testing.T) {
	r := newReporter(t)
	r.Start()
	first := r.at("/report/safety")
	for i := range mostHeldReports {
		r.http.Jar.SetCookies(mustURL(t, r.URL), []*http.Cookie{{Name: fmt.Sprintf("%s-z%02d", reportCookie, i), Value: "key", Path: "/", Secure: true}})
	}
	other := r.Reporter("K-002", quantity.Transtibial)
	other.browser = r.browser
	other.Start()
	held := 0
	for _, cookie := range r.http.Jar.Cookies(mustURL(t, r.URL)) {
		if strings.HasPrefix(cookie.Name, reportCookie) {
			held++
		}
	}
	if held != mostHeldReports {
		t.Errorf("%d forms are held, want %d", held, mostHeldReports)
	}
	r.browser.Get(first).Has(t, http.StatusGone, "This browser has no open form")
	other.Get("/report/safety").Has(t, http.StatusOK)
}

// TestNoPageShowsTheKey, and the page's script sees its form.
func TestNoPageShowsTheKey(t *testing.T) {
	s := newSite(t)
	s.withNumbers()
	r := s.Reporter("K-001", quantity.Transtibial, quantity.Transradial)
	r.Start()
	r.Answer("safety", "now", "safety.broken", "yes")
	for _, step := range append(slices.Clone(reportSteps), reportStep{name: "check"}) {
		a := r.browser.Get(r.at("/report/" + step.name))
		a.Has(t, http.StatusOK, `data-pages="/report/`+r.form()+`/"`)
		a.Lacks(t, r.key())
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
		{"unreadable", func(r reporter) answer { return r.raw(r.at("/report/safety"), "safety=%zz") }, func(reporter) {}},
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
