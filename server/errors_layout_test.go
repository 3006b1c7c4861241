package server

import (
	"net/http"
	"testing"

	"fairlead/models"
)

// TestARefusalKeepsTheWayBack: somebody who is signed in has the navigation on the
// page of an error; nobody else has.
func TestARefusalKeepsTheWayBack(t *testing.T) {
	site := newSite(t)
	b := site.As("kit", models.Fitter)
	b.Get("/clients/nothing").Has(t, http.StatusNotFound, `<nav`, `href="/today"`, "Sign out")
	b.Get("/setup").Has(t, http.StatusForbidden, `<nav`, "Kit")
	site.Browser().Get("/nothing").Lacks(t, "<nav")
}
