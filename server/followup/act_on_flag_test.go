package followup_test

import (
	"errors"
	"testing"

	"fairlead/analytics/assess"
	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/followup"
)

// raiseCover opens a flag about the cover.
func (b *bench) raiseCover(place string) models.Flag {
	b.t.Helper()
	c := b.record(b.checkin(deliveredAt340))
	f, err := b.store.RaiseFlag(b.t.Context(), models.Flag{
		ClientID: b.limb.ClientID, LimbID: b.limb.ID, Rule: string(assess.ClearanceBelow), Place: place, About: string(assess.AboutCover), Level: "soon",
	}, models.FlagEvidence{CheckinID: &c.ID, Level: "soon", Finding: []byte(`{}`)})
	b.must(err)
	return f
}

func (b *bench) flag(id string) models.Flag {
	b.t.Helper()
	f, err := b.store.FlagByID(b.t.Context(), id)
	b.must(err)
	return f
}

// TestWhatWasDoneMakesItsEvent goes through everything that can be done.
func TestWhatWasDoneMakesItsEvent(t *testing.T) {
	want := map[models.CoverAction]models.EventKind{
		models.Trimmed: models.CoverTrimmed, models.HeatFormed: models.CoverRefitted, models.SpacerPutIn: models.CoverRefitted,
		models.MadeAgain: models.CoverRefitted, models.AttachmentTightened: models.Repair, models.AttachmentReplaced: models.Repair,
		models.NothingDone: "",
	}
	b := newBench(t)
	before := quantity.FromMM(2.4)
	for _, action := range models.CoverActions {
		flag := b.raiseCover(string(action))
		b.must(followup.ActOnFlag(t.Context(), b.store, flag, followup.Work{
			Action: action, GapBefore: &before, Note: "about " + string(action), By: b.fitter, On: "2026-03-14",
		}))
		got := b.flag(flag.ID)
		if len(got.Steps) != 1 || got.Steps[0].CoverAction != action || *got.Steps[0].GapBefore != before || got.Steps[0].GapAfter != nil ||
			got.ClosedAt != nil || got.SeenAt == nil {
			t.Errorf("%s: got %+v, want one step, seen and open", action, got)
		}
		events, err := b.store.EventsOf(t.Context(), b.limb.ID)
		b.must(err)
		var kind models.EventKind
		for _, e := range events {
			if e.What == "about "+string(action) {
				kind = e.Kind
				if e.On != "2026-03-14" || e.RecordedBy != "Kit" {
					t.Errorf("%s: event %+v", action, e)
				}
			}
		}
		if kind != want[action] {
			t.Errorf("%s makes the event %q, want %q", action, kind, want[action])
		}
	}
}

func TestActingIsWholeOrNotAtAll(t *testing.T) {
	b := newBench(t)
	flag := b.raiseCover("s")
	work := followup.Work{
		StepID: models.NewID(), Action: models.Trimmed, By: b.fitter, On: "2026-03-14", Close: true, Reason: "trimmed to 4 mm",
	}
	old := flag
	old.Version-- // new evidence came since it was read
	check := func(what string, err, wanted error, steps, events int, closed bool) {
		t.Helper()
		if !errors.Is(err, wanted) {
			t.Errorf("%s: %v, want %v", what, err, wanted)
		}
		got := b.flag(flag.ID)
		all, err := b.store.EventsOf(t.Context(), b.limb.ID)
		b.must(err)
		if len(got.Steps) != steps || len(all) != events || (got.ClosedAt != nil) != closed {
			t.Errorf("%s: %d steps, %d events, closed %t", what, len(got.Steps), len(all), got.ClosedAt != nil)
		}
	}
	check("stale", followup.ActOnFlag(t.Context(), b.store, old, work), models.ErrStale, 0, 0, false)
	nothing := work
	nothing.Action = models.NothingDone
	check("nothing and no why", followup.ActOnFlag(t.Context(), b.store, flag, nothing), models.ErrInvalid, 0, 0, false)
	check("done", followup.ActOnFlag(t.Context(), b.store, flag, work), nil, 1, 1, true)
	check("sent twice", followup.ActOnFlag(t.Context(), b.store, flag, work), models.ErrStale, 1, 1, true)
	if got := b.flag(flag.ID); got.CloseReason != "trimmed to 4 mm" || got.ClosedBy != b.fitter.ID {
		t.Errorf("closed by %s because %q", got.ClosedBy, got.CloseReason)
	}

	open := b.raiseCover("t")
	work.StepID, work.Close = models.NewID(), false
	b.must(followup.ActOnFlag(t.Context(), b.store, open, work))
	if err := followup.ActOnFlag(t.Context(), b.store, open, work); !errors.Is(err, models.ErrConflict) {
		t.Errorf("the same step once more: %v, want a conflict", err)
	}
	if got := b.flag(open.ID); len(got.Steps) != 1 {
		t.Errorf("%d steps, want 1", len(got.Steps))
	}
}
