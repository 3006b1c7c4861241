package server

import (
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"fairlead/analytics/quantity"
	"fairlead/models"
)

// TestTwoLinksShowTheSame: nothing of whose link it is stands on the page that a
// link opens, nor whether somebody is signed in.
func TestTwoLinksShowTheSame(t *testing.T) {
	s := newSite(t)
	s.withNumbers()
	one, two := s.Reporter("K-001", quantity.Transtibial), s.Reporter("K-002", quantity.Transradial, quantity.PartialFoot)
	page := func(b *browser, r reporter) string {
		a := b.Get(r.start())
		a.Has(t, http.StatusOK)
		return strings.ReplaceAll(a.Body, r.token, "TOKEN")
	}
	want := page(one.browser, one)
	if got := page(two.browser, two); got != want {
		t.Errorf("two clients' links show different pages:\n%s\n%s", want, got)
	}
	if got := page(s.As("kit", models.Fitter), one); got != want {
		t.Errorf("a fitter's browser shows another page:\n%s", got)
	}
}

// TestLinkWithASlash opens the same page: programs that send links on may add one.
func TestLinkWithASlash(t *testing.T) {
	r := newReporter(t)
	r.Get(r.start()+"/").Has(t, http.StatusOK, `action="`+r.start()+`/start"`)
	r.Get("/r/unknown/").Has(t, http.StatusNotFound, "This link does not work")
}

// TestNothingOfTheClientIsShown walks the whole form: no name, code or level.
func TestNothingOfTheClientIsShown(t *testing.T) {
	r := newReporter(t)
	r.client.Phone = "0777"
	pages := []answer{r.Get(r.start())}
	r.Start()
	r.Answer("safety", "now", "safety.broken", "yes")
	for _, step := range reportSteps {
		pages = append(pages, r.Get("/report/"+step.name))
	}
	pages = append(pages, r.Get("/report/check"))
	r.Post("/report/send").leads(t, "sent")
	pages = append(pages, r.Get("/report/sent"), r.Get("/report/check"), r.Get("/r/unknown"))
	for i, a := range pages {
		for _, never := range []string{"Quillon", "Featherstone", "K-001", "ranstibial", "left", r.client.ID, r.limb.ID, r.link.ID} {
			if strings.Contains(a.Body, never) {
				t.Errorf("page %d shows %q\n%s", i, never, a.Body)
			}
		}
		if i > 0 && strings.Contains(a.Body, r.token) {
			t.Errorf("page %d holds the token", i)
		}
	}
}

// TestNoTokenIsKept reads the files of the record and the log of a full run: the
// token of the link and the key of the browser stand in neither.
func TestNoTokenIsKept(t *testing.T) {
	s := newSite(t)
	path := filepath.Join(t.TempDir(), "record.db")
	s.openAt(path)
	s.withNumbers()
	r := s.Reporter("K-001", quantity.Transtibial)
	r.Start()
	r.Answer("safety", "now", "safety.broken", "yes")
	r.Answer("text", "check", "text", "planted words")
	r.Post("/report/send").leads(t, "sent")
	r.Get("/report/sent").Has(t, http.StatusOK)
	r.Get(r.start() + "x")
	r.Post(r.start()+"x/start", "text", "planted words")
	r.raw(r.at("/report/safety"), "safety=%zz")
	if err := s.store.Close(); err != nil {
		t.Fatal(err)
	}
	secrets := map[string]string{"token": r.token, "key": r.key()}
	kept := ""
	for _, name := range []string{path, path + "-wal"} {
		data, err := os.ReadFile(name)
		if err != nil && !os.IsNotExist(err) {
			t.Fatal(err)
		}
		kept += string(data)
	}
	if !strings.Contains(kept, "planted words") || !strings.Contains(s.log.String(), "/r/:token") {
		t.Fatal("the record or the log of the run was not read")
	}
	for what, secret := range secrets {
		if len(secret) < 40 {
			t.Fatalf("no %s", what)
		}
		if strings.Contains(kept, secret) {
			t.Errorf("the record holds the %s", what)
		}
		if strings.Contains(s.log.String(), secret) {
			t.Errorf("the log holds the %s\n%s", what, s.log)
		}
	}
	for _, never := range []string{"planted words", "Quillon", reportCookie} {
		if strings.Contains(s.log.String(), never) {
			t.Errorf("the log holds %q", never)
		}
	}
}

