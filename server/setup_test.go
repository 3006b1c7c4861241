package server

import (
	"net/http"
	"regexp"
	"slices"
	"strings"
	"testing"

	"fairlead/models"
)

func TestOwnerAddsAPersonByALink(t *testing.T) {
	site := newSite(t)
	owner := site.As("heath", models.Owner)
	owner.Post("/setup/people", "name", "", "sign_in", "x", "version", "0").
		Has(t, http.StatusUnprocessableEntity, "can&#39;t be left empty", "Use 3 to 40 small letters", "Choose at least one role")
	made := owner.Post("/setup/people", "name", "Alder", "sign_in", "Alder", "is_prosthetist", "yes", "version", "0")
	made.Has(t, http.StatusOK, "The link is shown this once")
	link := regexp.MustCompile(`/welcome/[A-Z0-9]+`).FindString(made.Body)
	if link == "" {
		t.Fatal("the page shows no link")
	}
	owner.Post("/setup/people", "name", "Alder again", "sign_in", "alder", "is_fitter", "yes", "version", "0").
		Has(t, http.StatusUnprocessableEntity, "Someone else signs in by this name", "Alder again")

	alder := site.Browser()
	alder.Get(link).Has(t, http.StatusOK, "For Alder, who signs in as alder")
	alder.Post(link, "password", testPassword, "again", testPassword).Has(t, http.StatusSeeOther)
	alder.Get("/preferences").Has(t, http.StatusOK, "Alder")
	alder.Get("/setup").Has(t, http.StatusForbidden, "not yours to do")
}

func TestOwnerCannotLockThemselvesOut(t *testing.T) {
	site := newSite(t)
	owner := site.As("heath", models.Owner)
	p, err := site.store.PersonBySignIn(t.Context(), "heath")
	if err != nil {
		t.Fatal(err)
	}
	owner.Post("/setup/people/"+p.ID, "name", "Heath", "sign_in", "heath", "is_fitter", "yes", "version", version(p.Version)).
		Has(t, http.StatusUnprocessableEntity, "take the owner")
}

