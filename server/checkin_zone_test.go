package server

import (
	"strings"
	"testing"

	"fairlead/models"
)

// TestCheckinKeepsItsZone: date and clock of a check-in are those of the place
// where it was measured, also after the workshop has moved to another zone, and
// a correction does not move it.
func TestCheckinKeepsItsZone(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-041")
	b := site.As("kit", models.Fitter)
	draft := b.Start(client.Client)
	b.Fill(draft, "talk", "kind", "delivery", "date", "2026-01-10", "time", "00:30").To(t, "socks")
	b.Fill(draft, "off", "limb1.doffed", "00:40", "limb1.first_reading", "00:52").To(t, "sound-1")
	b.Fill(draft, "residual-1", girthPairs("residual", 1, "33.4", "33.7", "32.1")...).To(t, "residual-2")
	where := b.Save(draft, "left_empty", "time").Location

	workshop, err := site.store.Workshop(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	workshop.Zone = "America/New_York"
	if err := site.store.SaveWorkshop(t.Context(), &workshop); err != nil {
		t.Fatal(err)
	}
	b.Get(where).Has(t, 200, "10 January 2026, 0:30", ">0:40<", ">0:52<")

	correction := strings.TrimSuffix(b.Post(where+"/correct").Location, "/result")
	b.Get(correction+"/talk").Has(t, 200, `value="2026-01-10"`, `value="0:30"`)
	b.Get(correction+"/off").Has(t, 200, `value="0:40"`, `data-zone="Europe/Berlin"`)
	b.Get(correction+"/result").Has(t, 200, "10 January 2026, 0:30")
	saved := b.Save(correction, "reason", "another look")
	saved.Has(t, 303)
	all, err := site.store.CheckinsOf(t.Context(), client.Client.ID)
	if err != nil || len(all) != 1 {
		t.Fatalf("%d check-ins, %v", len(all), err)
	}
	if got := all[0].MeasuredAt.UTC().Format("2006-01-02 15:04"); got != "2026-01-09 23:30" || all[0].Zone != "Europe/Berlin" {
		t.Errorf("measured at %s UTC in %s, want 2026-01-09 23:30 in Europe/Berlin", got, all[0].Zone)
	}
	if off := all[0].Limbs[0].DoffedAt; off == nil || off.UTC().Format("15:04") != "23:40" {
		t.Errorf("off at %v, want 23:40 UTC", off)
	}
}