// TestLookingUsesNothingUp opens a link as programs that look at links do.
func TestLookingUsesNothingUp(t *testing.T) {
	r := newReporter(t)
	for range 100 {
		if a := r.other().Get(r.start()); a.Status != http.StatusOK || a.Header.Get("Set-Cookie") != "" {
			t.Fatalf("status %d, cookie %q", a.Status, a.Header.Get("Set-Cookie"))
		}
	}
	link, err := r.store.ReportLinkByHash(t.Context(), r.link.TokenHash)
	if err != nil || link.LastUsedAt != nil {
		t.Errorf("after 100 looks: %+v, %v; want it unused", link, err)
	}
	r.Start()
}

// TestLinksThatDoNotWorkAreAlike compares all of the answer: whoever tries a link
// does not learn whether it ever was one.
func TestLinksThatDoNotWorkAreAlike(t *testing.T) {
	s := newSite(t)
	s.withNumbers()
	revoked, expired := s.Reporter("K-001", quantity.Transtibial), s.Reporter("K-002", quantity.Transtibial)
	used, gone := s.Reporter("K-003", quantity.Transtibial), s.Reporter("K-004", quantity.Transtibial)
	if err := s.store.RevokeReportLink(t.Context(), revoked.link.ID, revoked.link.MadeBy); err != nil {
		t.Fatal(err)
	}
	for range 2 {
		for range models.MostReportsADay {
			used.Start()
			used.Answer("safety", "what", "safety.none", "yes")
			used.Post("/report/send").leads(t, "sent")
		}
		s.clock.Pass(25 * time.Hour)
	}
	if err := s.store.ArchiveClient(t.Context(), gone.client.ID, gone.client.Version, "moved away"); err != nil {
		t.Fatal(err)
	}
	s.clock.Pass(31 * 24 * time.Hour)
	fresh := s.Reporter("K-005", quantity.Transtibial)
	fresh.Get(fresh.start()).Has(t, http.StatusOK)
	want := map[string]string{}
	for name, token := range map[string]string{
		"unknown": "unknown", "of the right length": strings.Repeat("a", 43), "revoked": revoked.token, "expired": expired.token,
		"used up": used.token, "of an archived client": gone.token,
	} {
		b := s.Browser()
		for method, a := range map[string]answer{"GET": b.Get("/r/" + token), "POST": b.Post("/r/" + token + "/start")} {
			a.Has(t, http.StatusNotFound, "This link does not work", `href="tel:03011"`)
			a.Header.Del("Date")
			got := fmt.Sprint(a.Status, a.Header, a.Body)
			if want[method] == "" {
				want[method] = got
			}
			if got != want[method] {
				t.Errorf("%s of a link that is %s differs:\n%s\n%s", method, name, got, want[method])
			}
		}
	}
}

func TestStartsAreBounded(t *testing.T) {
	r := newReporter(t)
	for range models.MostStartsAMinute {
		r.other().Start()
	}
	a := r.other().Post(r.start() + "/start")
	a.Has(t, http.StatusTooManyRequests, "Please wait one minute", "030 11")
	if a.Header.Get("Retry-After") != "60" || a.Header.Get("Set-Cookie") != "" {
		t.Errorf("headers %v", a.Header)
	}
	r.clock.Pass(time.Minute)
	for range models.MostReportsADay {
		r.Start()
		r.Answer("safety", "what", "safety.none", "yes")
		r.Post("/report/send").leads(t, "sent")
	}
	r.Start()
	r.Post("/report/safety", "safety.none", "yes").Has(t, http.StatusTooManyRequests, "try again tomorrow")
}

