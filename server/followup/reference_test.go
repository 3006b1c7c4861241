package followup_test

import (
	"testing"

	"fairlead/analytics/quantity"
	"fairlead/analytics/volume"
	"fairlead/models"
	"fairlead/server/followup"
)

// TestSinceDelivery counts from the delivery of the cover in use: the first
// taped one that names it; where none does, the first from its day on.
func TestSinceDelivery(t *testing.T) {
	girths := girthsOf(340)
	delivery := func(day int, coverID string, girths []float64) taping {
		return taping{day: day, kind: models.Delivery, fitter: "a", cover: coverID, girths: girths}
	}
	followUp := taping{day: 90, kind: models.FollowUp, fitter: "a", cover: "cover", girths: girths}
	tests := []struct {
		name        string
		deliveredOn quantity.Date
		visits      []taping
		want        string // id of the check-in, empty for none
	}{
		{"the one that names it", "", []taping{delivery(0, "old", girths), delivery(30, "cover", girths), followUp}, "checkin-1"},
		{"the first of two that name it", "2026-03-12", []taping{delivery(0, "old", girths), delivery(30, "cover", girths), delivery(60, "cover", girths)}, "checkin-1"},
		{"the one that names it, before the day that was typed", "2026-04-30", []taping{delivery(0, "cover", girths), delivery(60, "", girths)}, "checkin-0"},
		{"not one of another cover where no day is recorded", "", []taping{delivery(0, "old", girths), followUp}, ""},
		{"not one without a cover where no day is recorded", "", []taping{delivery(0, "", girths), followUp}, ""},
		{"the first from its day on", "2026-04-01", []taping{delivery(0, "", girths), delivery(30, "", girths), delivery(60, "", girths)}, "checkin-1"},
		{"the one that names it was not taped", "2026-04-01", []taping{delivery(30, "cover", nil), delivery(60, "", girths)}, "checkin-1"},
		{"none from its day on", "2026-04-01", []taping{delivery(0, "", girths), followUp}, ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			l := record(tt.visits...)
			l.Cover.DeliveredOn = tt.deliveredOn
			since, id := l.Choose(followup.SinceDelivery)
			if since != followup.SinceDelivery {
				id = ""
			}
			if id != tt.want {
				t.Errorf("counts from %q (%s), want %q", id, since, tt.want)
			}
		})
	}
}

// TestRevisionBreaksTheSeries: no visit is compared across a revision operation,
// wherever it is recorded, and two of them break the series twice.
func TestRevisionBreaksTheSeries(t *testing.T) {
	const first, second = quantity.Date("2026-04-01"), quantity.Date("2026-05-01")
	revision := func(on quantity.Date) models.Event { return models.Event{Kind: models.Revision, On: on} }
	tests := []struct {
		name      string
		revisedOn quantity.Date
		events    []models.Event
		want      [3]bool // comparable: 0 with 1, 1 with 2, 0 with 2
		last      quantity.Date
	}{
		{"none", "", []models.Event{{Kind: models.Illness, On: first}}, [3]bool{true, true, true}, ""},
		{"of the limb", first, nil, [3]bool{false, true, false}, first},
		{"an event", "", []models.Event{revision(first)}, [3]bool{false, true, false}, first},
		{"the same in both", first, []models.Event{revision(first)}, [3]bool{false, true, false}, first},
		{"one in each", second, []models.Event{revision(first)}, [3]bool{false, false, false}, second},
		{"two events", "", []models.Event{revision(second), revision(first)}, [3]bool{false, false, false}, second},
		{"before all visits", "", []models.Event{revision("2026-01-01")}, [3]bool{true, true, true}, "2026-01-01"},
		{"after all visits", "2026-12-01", []models.Event{revision("2026-11-01")}, [3]bool{true, true, true}, ""},
		{"on the day of a visit", "", []models.Event{revision("2026-04-11")}, [3]bool{false, true, false}, "2026-04-11"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			l := record(taping{fitter: "a", girths: girthsOf(340)}, taping{day: 30, fitter: "a", girths: girthsOf(340)}, taping{day: 60, fitter: "a", girths: girthsOf(340)})
			l.Limb.RevisedOn, l.Events = tt.revisedOn, tt.events
			h, err := l.History("")
			if err != nil {
				t.Fatal(err)
			}
			var got [3]bool
			for i, pair := range [3][2]int{{0, 1}, {1, 2}, {0, 2}} {
				change := volume.Compare(h.Visits[pair[0]].Residual, h.Visits[pair[1]].Residual, h.Sigmas)
				got[i] = change.Comparable
				if !change.Comparable && change.Why.Code != volume.WhyRevision {
					t.Errorf("visits %v are not comparable because of %s", pair, change.Why.Code)
				}
			}
			if got != tt.want || h.Limb.RevisedOn != tt.last {
				t.Errorf("comparable %v, last revised on %q; want %v, %q", got, h.Limb.RevisedOn, tt.want, tt.last)
			}
		})
	}
}
