package server

import (
	"net/http"
	"testing"

	"fairlead/analytics/assess"
	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/form"
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
	today := quantity.DateOf(site.clock.Now())
	until, look := today.AddDays(7), today.AddDays(9)
	day := func(on quantity.Date) string { return form.FormatDate(on, language) }
	sign := func(number int, look quantity.Date, decisions ...models.Decision) {
		t.Helper()
		r := models.Review{
			ClientID: client.ID, LimbID: client.Limb.ID, Number: number, SignedAt: site.clock.Now(), SignedBy: wren.ID, SignerName: "W. Wren",
			Decisions: decisions, LookAgainOn: look, ContentHash: "none",
		}
		if err := site.store.CreateReview(t.Context(), &r); err != nil {
			t.Fatal(err)
		}
	}
	sign(1, look, models.Decision{Kind: models.DoNotWear}, models.Decision{Kind: models.CoverOff, Until: until})
	held := "Do not wear the prosthesis until seen. Cover off until " + day(until)
	kit.Get("/today").Has(t, http.StatusOK, "One person needs you soon", ">Soon", held+". Look again by "+day(look)+". Decided by W. Wren on ")
	page := kit.Get("/clients/" + client.ID)
	page.Has(t, http.StatusOK, "<h1>"+held+"</h1>", "Look again by "+day(look)+".")

	site.raise(client, visit, assess.VolumeChange, assess.AboutLimb)
	kit.Get("/today").Has(t, http.StatusOK, held)
	kit.Get("/clients/"+client.ID).Has(t, http.StatusOK, "<h1>"+held+"</h1>")
	letter := site.handOver(client, "Ash", site.raise(client, visit, assess.SockLayers, assess.AboutLimb))
	kit.Get(letter).Has(t, http.StatusOK, "Still in force:", held+". Look again by "+day(look)+".", "Decided by W. Wren on ")

	sign(2, "", models.Decision{Kind: models.NoChangeDecided})
	kit.Get("/today").Lacks(t, held)
	kit.Get("/clients/"+client.ID).Lacks(t, held+"</h1>")
	kit.Get(letter).Lacks(t, "Still in force:")
}
