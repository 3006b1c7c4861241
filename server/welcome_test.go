package server

import (
	"net/http"
	"strings"
	"testing"
	"time"

	"fairlead/models"
)

// startFresh adds the nameless owner of a fresh record and returns the path of
// the link that is printed at the first start.
func startFresh(t *testing.T, site *site) string {
	t.Helper()
	p := FirstOwner(site.clock.Now())
	if err := site.store.CreatePerson(t.Context(), &p); err != nil {
		t.Fatal(err)
	}
	link, path := NewOneTimeLink(p.ID, nil, site.clock.Now())
	if err := site.store.CreateOneTimeLink(t.Context(), &link); err != nil {
		t.Fatal(err)
	}
	return path
}

// first is what the first owner types, over which a test puts its own.
func first(pairs ...string) []string {
	return append([]string{
		"name", "Heath", "sign_in", "heath", "workshop", "Invented workshop", "zone", "Europe/Berlin",
		"password", testPassword, "again", testPassword,
	}, pairs...)
}

func TestFirstOwnerChoosesNameAndPassword(t *testing.T) {
	site := newSite(t)
	path := startFresh(t, site)
	b := site.Browser()
	for range 3 { // looking uses nothing up
		b.Get(path).Has(t, http.StatusOK, "You are the first here")
	}
	b.Post(path, "name", "", "sign_in", "H", "password", "short", "again", "short").
		Has(t, http.StatusUnprocessableEntity, "can&#39;t be left empty", "Use 3 to 40 small letters", "Use at least 12 characters")
	b.Post(path, first("is_fitter", "yes")...).
		Has(t, http.StatusSeeOther)
	b.Get("/setup").Has(t, http.StatusOK, "Heath", "Fitter", "Owner")

	another := site.Browser()
	another.Get(path).Has(t, http.StatusGone, "no longer works")
	another.Post(path, "password", testPassword, "again", testPassword).Has(t, http.StatusGone)
}

// The first owner of a fresh record names the workshop and sets its zone, so that
// no check-in is kept in a guessed one.
func TestFirstOwnerSetsUpTheWorkshop(t *testing.T) {
	site := newFreshSite(t)
	path := startFresh(t, site)
	b := site.Browser()
	b.Get(path).Has(t, http.StatusOK, "Name of the workshop", "Time zone", `value="UTC"`)
	b.Post(path, first("workshop", "", "zone", "Europe/Atlantis")...).
		Has(t, http.StatusUnprocessableEntity, "can&#39;t be left empty", "not a time zone", `value="Europe/Atlantis"`)
	if _, err := site.store.Workshop(t.Context()); err == nil {
		t.Error("a refused form named the workshop")
	}
	b.Post(path, first("workshop", "Juniper yard", "zone", "America/Chicago", "is_fitter", "yes")...).Has(t, http.StatusSeeOther)
	w, err := site.store.Workshop(t.Context())
	if err != nil || w.Name != "Juniper yard" || w.Zone != "America/Chicago" {
		t.Errorf("the workshop is %+v, %v; want Juniper yard in America/Chicago", w, err)
	}
	b.Get("/today").Has(t, http.StatusOK)
}

// Another person's link asks nothing about the workshop, and changes nothing.
func TestLaterLinksLeaveTheWorkshopAlone(t *testing.T) {
	site := newSite(t)
	owner := site.As("heath", models.Owner)
	p := site.Person("rill", models.Fitter)
	path := newLink(t, owner, p.ID)
	if a := site.Browser().Get(path); strings.Contains(a.Body, "Time zone") {
		t.Error("the page asks for the workshop's time zone")
	}
	site.Browser().Post(path, first("workshop", "Other", "zone", "UTC", "name", "Other")...).Has(t, http.StatusSeeOther)
	owner.Get("/setup").Has(t, http.StatusOK, `value="Invented workshop"`, `value="Europe/Berlin"`, "Rill")
}

func TestLinkGrowsOld(t *testing.T) {
	site := newSite(t)
	path := startFresh(t, site)
	site.clock.Pass(linkLifetime + time.Second)
	site.Browser().Get(path).Has(t, http.StatusGone, "no longer works")
	site.Browser().Get("/welcome/nothing").Has(t, http.StatusGone, "no longer works")
}

func TestLinkTokenIsNotKeptOrLogged(t *testing.T) {
	site := newSite(t)
	path := startFresh(t, site)
	site.Browser().Get(path)
	token := strings.TrimPrefix(path, "/welcome/")
	if strings.Contains(site.log.String(), token) {
		t.Error("the log holds the link's token")
	}
	if _, err := site.store.OneTimeLinkByHash(t.Context(), token); err == nil {
		t.Error("the record holds the token itself, want its hash only")
	}
	if !strings.Contains(site.log.String(), "/welcome/:token") {
		t.Error("the log doesn't name the route")
	}
}

func TestNoDefaultAccount(t *testing.T) {
	site := newSite(t)
	startFresh(t, site)
	for _, guess := range [][2]string{{"admin", "admin"}, {"first-owner", ""}, {"owner", "owner"}, {"first-owner", "first-owner"}} {
		if a := site.Browser().Post("/sign-in", "name", guess[0], "password", guess[1]); a.Status == http.StatusSeeOther {
			t.Errorf("%v signs in on a fresh record", guess)
		}
	}
}

func TestPasswordRules(t *testing.T) {
	cases := []struct{ name, password, want string }{
		{"eleven characters", "harbour lam", "at least 12"},
		{"twelve characters", "harbour lamp", ""},
		{"a long sentence with emoji and spaces", strings.Repeat("harbour lamps 🪢 ", 15), ""},
		{"too long", strings.Repeat("harbour lamps ", 30), "at most 256"},
		{"a well-known one", "password1234", "easy to guess"},
		{"the sign-in name and a little", "heather-2026", "easy to guess"},
		{"the workshop's name and a little", "juniper yard 1", "easy to guess"},
		{"one letter over and over", strings.Repeat("a", 20), "easy to guess"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			site := newSite(t)
			a := site.Browser().Post(startFresh(t, site), first("sign_in", "heather", "workshop", "Juniper yard", "password", c.password, "again", c.password)...)
			if c.want == "" {
				a.Has(t, http.StatusSeeOther)
				return
			}
			a.Has(t, http.StatusUnprocessableEntity, c.want)
			if strings.Contains(a.Body, c.password) {
				t.Error("the page shows the password")
			}
		})
	}
}

func TestWholePasswordCounts(t *testing.T) {
	site := newSite(t)
	long := strings.Repeat("harbour lamps ", 8)
	path := startFresh(t, site)
	site.Browser().Post(path, first("password", long, "again", long)...).Has(t, http.StatusSeeOther)
	site.Browser().Post("/sign-in", "name", "heath", "password", long[:len(long)-1]+"x").Has(t, http.StatusUnprocessableEntity)
	site.Browser().Post("/sign-in", "name", "heath", "password", long).Has(t, http.StatusSeeOther)
}
