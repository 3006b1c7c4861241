package server

import (
	"net/http"
	"strings"
	"testing"
	"time"

	"fairlead/analytics/assess"
	"fairlead/analytics/quantity"
	"fairlead/models"
)

// team puts people on the care team of a client, and one as deputy.
func (s *site) team(client models.Client, deputy *models.Person, people ...models.Person) {
	s.t.Helper()
	now, err := s.store.ClientByID(s.t.Context(), client.ID)
	if err != nil {
		s.t.Fatal(err)
	}
	now.CareTeam = people
	if deputy != nil {
		now.DeputyID = &deputy.ID
	}
	if err := s.store.UpdateClient(s.t.Context(), &now); err != nil {
		s.t.Fatal(err)
	}
}

func TestReviewsAreWhereAProsthetistBegins(t *testing.T) {
	site := newSite(t)
	for _, tt := range []struct {
		signIn, home string
		roles        []models.Role
	}{
		{"wren", "/reviews", []models.Role{models.Prosthetist}},
		{"rail", "/today", []models.Role{models.Prosthetist, models.Fitter}},
		{"kit", "/today", []models.Role{models.Fitter}},
		{"knot", "/setup", []models.Role{models.Owner}},
	} {
		b := site.As(tt.signIn, tt.roles...)
		if a := b.Get("/"); a.Location != tt.home {
			t.Errorf("%s begins at %q, want %q", tt.signIn, a.Location, tt.home)
		}
		a := b.Get("/reviews")
		if tt.roles[0] != models.Prosthetist {
			a.Has(t, http.StatusForbidden)
			a.Lacks(t, `href="/reviews"`)
			continue
		}
		a.Has(t, http.StatusOK, "Nobody waits for a review. This is not an assessment.", `<a href="/reviews" aria-current="page">Reviews</a>`)
	}
}

// TestReviewsListTheLimbsThatWait: what about limb and skin decides the place,
// what is the fitter's is named, and a deputy reads for whom they stand in.
func TestReviewsListTheLimbsThatWait(t *testing.T) {
	site := newSite(t)
	site.clock.Pass(-40 * 24 * time.Hour)
	wren, rook := site.Person("wren", models.Prosthetist), site.Person("rook", models.Prosthetist)
	fitter := site.As("kit", models.Fitter)
	shrunk := site.BenchClient("K-001")
	site.team(shrunk.Client, &rook, wren)
	fitter.Visit(shrunk, "delivery", "33.4", "33.7", "32.1")
	site.clock.Pass(30 * 24 * time.Hour)
	newest := fitter.Visit(shrunk, "follow-up", "32.0", "32.2", "30.6")
	site.raise(shrunk, strings.TrimPrefix(newest, "/clients/"+shrunk.ID+"/checkins/"), assess.ClearanceBelow, assess.AboutCover)
	other := site.BenchClient("K-002")
	site.team(other.Client, nil, wren)
	site.clock.Pass(10 * 24 * time.Hour)

	b := site.again("wren")
	b.Get("/reviews").Has(t, http.StatusOK, "One to watch and one with limits to confirm", "K-001", "left transtibial", "Since delivery", "95 %: −12.0 to −5.4",
		"Limits nobody has confirmed yet", "10 days", "Also open:", "(the fitter&#39;s)", "never", `class="spark"`,
		`href="/clients/`+shrunk.ID+`/limbs/`+shrunk.Limb.ID+`/review"`)

	wren.AwayUntil = quantity.DateOf(site.clock.Now().AddDate(0, 0, 7))
	if err := site.store.UpdatePerson(t.Context(), &wren); err != nil {
		t.Fatal(err)
	}
	a := site.again("rook").Get("/reviews")
	a.Has(t, http.StatusOK, "K-001", "as deputy for Wren, away until ")
	a.Lacks(t, "K-002")
}
