package server

import (
	"io"
	"log/slog"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"fairlead/models"
	"github.com/gin-gonic/gin"
)

// discard is a log that nobody reads.
var discard = slog.New(slog.NewTextHandler(io.Discard, nil))

func mustURL(t *testing.T, text string) *url.URL {
	t.Helper()
	u, err := url.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	return u
}

func TestHeadersOnEveryAnswer(t *testing.T) {
	site := newSite(t)
	b := site.As("heath", models.Owner)
	answers := map[string]answer{
		"a page":                b.Get("/setup"),
		"an address of nothing": b.Get("/nothing/here"),
		"a method not taken":    b.Post("/setup"),
		"a missing asset":       b.Get("/static/nothing.css"),
		"a refusal":             site.Browser().Post("/setup/people"),
		"a redirect":            site.Browser().Get("/setup"),
	}
	want := map[string]string{
		"X-Content-Type-Options": "nosniff", "Referrer-Policy": "no-referrer", "Content-Security-Policy": contentPolicy,
	}
	for name, a := range answers {
		for header, value := range want {
			if got := a.Header.Get(header); got != value {
				t.Errorf("%s: %s = %q, want %q", name, header, got, value)
			}
		}
		if !strings.Contains(a.Header.Get("Strict-Transport-Security"), "max-age=31536000") {
			t.Errorf("%s: no Strict-Transport-Security", name)
		}
		if a.Header.Get("Access-Control-Allow-Origin") != "" {
			t.Errorf("%s: answers foreign origins", name)
		}
	}
	if a := answers["an address of nothing"]; a.Status != http.StatusNotFound || !strings.Contains(a.Body, "nothing at this address") {
		t.Errorf("an address of nothing: status %d\n%s", a.Status, a.Body)
	}
	if a := answers["a method not taken"]; a.Status != http.StatusMethodNotAllowed {
		t.Errorf("a method not taken: status %d, want 405", a.Status)
	}
}

// A page is kept by no cache: it may hold a name, a link's token in its address
// or what was typed.
func TestNoPageIsKept(t *testing.T) {
	site := newSite(t)
	b, nobody := site.As("heath", models.Owner), site.Browser()
	for name, a := range map[string]answer{
		"a page":                         b.Get("/setup"),
		"the sign-in page":               nobody.Get("/sign-in"),
		"a refused sign-in":              nobody.Post("/sign-in", "name", "x", "password", "x"),
		"the page to choose a password":  nobody.Get(startFresh(t, site)),
		"a link that is gone":            nobody.Get("/welcome/nothing"),
		"an address of nothing":          nobody.Get("/nothing/here"),
		"a method not taken":             nobody.Post("/up"),
		"a request of nobody signed in":  nobody.Post("/setup/people"),
		"a request that is not theirs":   b.Get("/clients/new"),
		"a form that can't be read":      b.raw("/setup/workshop", "name=%zz"),
		"more than is taken":             b.Post("/setup/workshop", "name", strings.Repeat("x", maxBody)),
		"a request from another address": b.foreign("/setup/workshop"),
	} {
		if got := a.Header.Get("Cache-Control"); !strings.Contains(got, "no-store") {
			t.Errorf("%s: status %d, Cache-Control %q, want no-store", name, a.Status, got)
		}
	}
}

// raw sends a form as it stands.
func (b *browser) raw(path, body string) answer {
	b.t.Helper()
	req, err := http.NewRequest(http.MethodPost, b.URL+path, strings.NewReader(body))
	if err != nil {
		b.t.Fatal(err)
	}
	req.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	return b.do(req)
}

// foreign sends a form from a page of another site.
func (b *browser) foreign(path string) answer {
	b.t.Helper()
	req, err := http.NewRequest(http.MethodPost, b.URL+path, nil)
	if err != nil {
		b.t.Fatal(err)
	}
	req.Header.Set("Sec-Fetch-Site", "cross-site")
	return b.do(req)
}

func TestMalformedFormIsRefused(t *testing.T) {
	site := newSite(t)
	b := site.As("heath", models.Owner)
	for _, path := range []string{"/setup/workshop", "/preferences", "/preferences/password", "/sign-in"} {
		b.raw(path, "name=a%zzprivate").Has(t, http.StatusBadRequest, "could not be read", "send it again")
	}
	if strings.Contains(site.log.String(), "zz") || strings.Contains(site.log.String(), "level=ERROR") {
		t.Errorf("the log holds what was sent, or calls it a fault of ours:\n%s", site.log)
	}
}

func TestContentPolicyAllowsOnlyOurOwn(t *testing.T) {
	for _, never := range []string{"unsafe", "*", "http:", "https:"} {
		if strings.Contains(contentPolicy, never) {
			t.Errorf("the content policy holds %q: %s", never, contentPolicy)
		}
	}
	for _, needed := range []string{"default-src 'none'", "frame-ancestors 'none'", "base-uri 'none'", "form-action 'self'", "object-src 'none'"} {
		if !strings.Contains(contentPolicy, needed) {
			t.Errorf("the content policy lacks %q", needed)
		}
	}
}

func TestTooMuchToSend(t *testing.T) {
	site := newSite(t)
	b := site.As("heath", models.Owner)
	b.Post("/setup/workshop", "name", strings.Repeat("x", maxBody)).Has(t, http.StatusRequestEntityTooLarge, "too much to send")
}

func TestPanicIsAPageAndALogLine(t *testing.T) {
	site := newSite(t)
	srv, err := newServer(Deps{Store: site.store, Now: site.clock.Now, Log: slog.New(slog.NewTextHandler(site.log, nil)), Password: &cheapPassword})
	if err != nil {
		t.Fatal(err)
	}
	srv.routes = append(srv.routes, route{http.MethodGet, "/panic", openDoor, func(*gin.Context) error { panic("a planted secret") }})
	handler, err := srv.handler()
	if err != nil {
		t.Fatal(err)
	}
	site.Config.Handler = handler
	a := site.Browser().Get("/panic")
	a.Has(t, http.StatusInternalServerError, "Something went wrong on our side", "Reference")
	if strings.Contains(a.Body, "planted secret") {
		t.Error("the page shows what went wrong inside")
	}
	if !strings.Contains(site.log.String(), "planted secret") {
		t.Error("the log doesn't hold the cause")
	}
}
