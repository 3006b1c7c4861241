package server

import (
	"net/http"
	"strings"
	"testing"

	"fairlead/analytics/assess"
	"fairlead/models"
)

// TestReportInShort says what a report holds, and never that it holds figures
// alone when the skin list or a place was filled in.
func TestReportInShort(t *testing.T) {
	y := testSayer(t)
	for want, said := range map[string]models.Said{
		"Figures alone.":             {Bother: new(3)},
		"In the client's own words.": {Text: "It rubs."},
		"Rubbing.":                   {What: []string{"rub"}},
		"Skin: open sore or wound. Where: calf, posterior; calf, anterior.":     {Skin: []string{"open-sore"}, Areas: []string{"calf.posterior", "calf.anterior"}},
		"On the safety page: breathless or chest pain. Noise. Skin: discharge.": {Safety: []string{"breathless"}, What: []string{"noise"}, Skin: []string{"discharge"}},
	} {
		if got := y.reportInShort(said); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

// TestANewerReportTakesNoSignBack: the flag of the safety page says all that was
// ticked since it was opened, what is needed most first; its history says what was
// ticked when.
func TestANewerReportTakesNoSignBack(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-014")
	b := site.As("kit", models.Fitter)
	b.Visit(client, "delivery")
	site.report(client, models.Said{Safety: []string{"spreading", "breathless"}})
	site.report(client, models.Said{Safety: []string{"not-sure"}})
	all := "Ticked by the client on the safety page: breathless or chest pain, skin redder or darker, spreading, hot or swollen and not sure"
	path := site.flagOf(client, assess.ReportSafety)
	b.Get(path).Has(t, http.StatusOK, "<h1>"+all, ": breathless or chest pain and skin redder or darker, spreading, hot or swollen.", "New evidence on", ": not sure.")
	b.Get("/today").Has(t, http.StatusOK, all)
	b.Get("/clients/"+client.ID).Has(t, http.StatusOK, all, "Flag opened: Ticked by the client on the safety page: breathless or chest pain and skin redder or darker, spreading, hot or swollen.")
	wren := site.As("wren", models.Prosthetist)
	person, err := site.store.PersonBySignIn(t.Context(), "wren")
	if err != nil {
		t.Fatal(err)
	}
	site.team(client.Client, nil, person)
	wren.Get(reviewPath(client.Limb)).Has(t, http.StatusOK, all, "Flag opened: Ticked by the client on the safety page: breathless or chest pain and skin redder or darker, spreading, hot or swollen.")
}

// TestAReportIsFoundByItsNumber however it is typed, by those who may see the client.
func TestAReportIsFoundByItsNumber(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-014")
	kit, stranger := site.As("kit", models.Fitter), site.As("wren", models.Prosthetist)
	r := site.report(client, models.Said{What: []string{"noise"}})
	for _, typed := range []string{r.Number, strings.ToLower(r.Number), strings.ReplaceAll(r.Number, "-", ""), " " + strings.ReplaceAll(r.Number, "-", " ")} {
		kit.Post("/clients/find", "q", typed).Has(t, http.StatusOK, `href="/clients/`+client.ID)
		stranger.Post("/clients/find", "q", typed).Lacks(t, client.ID)
	}
	kit.Post("/clients/find", "q", r.Number[:7]).Lacks(t, client.ID)
	kit.Get("/clients/"+client.ID).Has(t, http.StatusOK, "Reference number "+r.Number)
}
