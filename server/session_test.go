package server

import (
	"log/slog"
	"net/http"
	"regexp"
	"strings"
	"testing"

	"fairlead/models"
	"fairlead/models/modelstest"
)

// signedOut tells whether a browser is sent to the sign-in page.
func signedOut(b *browser) bool {
	a := b.Get("/preferences")
	return a.Status == http.StatusSeeOther && strings.HasPrefix(a.Location, "/sign-in")
}

// again signs the same person in at another browser.
func (s *site) again(signIn string) *browser {
	s.t.Helper()
	b := s.Browser()
	b.Post("/sign-in", "name", signIn, "password", testPassword).Has(s.t, http.StatusSeeOther)
	return b
}

func TestPasswordChangeEndsOtherSessions(t *testing.T) {
	site := newSite(t)
	here := site.As("rill", models.Fitter)
	elsewhere, other := site.again("rill"), site.As("moss", models.Fitter)
	here.Post("/preferences/password", "present_password", testPassword, "password", testPassword+"!", "again", testPassword+"!").
		Has(t, http.StatusSeeOther)
	if !signedOut(elsewhere) {
		t.Error("a session of before the change goes on")
	}
	if signedOut(here) || signedOut(other) {
		t.Error("the change ended the session it was made in, or another person's")
	}
}

var linkPath = regexp.MustCompile(`/welcome/[A-Z0-9]+`)

// newLink has an owner make a link for a person and returns its path.
func newLink(t *testing.T, owner *browser, personID string) string {
	t.Helper()
	a := owner.Post("/setup/people/" + personID + "/link")
	a.Has(t, http.StatusOK, "The link is shown this once")
	return linkPath.FindString(a.Body)
}

func TestPasswordResetEndsSessionsAndLinks(t *testing.T) {
	site := newSite(t)
	owner, thief := site.As("heath", models.Owner), site.As("rill", models.Fitter)
	p, err := site.store.PersonBySignIn(t.Context(), "rill")
	if err != nil {
		t.Fatal(err)
	}
	first := newLink(t, owner, p.ID)
	second := newLink(t, owner, p.ID)
	site.Browser().Get(first).Has(t, http.StatusGone, "no longer works")
	site.Browser().Post(first, "password", testPassword+"?", "again", testPassword+"?").Has(t, http.StatusGone)
	if signedOut(thief) {
		t.Error("making a link ended a session; the old password works until the link is used")
	}
	site.Browser().Post(second, "password", testPassword+"!", "again", testPassword+"!").Has(t, http.StatusSeeOther)
	if !signedOut(thief) {
		t.Error("a session of before the reset goes on")
	}
	if signedOut(owner) {
		t.Error("the reset ended another person's session")
	}
}

func TestDisablingEndsSessionsForGood(t *testing.T) {
	site := newSite(t)
	owner, b := site.As("heath", models.Owner), site.As("rill", models.Fitter)
	p, err := site.store.PersonBySignIn(t.Context(), "rill")
	if err != nil {
		t.Fatal(err)
	}
	save := func(disabled string, n int) {
		owner.Post("/setup/people/"+p.ID, "name", "Rill", "sign_in", "rill", "is_fitter", "yes", "disabled", disabled, "version", version(n)).
			Has(t, http.StatusSeeOther)
	}
	save("", p.Version)
	if signedOut(b) {
		t.Error("saving a person ended their session")
	}
	save("yes", p.Version+1)
	save("", p.Version+2)
	if !signedOut(b) {
		t.Error("a session goes on after its person was disabled and enabled again")
	}
}

// closedStore is a record that answers nothing.
func closedStore(t *testing.T) *models.Store {
	t.Helper()
	store := modelstest.SQLite(t)
	if err := store.Close(); err != nil {
		t.Fatal(err)
	}
	return store
}

// A record that can't be read for a moment signs nobody out.
func TestFaultOfTheRecordEndsNoSession(t *testing.T) {
	site := newSite(t)
	b := site.As("rill", models.Fitter)
	sound := site.Config.Handler
	logger := slog.New(slog.NewTextHandler(site.log, nil))
	for name, broken := range map[string]func(*server){
		"people":   func(s *server) { s.store = closedStore(t) },
		"sessions": func(s *server) { s.sessions.Store = closedStore(t).Sessions() },
	} {
		t.Run(name, func(t *testing.T) {
			srv, err := newServer(Deps{Store: site.store, Now: site.clock.Now, Log: logger, Password: &cheapPassword})
			if err != nil {
				t.Fatal(err)
			}
			broken(srv)
			handler, err := srv.handler()
			if err != nil {
				t.Fatal(err)
			}
			site.log.Reset()
			site.Config.Handler = handler
			a := b.Get("/preferences")
			site.Config.Handler = sound
			a.Has(t, http.StatusInternalServerError, "Something went wrong on our side", "Reference")
			if !strings.Contains(site.log.String(), "level=ERROR") || !strings.Contains(site.log.String(), "closed") {
				t.Errorf("the log lacks the cause: %s", site.log)
			}
			if signedOut(b) {
				t.Error("the session is gone")
			}
		})
	}
}

func TestRefusedRequestNamesThePerson(t *testing.T) {
	site := newSite(t)
	b := site.As("rill", models.Fitter)
	p, err := site.store.PersonBySignIn(t.Context(), "rill")
	if err != nil {
		t.Fatal(err)
	}
	b.Get("/setup").Has(t, http.StatusForbidden)
	for line := range strings.Lines(site.log.String()) {
		if strings.Contains(line, `"request refused"`) && !strings.Contains(line, "person="+p.ID) {
			t.Errorf("logged without the person: %s", line)
		}
	}
	if !strings.Contains(site.log.String(), `"request refused"`) {
		t.Error("nothing was logged")
	}
}
