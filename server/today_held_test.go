package server

import (
	"net/http"
	"testing"

	"fairlead/analytics/assess"
	"fairlead/models"
)

// TestAStandingDecisionStaysInSight: what a prosthetist holds a client back from
// stands in Today and heads the client's page after its flag is closed, until
// another review lifts it.
func TestAStandingDecisionStaysInSight(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-014")
	kit := site.As("kit", models.Fitter)
	wren := site.Person("wren", models.Prosthetist)
	visit := kit.Visit(client, "delivery")
	sign := func(number int, look string, decisions ...models.Decision) {
		t.Helper()
		r := models.Review{
			ClientID: client.ID, LimbID: client.Limb.ID, Number: number, SignedAt: site.clock.Now(), SignedBy: wren.ID, SignerName: "W. Wren",
			Decisions: decisions, ContentHash: "none",
		}
		if look != "" {
			r.LookAgainOn = "2026-12-04"
		}
		if err := site.store.CreateReview(t.Context(), &r); err != nil {
			t.Fatal(err)
		}
	}
	sign(1, "2026-12-04", models.Decision{Kind: models.DoNotWear}, models.Decision{Kind: models.CoverOff, Until: "2026-12-02"})
	const held = "Do not wear the prosthesis until seen. Cover off until 2 December 2026"
	kit.Get("/today").Has(t, http.StatusOK, "One person needs you soon", ">Soon", held+". Look again by 4 December 2026. Decided by W. Wren on 25 November 2026.")
	page := kit.Get("/clients/" + client.ID)
	page.Has(t, http.StatusOK, "<h1>"+held+"</h1>", "Look again by 4 December 2026.")

	site.raise(client, visit, assess.VolumeChange, assess.AboutLimb)
	kit.Get("/today").Has(t, http.StatusOK, held)
	kit.Get("/clients/"+client.ID).Has(t, http.StatusOK, "<h1>"+held+"</h1>")

	sign(2, "", models.Decision{Kind: models.NoChangeDecided})
	kit.Get("/today").Lacks(t, held)
	kit.Get("/clients/"+client.ID).Lacks(t, held+"</h1>")
}
