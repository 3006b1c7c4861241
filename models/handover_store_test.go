package models_test

import (
	"slices"
	"testing"

	"fairlead/models"
	"fairlead/models/modelstest"
)

// handed hands flags of the workbench over, to be asked about again on 30 March.
func (b workbench) handed(t *testing.T, s *models.Store, flags ...models.Flag) models.Handover {
	t.Helper()
	h := b.toHand(flags...)
	must(t, s.CreateHandover(ctx, &h))
	return h
}

func (b workbench) toHand(flags ...models.Flag) models.Handover {
	h := models.Handover{
		ClientID: b.client.ID, LimbID: b.limb.ID, ToWhom: "I. Invented", Means: models.ByLetter,
		HandedOn: "2026-03-02", AskAgainOn: "2026-03-30", Note: "with the chart", RecordedBy: b.fitter.ID,
	}
	for _, f := range flags {
		h.FlagIDs = append(h.FlagIDs, f.ID)
	}
	return h
}

// flag reads a flag again.
func flag(t *testing.T, s *models.Store, id string) models.Flag {
	t.Helper()
	f, err := s.FlagByID(ctx, id)
	must(t, err)
	return f
}

// stepKinds are the kinds of the steps of a flag.
func stepKinds(f models.Flag) []models.FlagStepKind {
	var all []models.FlagStepKind
	for _, step := range f.Steps {
		all = append(all, step.Kind)
	}
	return all
}

func TestHandingFlagsOver(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		smaller, sign := b.raised(t, s, "limb", "volume-change", "soon"), b.raised(t, s, "skin", "skin-sign", "now")
		h := b.handed(t, s, sign, smaller, sign) // one that is named twice is in it once
		for _, id := range []string{smaller.ID, sign.ID} {
			f := flag(t, s, id)
			if f.SeenAt == nil || f.HandoverID == nil || *f.HandoverID != h.ID || f.AskAgainOn != "2026-03-30" {
				t.Errorf("got %+v, want it seen and in the handover", f)
			}
			if len(f.Steps) != 1 || f.Steps[0].Kind != models.StepHandedOver || *f.Steps[0].HandoverID != h.ID || f.Steps[0].AskAgainOn != "2026-03-30" || f.Steps[0].Note != "with the chart" {
				t.Errorf("got steps %+v", f.Steps)
			}
		}
		got, err := s.HandoverByID(ctx, h.ID)
		must(t, err)
		want := []string{smaller.ID, sign.ID}
		slices.Sort(want)
		if got.Version != 1 || got.AnsweredAt != nil || got.ToWhom != "I. Invented" || !slices.Equal(got.FlagIDs, want) {
			t.Errorf("got %+v", got)
		}
		_, err = s.HandoverByID(ctx, "nothing")
		wantErr(t, err, models.ErrNotFound)

		next := b.toHand(sign)
		next.ToWhom, next.HandedOn = "O. Other", "2026-03-03"
		must(t, s.CreateHandover(ctx, &next))
		if f := flag(t, s, sign.ID); *f.HandoverID != next.ID || len(f.Steps) != 2 {
			t.Errorf("handed over again: got %+v, want it in the later one", f)
		}
		all, err := s.HandoversOf(ctx, b.client.ID)
		must(t, err)
		if len(all) != 2 || all[0].ID != next.ID || all[1].ID != h.ID || len(all[0].FlagIDs) != 1 || len(all[1].FlagIDs) != 2 {
			t.Errorf("got %+v, want the newest first", all)
		}
	})
}

func TestHandoverThatIsRefusedLeavesNothing(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b, elsewhere := bench(t, s, "K-001"), bench(t, s, "K-002")
		mine, foreign, closed := b.raised(t, s, "limb", "a", "soon"), elsewhere.raised(t, s, "limb", "a", "soon"), b.raised(t, s, "data", "b", "soon")
		must(t, s.CloseFlag(ctx, closed.ID, closed.Version, models.Closing{By: b.fitter.ID, Reason: "read again"}))
		for _, tt := range []struct {
			name  string
			flags []models.Flag
			want  error
		}{
			{"no flag", nil, models.ErrInvalid},
			{"another client's", []models.Flag{mine, foreign}, models.ErrInvalid},
			{"closed", []models.Flag{mine, closed}, models.ErrStale},
		} {
			h := b.toHand(tt.flags...)
			wantErr(t, s.CreateHandover(ctx, &h), tt.want)
			_, err := s.HandoverByID(ctx, h.ID)
			wantErr(t, err, models.ErrNotFound)
		}
		if f := flag(t, s, mine.ID); f.HandoverID != nil || f.SeenAt != nil || len(f.Steps) != 0 {
			t.Errorf("got %+v, want it as it was", f)
		}
		h := b.handed(t, s, mine)
		again := b.toHand(mine)
		again.ID = h.ID
		wantErr(t, s.CreateHandover(ctx, &again), models.ErrConflict)
	})
}

func TestAskingAgain(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		open, closed := b.raised(t, s, "limb", "a", "soon"), b.raised(t, s, "data", "b", "watch")
		h := b.handed(t, s, open, closed)
		must(t, s.CloseFlag(ctx, closed.ID, closed.Version, models.Closing{By: b.fitter.ID, Reason: "read again"}))
		must(t, s.AskAgain(ctx, h.ID, 1, "2026-04-10", b.fitter.ID, "will write this week"))
		wantErr(t, s.AskAgain(ctx, h.ID, 1, "2026-04-11", b.fitter.ID, ""), models.ErrStale)
		wantErr(t, s.AskAgain(ctx, h.ID, 2, "", b.fitter.ID, ""), models.ErrInvalid)
		wantErr(t, s.AskAgain(ctx, "nothing", 1, "2026-04-10", b.fitter.ID, ""), models.ErrNotFound)
		f := flag(t, s, open.ID)
		if f.AskAgainOn != "2026-04-10" || !slices.Equal(stepKinds(f), []models.FlagStepKind{models.StepHandedOver, models.StepAskedAgain}) || f.Steps[1].Note != "will write this week" {
			t.Errorf("got %+v", f)
		}
		if f.Steps[0].AskAgainOn != "2026-03-30" || f.Steps[1].AskAgainOn != "2026-04-10" {
			t.Errorf("got %+v, want the day of each step kept", f.Steps)
		}
		if f := flag(t, s, closed.ID); f.AskAgainOn != "" || len(f.Steps) != 1 {
			t.Errorf("got %+v, want the closed one left alone", f)
		}
		r := b.review(t, s)
		must(t, s.CloseFlag(ctx, open.ID, f.Version, models.Closing{By: b.fitter.ID, Reason: "as decided", ReviewID: &r.ID}))
		wantErr(t, s.AskAgain(ctx, h.ID, 2, "2026-04-11", b.fitter.ID, ""), models.ErrStale) // nothing awaits
		if got, err := s.HandoverByID(ctx, h.ID); err != nil || got.AskAgainOn != "2026-04-10" || got.Version != 2 {
			t.Errorf("got %+v, %v", got, err)
		}
	})
}
