package models_test

import (
	"reflect"
	"testing"

	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/models/modelstest"
)

func TestLimbs(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		c := client(t, s, "K-001", "Client")
		left := limb(t, s, c.ID)
		right := models.Limb{ClientID: c.ID, Side: quantity.Right, Level: quantity.PartialHand, Origin: models.PresentAtBirth}
		must(t, s.CreateLimb(ctx, &right))
		got, err := s.LimbsOf(ctx, c.ID)
		must(t, err)
		if !reflect.DeepEqual(got, []models.Limb{left, right}) {
			t.Errorf("stored\n%+v\n%+v\nread\n%+v", left, right, got)
		}
		stale := left
		left.LengthMM10, left.RevisedOn, left.DistalShape, left.ClientID = nil, "2026-02-01", models.Bulbous, "another"
		must(t, s.UpdateLimb(ctx, &left))
		wantErr(t, s.UpdateLimb(ctx, &stale), models.ErrStale)
		read, err := s.LimbByID(ctx, left.ID)
		must(t, err)
		if read.LengthMM10 != nil || read.RevisedOn != "2026-02-01" || read.DistalShape != models.Bulbous || read.ClientID != c.ID {
			t.Errorf("got %+v", read)
		}
		_, err = s.LimbByID(ctx, "nothing")
		wantErr(t, err, models.ErrNotFound)
		wantErr(t, s.CreateLimb(ctx, &models.Limb{
			ClientID: "nobody", Side: quantity.Left, Level: quantity.Transtibial, Origin: models.Amputation,
		}), models.ErrInUse)
	})
}

func TestPlans(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		second := models.MeasuringPlan{
			LimbID: b.limb.ID, Levels: []quantity.Length{-20, 305}, Passes: 3, CapKind: quantity.SemiEllipsoid,
			CapDepth: length(21.5), Reason: "revised", MadeBy: b.fitter.ID,
		}
		must(t, s.AddPlan(ctx, &second))
		plans, err := s.PlansOf(ctx, b.limb.ID)
		must(t, err)
		if !reflect.DeepEqual(plans, []models.MeasuringPlan{b.plan, second}) || second.Number != 2 {
			t.Errorf("stored\n%+v\n%+v\nread\n%+v", b.plan, second, plans)
		}
		current, err := s.CurrentPlan(ctx, b.limb.ID)
		must(t, err)
		first, err := s.PlanByID(ctx, b.plan.ID)
		must(t, err)
		if current.ID != second.ID || first.ID != b.plan.ID {
			t.Errorf("current plan %s, first plan %s", current.ID, first.ID)
		}
		for _, levels := range [][]quantity.Length{{0, 0}, {300, 0}} {
			wantErr(t, s.AddPlan(ctx, &models.MeasuringPlan{LimbID: b.limb.ID, Levels: levels, Passes: 2, CapKind: quantity.NoCap}), models.ErrInvalid)
		}
		wantErr(t, s.AddPlan(ctx, &models.MeasuringPlan{LimbID: b.limb.ID, Passes: 0, CapKind: quantity.NoCap}), models.ErrInvalid)
		must(t, s.AddPlan(ctx, &models.MeasuringPlan{LimbID: b.limb.ID, Passes: 2, CapKind: quantity.NoCap})) // a limb without a cone
		_, err = s.CurrentPlan(ctx, "nothing")
		wantErr(t, err, models.ErrNotFound)
		_, err = s.PlanByID(ctx, "nothing")
		wantErr(t, err, models.ErrNotFound)
	})
}

func TestProsthesis(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		p, err := s.ProsthesisOf(ctx, b.limb.ID)
		must(t, err)
		if !reflect.DeepEqual(p, b.prosthesis) {
			t.Errorf("stored\n%+v\nread\n%+v", b.prosthesis, p)
		}
		stale := p
		p.LinerThickness, p.NoSocket, p.HeelHeight = nil, true, length(12)
		must(t, s.SaveProsthesis(ctx, &p))
		wantErr(t, s.SaveProsthesis(ctx, &stale), models.ErrStale)
		wantErr(t, s.SaveProsthesis(ctx, &models.Prosthesis{LimbID: b.limb.ID}), models.ErrConflict)
		got, err := s.ProsthesisOf(ctx, b.limb.ID)
		must(t, err)
		if !reflect.DeepEqual(got, p) || got.Version != 2 {
			t.Errorf("stored\n%+v\nread\n%+v", p, got)
		}
		_, err = s.ProsthesisOf(ctx, "nothing")
		wantErr(t, err, models.ErrNotFound)
	})
}

func TestEvents(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		late := models.Event{LimbID: b.limb.ID, Kind: models.ShoeChanged, On: "2026-02-02", What: "flat shoe", DoneBy: "client"}
		early := models.Event{LimbID: b.limb.ID, Kind: models.SocketAccepted, On: "2026-01-12", RecordedBy: b.fitter.ID}
		must(t, s.AddEvent(ctx, &late))
		must(t, s.AddEvent(ctx, &early))
		got, err := s.EventsOf(ctx, b.limb.ID)
		must(t, err)
		if !reflect.DeepEqual(got, []models.Event{early, late}) {
			t.Errorf("got %+v, want the earlier first", got)
		}
		wantErr(t, s.AddEvent(ctx, &models.Event{LimbID: b.limb.ID, Kind: models.Repair}), models.ErrInvalid)
	})
}
