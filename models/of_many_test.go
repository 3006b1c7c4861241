package models_test

import (
	"reflect"
	"slices"
	"testing"

	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/models/modelstest"
)

// TestManyAtOnceAreTheSameAsOneByOne compares the methods for many with those
// for one.
func TestManyAtOnceAreTheSameAsOneByOne(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		var clients, limbs []string
		for _, code := range []string{"K-1", "K-2"} {
			b := bench(t, s, code)
			for i := range 3 {
				c := b.record(t, s, at(3-i))
				_, err := s.RaiseFlag(ctx, b.flagOn("a", "", "watch"), evidence(c, "watch", `{}`))
				must(t, err)
			}
			clients = append(clients, b.client.ID)
			own, err := s.LimbsOf(ctx, b.client.ID)
			must(t, err)
			for _, l := range own {
				limbs = append(limbs, l.ID)
				must(t, s.AddPlan(ctx, &models.MeasuringPlan{LimbID: l.ID, Landmark: "elsewhere", Passes: 2, CapKind: "none", MadeBy: b.fitter.ID}))
				must(t, s.AddEvent(ctx, &models.Event{LimbID: l.ID, Kind: models.Realignment, On: "2026-02-01", RecordedBy: b.fitter.ID}))
				must(t, s.CreateCover(ctx, &models.Cover{LimbID: l.ID, DeliveredOn: "2026-03-01", State: models.InUse, Stations: nil}))
			}
		}
		tape, err := s.TapeOfMany(ctx, clients)
		must(t, err)
		byClient, err := s.LimbsOfMany(ctx, clients)
		must(t, err)
		for _, id := range clients {
			one, err := s.CheckinsOf(ctx, id)
			must(t, err)
			same(t, "girths", tape[id], girthsAlone(one))
			own, err := s.LimbsOf(ctx, id)
			must(t, err)
			same(t, "limbs", byClient[id], own)
			sameEvidence(t, s, id)
		}
		sameOnLimbs(t, s, limbs)
	})
}

// girthsAlone takes everything out of check-ins but the girths of residual
// limbs.
func girthsAlone(checkins []models.Checkin) []models.Checkin {
	for i := range checkins {
		for j := range checkins[i].Limbs {
			l := &checkins[i].Limbs[j]
			l.Clearances, l.Functions, l.Skin, l.Attachments = nil, nil, nil, nil
			l.Readings = slices.DeleteFunc(l.Readings, func(r models.Reading) bool { return r.Part != quantity.Residual })
		}
	}
	return checkins
}

func sameOnLimbs(t *testing.T, s *models.Store, limbs []string) {
	t.Helper()
	plans, err := s.PlansOfMany(ctx, limbs)
	must(t, err)
	events, err := s.EventsOfMany(ctx, limbs)
	must(t, err)
	covers, err := s.CurrentCovers(ctx, limbs)
	must(t, err)
	worn, err := s.ProsthesesOf(ctx, limbs)
	must(t, err)
	for _, id := range limbs {
		onePlans, err := s.PlansOf(ctx, id)
		must(t, err)
		same(t, "plans", plans[id], onePlans)
		oneEvents, err := s.EventsOf(ctx, id)
		must(t, err)
		same(t, "events", events[id], oneEvents)
		oneCover, err := s.CurrentCover(ctx, id)
		must(t, err)
		same(t, "cover", covers[id], oneCover)
		if one, err := s.ProsthesisOf(ctx, id); err == nil {
			same(t, "prosthesis", worn[id], one)
		} else if _, there := worn[id]; there {
			t.Errorf("prosthesis of a limb without one: %v", err)
		}
	}
}

func sameEvidence(t *testing.T, s *models.Store, clientID string) {
	t.Helper()
	want, err := s.FlagsOf(ctx, clientID)
	must(t, err)
	got := make([]models.Flag, len(want))
	for i, f := range want {
		got[i] = f
		got[i].Evidence = nil
	}
	must(t, s.WithEvidence(ctx, got))
	same(t, "evidence", got, want)
}

func same(t *testing.T, what string, got, want any) {
	t.Helper()
	if !reflect.DeepEqual(got, want) {
		t.Errorf("%s: many at once gives\n%+v\none by one\n%+v", what, got, want)
	}
}
