package server

import (
	"strings"
	"testing"
	"time"

	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/form"
)

// Late types a check-in of some days ago up to its last page and returns the
// address of its draft.
func (b *browser) Late(client benchClient, kind string, daysAgo int, girths ...string) string {
	b.t.Helper()
	draft := b.Start(client.Client)
	day := quantity.DateOf(b.clock.Now().AddDate(0, 0, -daysAgo))
	b.Fill(draft, "talk", "kind", kind, "date", string(day), "time", "09:30").To(b.t, "socks")
	b.Fill(draft, "residual-1", girthPairs("residual", 1, girths...)...).To(b.t, "residual-2")
	b.LastPass(draft, girths...)
	return draft
}

// today is the day at the workshop as pages write it.
func (s *site) today() string {
	s.t.Helper()
	zone, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		s.t.Fatal(err)
	}
	return form.FormatDate(quantity.DateOf(s.clock.Now().In(zone)), language)
}

// Lacks fails the test when a page has any of the texts.
func (a answer) Lacks(t *testing.T, texts ...string) {
	t.Helper()
	for _, text := range texts {
		if strings.Contains(a.Body, text) {
			t.Errorf("the page has %q\n%s", text, a.Body)
		}
	}
}

// TestLateCheckinLeavesItToTheNewest: before and after it is saved, the page of a
// check-in from paper says what is raised: what the newest one finds now.
func TestLateCheckinLeavesItToTheNewest(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-081")
	b := site.As("kit", models.Fitter)
	newest := b.Visit(client, "follow-up", "32.0", "32.2", "30.6")
	path := "/clients/" + client.ID
	b.Get(path).Has(t, 200, "No value outside the set limits")
	today := site.today()

	draft := b.Late(client, "delivery", 30, "33.4", "33.7", "32.1")
	late := []string{
		"Entered after a newer visit: the newest check-in of " + today + " decides about flags.",
		"What the newest check-in of " + today + " finds with this one in the record", "Limb volume −8",
	}
	page := b.Get(draft + "/result")
	page.Has(t, 200, late...)
	page.Lacks(t, "No value outside the set limits")
	saved := b.Save(draft, "left_empty", "time")
	page = b.Get(saved.Location)
	page.Has(t, 200, late...)
	page.Lacks(t, "No value outside the set limits")
	b.Get(newest).Lacks(t, "Entered after a newer visit")
	page = b.Get(path)
	page.Has(t, 200, "Limb volume −8")
	page.Lacks(t, "No value outside the set limits")

	correction := strings.TrimSuffix(b.Post(saved.Location+"/correct").Location, "/result")
	girths := append(girthPairs("residual", 1, "32.0", "32.2", "30.6"), girthPairs("residual", 2, "32.0", "32.2", "30.6")...)
	b.Fill(correction, "residual-1", girths[:6]...)
	b.Fill(correction, "residual-2", girths[6:]...)
	gone := "No longer found at the newest check-in of " + today + ": Limb volume −8"
	b.Get(correction+"/result").Has(t, 200, gone)
	b.Get(b.Save(correction, "reason", "figures of another client").Location).Has(t, 200, gone)
}

// TestNobodyMeasuresAgainLate: the client of a check-in from paper left long ago.
func TestNobodyMeasuresAgainLate(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-082")
	kit, lou := site.As("kit", models.Fitter), site.As("lou", models.Fitter)
	const again = "Measure again before the client leaves: the change is large"
	kit.Save(kit.Late(client, "delivery", 90, "34.0", "33.5", "32.0"), "left_empty", "time")
	unresolved := []string{"32.8", "32.3", "30.8"} // 7 % less, by another fitter
	draft := lou.Late(client, "follow-up", 30, unresolved...)
	lou.Get(draft+"/result").Has(t, 200, again, "%; measure again before the client leaves.")
	lou.Post(draft + "/discard")

	kit.Visit(client, "follow-up", "34.0", "33.5", "32.0")
	page := lou.Get(lou.Late(client, "follow-up", 30, unresolved...) + "/result")
	page.Has(t, 200, "Entered after a newer visit", "be told from measuring error: from")
	page.Lacks(t, again, "measure again before the client leaves")
}
