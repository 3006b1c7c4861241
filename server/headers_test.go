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
