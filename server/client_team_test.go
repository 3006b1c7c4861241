package server

import (
	"net/http"
	"net/url"
	"testing"

	"fairlead/models"
)

// TestNobodyMakesThemselfTheProsthetist of a client who has another one, neither on
// the care team nor as deputy, and not in two steps.
func TestNobodyMakesThemselfTheProsthetist(t *testing.T) {
	s := newSite(t)
	both := s.As("rail", models.Fitter, models.Prosthetist)
	kit := s.As("kit", models.Fitter)
	wren, rail := s.Person("wren", models.Prosthetist), s.personOf("rail")
	client := s.BenchClient("K-014")
	s.team(client.Client, nil, wren)
	path := clientPath(client.Client)
	save := func(b *browser, pairs ...string) answer {
		t.Helper()
		now, err := s.store.ClientByID(t.Context(), client.ID)
		if err != nil {
			t.Fatal(err)
		}
		form := url.Values{}
		for field, value := range typedClient(now) {
			form.Set(field, value)
		}
		return b.PostForm(path, with(form, pairs...))
	}
	refused := "You can&#39;t put yourself in that place"
	save(both, teamField(rail.ID), "yes").Has(t, http.StatusUnprocessableEntity, refused)
	save(both, teamField(rail.ID), "yes", teamField(wren.ID), "").Has(t, http.StatusUnprocessableEntity, refused)
	save(both, "deputy", rail.ID).Has(t, http.StatusUnprocessableEntity, refused, "#deputy")

	save(both, teamField(wren.ID), "").Has(t, http.StatusSeeOther)
	save(both, teamField(rail.ID), "yes").Has(t, http.StatusUnprocessableEntity, refused)
	save(kit, teamField(wren.ID), "yes").Has(t, http.StatusSeeOther)
	save(kit, "deputy", rail.ID).Has(t, http.StatusSeeOther)
	save(both, "deputy", rail.ID, "phone", "030 1").Has(t, http.StatusSeeOther) // nothing changed about it

	kit.Get(path).Has(t, http.StatusOK, "Wren, prosthetist, left the care team. Recorded by Rail.", "Wren came onto the care team as prosthetist. Recorded by Kit.",
		"Rail, prosthetist, became deputy. Recorded by Kit.")
}
