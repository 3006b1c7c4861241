package server

import (
	"net/http"
	"strings"
	"testing"
	"time"

	"fairlead/models"
	"fairlead/server/followup"
)

// carriesOn is a review that changes nothing, signed with a password; it returns
// the page that asked for the password and the signed review's.
func (r reviewBench) carriesOn(b *browser, password string) (check, signed answer) {
	r.t.Helper()
	check = b.PostForm(r.path, r.Form(b, "decision.no-change", "yes"))
	check.Has(r.t, http.StatusOK, "Nothing is signed yet")
	a := b.PostForm(r.path+"/sign", with(check.hidden(), "password", password))
	a.Has(r.t, http.StatusSeeOther)
	return check, b.Get(a.Location)
}

// TestSignatureTellsWhoMadeTheLink: an owner who makes a link for a prosthetist can
// use it and sign as them. Every signature says so from then on, whatever is done
// with the password afterwards.
func TestSignatureTellsWhoMadeTheLink(t *testing.T) {
	r := newReviewBench(t)
	wren, err := r.store.PersonBySignIn(t.Context(), "wren")
	if err != nil {
		t.Fatal(err)
	}
	check, signed := r.carriesOn(r.wren, testPassword)
	for _, a := range []answer{check, signed} {
		a.Has(t, http.StatusOK, "Signed with the password of Wren. When and by whose link it was chosen is not recorded.")
	}
	olm := r.As("olm", models.Owner)
	olm.Get("/setup/people/"+wren.ID).Has(t, http.StatusOK, "by whose link it was chosen is not recorded", "Every review signed with it says who made the link")
	link := newLink(t, olm, wren.ID)
	told := "Olm made a link on " + shownDay(r.clock.Now()) + " by which a new password can be chosen for you"
	for _, path := range []string{"/reviews", "/today", "/preferences"} {
		r.wren.Get(path).Has(t, http.StatusOK, told)
	}

	asWren, password := r.Browser(), "another lamp in the harbour"
	asWren.Post(link, "password", password, "again", password).Has(t, http.StatusSeeOther)
	if a := r.wren.Get("/reviews"); a.Status != http.StatusSeeOther {
		t.Errorf("wren's session goes on: %d", a.Status)
	}
	after := "chosen on " + shownDay(r.clock.Now()) + " after a link that Olm made."
	check, signed = r.carriesOn(asWren, password)
	for _, a := range []answer{check, signed} {
		a.Has(t, http.StatusOK, `<p class="notice amber">`, "Signed with the password of Wren, "+after)
	}
	if a := asWren.Get("/reviews"); strings.Contains(a.Body, told) {
		t.Error("a link that was used is told of as if it worked")
	}
	asWren.Get("/preferences").Has(t, http.StatusOK, "Password "+after)
	olm.Get("/setup/people/"+wren.ID).Has(t, http.StatusOK, "Password "+after)

	// a password that they change themselves keeps it, with its own day
	r.clock.Pass(9 * 24 * time.Hour)
	asWren = r.Browser()
	asWren.Post("/sign-in", "name", "wren", "password", password).Has(t, http.StatusSeeOther)
	_, signed = r.carriesOn(asWren, password)
	signed.Has(t, http.StatusOK, "<p>Signed with the password of Wren, "+after) // not new any more
	asWren.Post("/preferences/password", "present_password", password, "password", testPassword, "again", testPassword).Has(t, http.StatusSeeOther)
	_, signed = r.carriesOn(asWren, testPassword)
	signed.Has(t, http.StatusOK, "chosen on "+shownDay(r.clock.Now())+" after a link that Olm made.")

	reviews := r.signed()
	if len(reviews) != 4 || reviews[3].PasswordChosenAt != nil || reviews[0].PasswordLinkBy != "Olm" {
		t.Errorf("signed %+v", reviews)
	}
	for _, review := range reviews {
		if !followup.Unchanged(review, nil) {
			t.Errorf("read back, review %d is not what was signed", review.Number)
		}
	}
}

// TestOwnLinkTakesNothingAway: an owner who signs needs no sentence about a link of
// their own, and can't hide another's behind one.
func TestOwnLinkTakesNothingAway(t *testing.T) {
	s := newSite(t)
	s.clock.Pass(-time.Hour) // sessions end by the clock of the machine
	olm, both := s.As("olm", models.Owner), s.As("heath", models.Owner, models.Prosthetist)
	heath, err := s.store.PersonBySignIn(t.Context(), "heath")
	if err != nil {
		t.Fatal(err)
	}
	choose := func(by *browser) (*browser, models.Person) {
		t.Helper()
		link := newLink(t, by, heath.ID)
		b := s.Browser()
		b.Post(link, "password", testPassword, "again", testPassword).Has(t, http.StatusSeeOther)
		p, err := s.store.PersonByID(t.Context(), heath.ID)
		if err != nil {
			t.Fatal(err)
		}
		return b, p
	}
	b, p := choose(both)
	if p.PasswordLinkBy != "" || p.PasswordChosenAt == nil {
		t.Errorf("after a link of their own: %+v", p)
	}
	b.Get("/preferences").Has(t, http.StatusOK, "<p>Password chosen on "+shownDay(s.clock.Now())+".</p>")
	b, p = choose(olm)
	if p.PasswordLinkBy != "Olm" {
		t.Errorf("after another's link: %+v", p)
	}
	newLink(t, b, heath.ID)
	if a := b.Get("/today"); strings.Contains(a.Body, "by which a new password") {
		t.Error("they are told of a link of their own")
	}
	if _, p = choose(b); p.PasswordLinkBy != "Olm" {
		t.Errorf("after a link of their own that came by another's: %+v", p)
	}
}

// shownDay is a day of Berlin as pages show it.
func shownDay(at time.Time) string {
	zone, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		panic(err)
	}
	return at.In(zone).Format("2 January 2006")
}
