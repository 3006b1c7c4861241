package server

import (
	"strings"
	"testing"

	"fairlead/models"
)

// What a person must act on today stands before any figure of the client's page
// (domain notes, section 6.2: never behind a calm chart).
func TestUrgentFlagStandsBeforeTheFigures(t *testing.T) {
	site := newSite(t)
	b := site.As("kit", models.Fitter)
	for _, c := range []struct {
		name, code, answer string
		first              bool
	}{
		{"a check answered no", "K-091", "no", true},
		{"nothing urgent", "K-092", "yes", false},
	} {
		t.Run(c.name, func(t *testing.T) {
			client := site.BenchClient(c.code)
			draft := b.Start(client.Client)
			b.Fill(draft, "on", "limb1.check.no-crack", c.answer)
			b.Save(draft, "left_empty", "time").Has(t, 303)
			page := b.Get("/clients/" + client.Client.ID)
			needs, figures := strings.Index(page.Body, `id="needs"`), strings.Index(page.Body, `class="answers"`)
			if needs < 0 || figures < 0 || needs < figures != c.first {
				t.Errorf("what needs someone at %d, figures at %d; want it first: %v", needs, figures, c.first)
			}
		})
	}
}
