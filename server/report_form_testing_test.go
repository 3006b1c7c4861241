package server

import (
	"context"
	"errors"
	"log/slog"
	"net/http"
	"strings"
	"testing"
	"time"

	"fairlead/analytics/quantity"
	"fairlead/models"
)

// reporter is a client who has been given a link, at a browser of their own.
type reporter struct {
	*browser
	t      *testing.T
	client models.Client
	limb   models.Limb
	link   models.ReportLink
	token  string
}

// start is the address of the link.
func (r reporter) start() string { return "/r/" + r.token }

// withNumbers gives the workshop what a link needs.
func (s *site) withNumbers() {
	s.t.Helper()
	w, err := s.store.Workshop(context.Background())
	if err != nil {
		s.t.Fatal(err)
	}
	w.Phone, w.EmergencyPhone, w.ReadsReportsAt = "030 11", "112", "08:00"
	w.ReadsReportsOn = []string{"monday", "tuesday", "wednesday", "thursday", "friday"}
	if err := s.store.SaveWorkshop(context.Background(), &w); err != nil {
		s.t.Fatal(err)
	}
}

// openAt serves the site from a record in a file.
func (s *site) openAt(path string) {
	s.t.Helper()
	store, err := models.OpenSQLite(context.Background(), path, s.clock.Now, slog.New(slog.NewTextHandler(s.log, nil)))
	if err != nil {
		s.t.Fatal(err)
	}
	s.t.Cleanup(func() { _ = store.Close() })
	w := models.Workshop{Name: "Invented workshop", Zone: "Europe/Berlin"}
	if err := store.SaveWorkshop(context.Background(), &w); err != nil {
		s.t.Fatal(err)
	}
	s.store = store
	s.serve()
}

// Reporter adds a client with limbs of the levels, the first on the left, and a
// link for them.
func (s *site) Reporter(code string, levels ...quantity.AmputationLevel) reporter {
	s.t.Helper()
	ctx := context.Background()
	must := func(err error) {
		s.t.Helper()
		if err != nil {
			s.t.Fatal(err)
		}
	}
	r := reporter{browser: s.Browser(), t: s.t, token: hashKey("a token of", code)}
	r.client = models.Client{
		Code: code, Name: "Quillon Featherstone " + code, ClinicPhone: "0301 22", OutOfHoursPhone: "0301 33", EmergencyPhone: "112",
	}
	must(s.store.CreateClient(ctx, &r.client))
	for i, level := range levels {
		r.limb = models.Limb{ClientID: r.client.ID, Side: quantity.Sides[i%2], Level: level, Origin: models.Amputation}
		must(s.store.CreateLimb(ctx, &r.limb))
	}
	maker := s.Person("maker"+strings.ToLower(code), models.Fitter)
	r.link = models.ReportLink{
		TokenHash: tokenHash(r.token), ClientID: r.client.ID, MadeBy: maker.ID, ExpiresAt: s.clock.Now().Add(30 * 24 * time.Hour),
		MostReports: 10,
	}
	must(s.store.CreateReportLink(ctx, &r.link))
	return r
}

// newReporter is a reporter with one left transtibial limb, on a site that is
// ready for reports.
func newReporter(t *testing.T) reporter {
	t.Helper()
	s := newSite(t)
	s.withNumbers()
	return s.Reporter("K-001", quantity.Transtibial)
}

// Start opens the link and presses the button.
func (r reporter) Start() {
	r.t.Helper()
	r.Get(r.start()).Has(r.t, http.StatusOK, "Start")
	r.Post(r.start()+"/start").leads(r.t, "safety")
}

// leads fails the test unless the answer goes on to a page of the form.
func (a answer) leads(t *testing.T, step string) {
	t.Helper()
	if a.Status != http.StatusSeeOther || a.Location != "/report/"+step {
		t.Fatalf("status %d to %q, want 303 to /report/%s\n%s", a.Status, a.Location, step, a.Body)
	}
}

// Answer sends a page of the form and checks where it leads.
func (r reporter) Answer(step, next string, pairs ...string) {
	r.t.Helper()
	r.Post("/report/"+step, pairs...).leads(r.t, next)
}

// reports are the reports that have arrived of the client.
func (r reporter) reports() []models.Report {
	r.t.Helper()
	reports, err := r.store.ReportsOf(context.Background(), r.client.ID)
	if err != nil {
		r.t.Fatal(err)
	}
	return reports
}

// form is the newest form of the link that the browser holds the key of, or "none".
func (r reporter) form() string {
	newest := "none"
	for _, cookie := range r.http.Jar.Cookies(mustURL(r.t, r.URL)) {
		form, ok := strings.CutPrefix(cookie.Name, reportCookie+"-")
		if !ok || form < newest && newest != "none" {
			continue
		}
		_, link, err := r.store.ReportDraftByKey(context.Background(), tokenHash(cookie.Value))
		if err == nil && link.ID == r.link.ID || err != nil && !errors.Is(err, models.ErrNotFound) {
			newest = form
		}
	}
	return newest
}

// key is the key of that form, or "".
func (r reporter) key() string {
	for _, cookie := range r.http.Jar.Cookies(mustURL(r.t, r.URL)) {
		if cookie.Name == reportCookie+"-"+r.form() {
			return cookie.Value
		}
	}
	return ""
}

// at is where a page of that form is, which a test names without the form.
func (r reporter) at(path string) string {
	if page, ok := strings.CutPrefix(path, "/report/"); ok {
		return "/report/" + r.form() + "/" + page
	}
	return path
}

// named names the pages of the form in an answer as a test does.
func (r reporter) named(a answer) answer {
	pages := "/report/" + r.form() + "/"
	a.Body, a.Location = strings.ReplaceAll(a.Body, pages, "/report/"), strings.ReplaceAll(a.Location, pages, "/report/")
	return a
}

// Get fetches a page of the form, or any other.
func (r reporter) Get(path string) answer {
	r.t.Helper()
	return r.named(r.browser.Get(r.at(path)))
}

// Post sends what is typed on a page of the form, or any other.
func (r reporter) Post(path string, pairs ...string) answer {
	r.t.Helper()
	return r.named(r.browser.Post(r.at(path), pairs...))
}

// other is the same client at another browser.
func (r reporter) other() reporter {
	r.browser = r.Browser()
	return r
}

// withKey gives another browser a key.
func (r reporter) withKey(key string) reporter {
	r = r.other()
	r.http.Jar.SetCookies(mustURL(r.t, r.URL), []*http.Cookie{{Name: reportCookie + "-none", Value: key, Path: "/", Secure: true}})
	return r
}
