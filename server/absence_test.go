package server

import (
	"net/http"
	"testing"
	"time"

	"fairlead/models"
)

// TestAwayAndWhoStandsIn: while every prosthetist of a care team is away, the flag,
// the client's page and Today say until when and who stands in, or what to do.
func TestAwayAndWhoStandsIn(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-014")
	kit, wren := site.As("kit", models.Fitter), site.As("wren", models.Prosthetist)
	site.Person("robin", models.Prosthetist)
	people, err := site.store.People(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	team := func(deputy string) {
		t.Helper()
		now, err := site.store.ClientByID(t.Context(), client.ID)
		if err != nil {
			t.Fatal(err)
		}
		now.CareTeam, now.DeputyID = nil, nil
		for _, p := range people {
			if p.SignIn == "wren" {
				now.CareTeam = append(now.CareTeam, p)
			}
			if p.SignIn == deputy {
				now.DeputyID = &p.ID
			}
		}
		if err := site.store.UpdateClient(t.Context(), &now); err != nil {
			t.Fatal(err)
		}
	}
	team("robin")
	flag := site.raiseNow(client, kit.Visit(client, "delivery", "33.4", "33.7", "32.1"))
	pages := []string{flag, "/clients/" + client.ID, "/today"}
	for _, path := range pages {
		kit.Get(path).Lacks(t, "Wren is away")
	}

	day := func(days int) string { return site.clock.Now().AddDate(0, 0, days).Format(time.DateOnly) }
	wren.Get("/preferences").Has(t, http.StatusOK, "Away until")
	wren.Post("/preferences/away", "away_until", "soon").Has(t, http.StatusUnprocessableEntity, `value="soon"`, `value="cm" checked`)
	wren.Post("/preferences/away", "away_until", day(-2)).Has(t, http.StatusUnprocessableEntity, "That day is past", `value="`+day(-2)+`"`)
	wren.Post("/preferences/away", "away_until", day(8)).Has(t, http.StatusSeeOther)
	wren.Post("/preferences", "length_unit", "mm").Has(t, http.StatusSeeOther) // another form leaves it
	gone := "Wren is away until " + sayDay(site.clock.Now().AddDate(0, 0, 8)) + ". "
	for _, path := range pages {
		kit.Get(path).Has(t, http.StatusOK, gone+"Robin stands in.")
	}
	team("kit") // as it could be named before
	for _, path := range pages {
		kit.Get(path).Has(t, http.StatusOK, gone+"Kit is named deputy but can&#39;t review here, so nobody stands in")
	}
	team("wren")
	for _, path := range pages {
		kit.Get(path).Has(t, http.StatusOK, gone+"Wren, the deputy, is away until ")
	}
	team("")
	for _, path := range pages {
		kit.Get(path).Has(t, http.StatusOK, gone+"Nobody stands in: name a deputy")
	}
	wren.Get("/preferences").Has(t, http.StatusOK, `value="`+day(8)+`"`)
	wren.Post("/preferences/away", "away_until", "").Has(t, http.StatusSeeOther)
	kit.Get(flag).Lacks(t, "Wren is away")
}

// TestOwnerSetsAnAbsence on the person's page.
func TestOwnerSetsAnAbsence(t *testing.T) {
	site := newSite(t)
	wren := site.Person("wren", models.Prosthetist)
	owner := site.As("olive", models.Owner)
	path := "/setup/people/" + wren.ID
	until := site.clock.Now().AddDate(0, 0, 5).Format(time.DateOnly)
	send := func(version, until string) answer {
		return owner.Post(path, "version", version, "name", "Wren", "sign_in", "wren", "is_prosthetist", "yes", "away_until", until)
	}
	send("1", "2020-01-01").Has(t, http.StatusUnprocessableEntity, "That day is past", `value="2020-01-01"`)
	send("1", until).Has(t, http.StatusSeeOther)
	owner.Get(path).Has(t, http.StatusOK, `value="`+until+`"`)
	now, err := site.store.PersonByID(t.Context(), wren.ID)
	if err != nil {
		t.Fatal(err)
	}
	now.AwayUntil = "2026-01-05"
	if err := site.store.UpdatePerson(t.Context(), &now); err != nil {
		t.Fatal(err)
	}
	send("3", "2026-01-05").Has(t, http.StatusSeeOther) // what has passed by itself is no mistake
}

// TestDeputyReachesTheClient while the care team is away, and otherwise.
func TestDeputyReachesTheClient(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-014")
	robin := site.As("robin", models.Prosthetist)
	robin.Get("/clients/"+client.ID).Has(t, http.StatusNotFound)
	deputy, err := site.store.PersonBySignIn(t.Context(), "robin")
	if err != nil {
		t.Fatal(err)
	}
	client.DeputyID = &deputy.ID
	if err := site.store.UpdateClient(t.Context(), &client.Client); err != nil {
		t.Fatal(err)
	}
	robin.Get("/clients/"+client.ID).Has(t, http.StatusOK, client.Name)
}

// TestWhoCanBeDeputy: a prosthetist beside the care team. One who was named before
// and could not be today stays until somebody changes it.
func TestWhoCanBeDeputy(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-014")
	kit, wren := site.As("kit", models.Fitter), site.Person("wren", models.Prosthetist)
	fitter, err := site.store.PersonBySignIn(t.Context(), "kit")
	if err != nil {
		t.Fatal(err)
	}
	path := "/clients/" + client.ID
	send := func(version string, pairs ...string) answer {
		return kit.Post(path, append([]string{"code", "K-014", "name", client.Name, "language", "en", "version", version}, pairs...)...)
	}
	kit.Get(path+"/edit").Lacks(t, `<option value="`+fitter.ID+`"`)
	send("1", "deputy", fitter.ID).Has(t, http.StatusUnprocessableEntity, "#deputy", "can neither review nor close", `<option value="`+fitter.ID+`" selected`)
	send("1", "deputy", wren.ID, teamField(wren.ID), "yes").Has(t, http.StatusUnprocessableEntity, "#deputy", "on the care team already")
	send("1", "deputy", wren.ID).Has(t, http.StatusSeeOther)
	now, err := site.store.ClientByID(t.Context(), client.ID)
	if err == nil {
		now.DeputyID = &fitter.ID
		err = site.store.UpdateClient(t.Context(), &now)
	}
	if err != nil {
		t.Fatal(err)
	}
	send("3", "deputy", fitter.ID, "phone", "030 12").Has(t, http.StatusSeeOther)
}