func TestSecondSaverOfTheWorkshopIsTold(t *testing.T) {
	site := newSite(t)
	owner := site.As("heath", models.Owner)
	w, err := site.store.Workshop(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	owner.Post("/setup/workshop", "name", "First", "zone", "Europe/Berlin", "version", version(w.Version)).Has(t, http.StatusSeeOther)
	owner.Post("/setup/workshop", "name", "Second", "zone", "Europe/Berlin", "version", version(w.Version)).
		Has(t, http.StatusUnprocessableEntity, "Someone else has saved this", `value="Second"`)
	owner.Post("/setup/workshop", "name", "First", "zone", "Europe/Atlantis", "version", "1").
		Has(t, http.StatusUnprocessableEntity, "not a time zone")
}

// The owner says by which numbers the workshop is reached and when reports are
// read; nothing that is half said is kept.
func TestOwnerSaysWhenReportsAreRead(t *testing.T) {
	site := newSite(t)
	owner := site.As("heath", models.Owner)
	send := func(pairs ...string) answer {
		t.Helper()
		return owner.Post("/setup/workshop", append([]string{"name", "Invented workshop", "zone", "Europe/Berlin", "version", "1"}, pairs...)...)
	}
	send("phone", "call me", "reads_at", "late", "reads_on.monday", "yes").
		Has(t, http.StatusUnprocessableEntity, "is not a telephone number", "is not a time", `value="call me"`, `value="late"`, `name="reads_on.monday" value="yes" checked`)
	send("reads_on.monday", "yes").Has(t, http.StatusUnprocessableEntity, "There are days but no time", `href="#reads_at"`)
	send("reads_at", "8:00").Has(t, http.StatusUnprocessableEntity, "There is a time but no day", `href="#reads_on"`)
	send("phone", "0100 1", "emergency_phone", "112", "reads_at", "8.00", "reads_on.monday", "yes", "reads_on.friday", "yes").Has(t, http.StatusSeeOther)
	w, err := site.store.Workshop(t.Context())
	if err != nil || w.Phone != "0100 1" || w.EmergencyPhone != "112" || w.ReadsReportsAt != "08:00" || !slices.Equal(w.ReadsReportsOn, []string{"monday", "friday"}) {
		t.Errorf("workshop %+v, %v", w, err)
	}
	owner.Get("/setup").Has(t, http.StatusOK, `value="0100 1"`, `value="08:00"`, `name="reads_on.friday" value="yes" checked`)
}

// The owner says where a letter is answered to, in a few lines or not at all.
func TestOwnerSaysTheAddress(t *testing.T) {
	site := newSite(t)
	owner := site.As("heath", models.Owner)
	send := func(address, version string) answer {
		t.Helper()
		return owner.Post("/setup/workshop", "name", "Invented workshop", "zone", "Europe/Berlin", "version", version, "address", address)
	}
	send(strings.Repeat("a", 301), "1").Has(t, http.StatusUnprocessableEntity, `href="#address"`, strings.Repeat("a", 301))
	send("1\n2\n3\n4\n5\n6\n7\n8\n9", "1").Has(t, http.StatusUnprocessableEntity, `href="#address"`, "at most 8 lines")
	send("1\u202e2", "1").Has(t, http.StatusUnprocessableEntity, `href="#address"`)
	send("  Invented lane 1\r\n\r\n <b>00000 Nowhere\r\n", "1").Has(t, http.StatusSeeOther)
	w, err := site.store.Workshop(t.Context())
	if err != nil || w.Address != "Invented lane 1\n<b>00000 Nowhere" {
		t.Errorf("address %q, %v", w.Address, err)
	}
	owner.Get("/setup").Has(t, http.StatusOK, "Invented lane 1\n&lt;b&gt;00000 Nowhere</textarea>")
	send("", "2").Has(t, http.StatusSeeOther)
	if w, err = site.store.Workshop(t.Context()); err != nil || w.Address != "" {
		t.Errorf("address %q, %v, want none", w.Address, err)
	}
}

// Nothing about clients is read or written before the workshop has a zone, nor
// in one that this machine doesn't know.
func TestNoClientsWithoutAZone(t *testing.T) {
	site := newFreshSite(t)
	b := site.As("heath", models.Owner, models.Fitter)
	refuses := func() {
		t.Helper()
		for _, path := range []string{"/today", "/clients", "/clients/new"} {
			b.Get(path).Has(t, http.StatusConflict, "needs a time zone first", "under Set-up")
		}
		b.Post("/clients", "name", "Rowan, M.").Has(t, http.StatusConflict, "needs a time zone first")
		b.Get("/setup").Has(t, http.StatusOK)
		b.Get("/preferences").Has(t, http.StatusOK)
	}
	refuses()
	w := models.Workshop{Name: "Invented workshop", Zone: "Europe/Atlantis"}
	if err := site.store.SaveWorkshop(t.Context(), &w); err != nil {
		t.Fatal(err)
	}
	refuses()
	b.Post("/setup/workshop", "name", "Invented workshop", "zone", "Europe/Berlin", "version", version(w.Version)).Has(t, http.StatusSeeOther)
	b.Get("/clients/new").Has(t, http.StatusOK)
}

func TestPreferences(t *testing.T) {
	site := newSite(t)
	b := site.As("rill", models.Fitter)
	b.Post("/preferences", "length_unit", "in", "decimal_comma", "yes").Has(t, http.StatusSeeOther)
	page := b.Get("/preferences")
	page.Has(t, http.StatusOK, "Your preferences are saved")
	if !regexp.MustCompile(`value="in" checked`).MatchString(page.Body) {
		t.Error("inches are not chosen after saving")
	}
	b.Post("/preferences", "length_unit", "ell").Has(t, http.StatusUnprocessableEntity, "not one of the choices")
	b.Post("/preferences/password", "present_password", "wrong", "password", testPassword+"!", "again", testPassword+"!").
		Has(t, http.StatusUnprocessableEntity, "not your present password")
	b.Post("/preferences/password", "present_password", testPassword, "password", testPassword+"!", "again", testPassword+"!").
		Has(t, http.StatusSeeOther)
	site.Browser().Post("/sign-in", "name", "rill", "password", testPassword).Has(t, http.StatusUnprocessableEntity)
	site.Browser().Post("/sign-in", "name", "rill", "password", testPassword+"!").Has(t, http.StatusSeeOther)
}

func TestHostileTextIsOnlyText(t *testing.T) {
	site := newSite(t)
	owner := site.As("heath", models.Owner)
	hostile := `"><script>alert(1)</script>{{.}}`
	a := owner.Post("/setup/workshop", "name", hostile, "zone", hostile, "version", "1")
	if strings.Contains(a.Body, "<script>alert") {
		t.Error("typed text came back as markup")
	}
	a.Has(t, http.StatusUnprocessableEntity, "&lt;script&gt;alert(1)&lt;/script&gt;{{.}}")
}