// TestGuessingLinksIsSlowed: per address, and told of once an hour.
func TestGuessingLinksIsSlowed(t *testing.T) {
	r := newReporter(t)
	for i := range mostMisses {
		r.Get(fmt.Sprintf("/r/guess-%d", i)).Has(t, http.StatusNotFound)
	}
	a := r.Get("/r/guess")
	a.Has(t, http.StatusTooManyRequests, "Please wait a while", "030 11")
	if a.Header.Get("Retry-After") != "3600" {
		t.Errorf("headers %v", a.Header)
	}
	r.Post("/r/guess/start").Has(t, http.StatusTooManyRequests)
	warning := "many links for reports that don't work"
	if n := strings.Count(r.log.String(), warning); n != 1 {
		t.Errorf("%d warnings, want 1", n)
	}
	r.clock.Pass(time.Hour + time.Second)
	r.Start()
	for i := range mostMisses {
		r.Get(fmt.Sprintf("/r/guess-%d", i))
	}
	if n := strings.Count(r.log.String(), warning); n != 2 {
		t.Errorf("%d warnings an hour later, want 2", n)
	}
}

func TestHeadersOfTheForm(t *testing.T) {
	r := newReporter(t)
	answers := []answer{r.Get(r.start()), r.Get("/r/unknown"), r.Get("/report/safety")}
	start := r.Post(r.start() + "/start")
	answers = append(answers, start, r.Get("/report/safety"), r.Get("/report/nothing"), r.Post("/report/safety"))
	for i, a := range answers {
		for header, want := range map[string]string{
			"Referrer-Policy": "no-referrer", "Cache-Control": "no-store", "X-Robots-Tag": "noindex, nofollow", "Content-Security-Policy": contentPolicy,
		} {
			if got := a.Header.Get(header); got != want {
				t.Errorf("answer %d: %s is %q, want %q", i, header, got, want)
			}
		}
		for _, m := range href.FindAllStringSubmatch(a.Body, -1) {
			if !strings.HasPrefix(m[1], "/static/") && !strings.HasPrefix(m[1], "/report/") {
				t.Errorf("answer %d leads to %s", i, m[1])
			}
		}
		if strings.Contains(a.Body, "http:") || strings.Contains(a.Body, "https:") {
			t.Errorf("answer %d names another site", i)
		}
	}
	cookie := start.Header.Get("Set-Cookie")
	for _, want := range []string{"__Host-fairlead-report-" + r.form() + "=", "Path=/", "HttpOnly", "Secure", "SameSite=Strict", "Max-Age=86400"} {
		if !strings.Contains(cookie, want) {
			t.Errorf("the cookie %q lacks %q", cookie, want)
		}
	}
	r.Get("/robots.txt").Has(t, http.StatusOK, "User-agent: *\nDisallow: /r/\nDisallow: /report/\n")
	for _, path := range []string{r.start() + "/start", "/report/safety"} {
		a := r.foreign(r.at(path))
		a.Has(t, http.StatusForbidden)
		a.Lacks(t, "tel:") // what comes from elsewhere is no client
	}
}

// TestOldPhonesCanStart: a browser of before 2023 may send no Sec-Fetch-Site and,
// because no page of ours may be named to others, no origin but "null".
func TestOldPhonesCanStart(t *testing.T) {
	r := newReporter(t)
	tests := []struct {
		name, path string
		headers    map[string]string
		want       int
	}{
		{"an old phone", r.start() + "/start", map[string]string{"Origin": "null"}, http.StatusSeeOther},
		{"another site", r.start() + "/start", map[string]string{"Origin": "https://elsewhere.example"}, http.StatusForbidden},
		{"another site's hidden frame", r.start() + "/start", map[string]string{"Origin": "null", "Sec-Fetch-Site": "cross-site"}, http.StatusForbidden},
		{"not the form", "/sign-in", map[string]string{"Origin": "null"}, http.StatusForbidden},
	}
	for _, tt := range tests {
		req, err := http.NewRequest(http.MethodPost, r.URL+tt.path, nil)
		if err != nil {
			t.Fatal(err)
		}
		for header, value := range tt.headers {
			req.Header.Set(header, value)
		}
		if a := r.do(req); a.Status != tt.want {
			t.Errorf("%s: status %d, want %d", tt.name, a.Status, tt.want)
		}
	}
}
