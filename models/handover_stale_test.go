package models_test

import (
	"testing"

	"fairlead/models"
	"fairlead/models/modelstest"
)

// TestHandingOverWhatWasNotRead: evidence that came since a flag was read is not
// handed over unseen.
func TestHandingOverWhatWasNotRead(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		f := b.raised(t, s, "skin", "a", "now")
		h := b.toHand(f)
		h.FlagVersions = map[string]int{f.ID: f.Version - 1}
		wantErr(t, s.CreateHandover(ctx, &h), models.ErrStale)
		if got := flag(t, s, f.ID); got.SeenAt != nil || got.HandoverID != nil || len(got.Steps) != 0 {
			t.Errorf("got %+v, want nothing left of it", got)
		}
		h = b.toHand(f)
		h.FlagVersions = map[string]int{f.ID: f.Version}
		must(t, s.CreateHandover(ctx, &h))
	})
}

// TestAnswerClosesNothingThatWentOn to another prosthetist, whether that one has
// answered or not.
func TestAnswerClosesNothingThatWentOn(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		f := b.raised(t, s, "limb", "a", "soon")
		old, later := b.handed(t, s, f), b.handed(t, s, f)
		closes := func() models.Answering {
			r := withDocument(b.answer(old), "%PDF-1.7 old")
			r.Closings = []models.AnswerClosing{{FlagID: f.ID, Version: f.Version, Reason: "as written"}}
			return r
		}
		wantErr(t, s.RecordAnswer(ctx, closes()), models.ErrStale)
		must(t, s.RecordAnswer(ctx, b.answer(later)))
		wantErr(t, s.RecordAnswer(ctx, closes()), models.ErrStale)
		if got := flag(t, s, f.ID); got.ClosedAt != nil {
			t.Errorf("got %+v, want it open", got)
		}
	})
}
