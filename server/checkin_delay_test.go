package server

import (
	"strings"
	"testing"

	"fairlead/models"
)

// TestDelayOfTheReference asks for the wait of the visit that a check-in is
// compared with. That of the last visit would drift from one to the next.
func TestDelayOfTheReference(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-031")
	b := site.As("kit", models.Fitter)
	visits := []struct{ kind, asked, date, doffed, first string }{
		{"delivery", "about 10 minutes after taking off, and next time", "2026-01-05", "10:00", "10:12"},
		{"follow-up", "Measure 12 minutes after taking off", "2026-01-06", "10:00", "10:16"},
		{"follow-up", "Measure 12 minutes after taking off", "2026-01-07", "10:00", "10:20"},
	}
	for _, v := range visits {
		draft := b.Start(client.Client)
		b.Fill(draft, "talk", "kind", v.kind).To(t, "socks")
		b.Get(draft+"/off").Has(t, 200, v.asked)
		b.Fill(draft, "off", "limb1.doffed", v.doffed, "limb1.first_reading", v.first, "date", v.date, "time", v.doffed)
		b.Fill(draft, "residual-1", girthPairs("residual", 1, "33.4", "33.7", "32.1")...).To(t, "residual-2")
		b.LastPass(draft, "33.4", "33.7", "32.1")
		a := b.Save(draft, "left_empty", "time")
		if a.Status != 303 || !strings.Contains(a.Location, "/checkins/") {
			t.Fatalf("save: status %d, to %q\n%s", a.Status, a.Location, a.Body)
		}
	}
}
