package models_test

import (
	"slices"
	"testing"

	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/models/modelstest"
)

// decide signs a review of the bench's limb with decisions, as the one after the last.
func (b workbench) decide(t *testing.T, s *models.Store, kinds ...models.DecisionKind) {
	t.Helper()
	before, err := s.ReviewsOf(ctx, b.limb.ID)
	must(t, err)
	r := models.Review{
		ClientID: b.client.ID, LimbID: b.limb.ID, Number: len(before) + 1, SignedAt: at(1), SignedBy: b.fitter.ID, SignerName: "W. Wren", ContentHash: "none",
	}
	for _, kind := range kinds {
		r.Decisions = append(r.Decisions, models.Decision{Kind: kind})
	}
	must(t, s.CreateReview(ctx, &r))
}

// written records a letter of a day with decisions, and returns its id.
func (b workbench) written(t *testing.T, s *models.Store, h models.Handover, on quantity.Date, kinds ...models.DecisionKind) string {
	t.Helper()
	h, err := s.HandoverByID(ctx, h.ID)
	must(t, err)
	r := withDocument(b.answer(h), "%PDF-1.7 "+string(on))
	r.Answer.AnsweredOn = on
	for _, kind := range kinds {
		r.Answer.Decisions = append(r.Answer.Decisions, models.Decision{Kind: kind, Note: `"do-not-wear"`})
	}
	must(t, s.RecordAnswer(ctx, r))
	return r.Answer.ID
}

// TestLimbsThatMayBeHeldBack are those of which the last review or the newest
// letter holds such a decision.
func TestLimbsThatMayBeHeldBack(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		benches := map[string]workbench{}
		handovers := map[string]models.Handover{}
		for _, code := range []string{"K-1", "K-2", "K-3", "K-4", "K-5", "K-6", "K-7"} {
			b := bench(t, s, code)
			benches[code], handovers[code] = b, b.handed(t, s, b.raised(t, s, "limb", "a", "soon"))
		}
		benches["K-1"].decide(t, s, models.NoChangeDecided)
		benches["K-1"].decide(t, s, models.Adjust, models.DoNotWear)
		benches["K-2"].decide(t, s, models.DoNotWear)
		benches["K-2"].decide(t, s, models.NoChangeDecided) // lifts it
		benches["K-3"].written(t, s, handovers["K-3"], "2026-03-20", models.CoverOff)
		benches["K-3"].written(t, s, handovers["K-3"], "2026-03-20") // decides nothing
		benches["K-3"].written(t, s, handovers["K-3"], "2026-03-19", models.NoChangeDecided)
		benches["K-4"].written(t, s, handovers["K-4"], "2026-03-20", models.DoNotWear)
		benches["K-4"].written(t, s, handovers["K-4"], "2026-03-20", models.SockAdvice) // recorded last
		benches["K-5"].written(t, s, handovers["K-5"], "2026-03-20", models.LookAgainDecision)
		benches["K-6"].decide(t, s, models.LookAgainDecision) // stands in the list of reviews
		var want []string
		for _, code := range []string{"K-1", "K-3", "K-5"} {
			want = append(want, benches[code].limb.ID)
		}
		slices.Sort(want)
		got, err := s.HoldingLimbs(ctx)
		must(t, err)
		if !slices.Equal(got, want) {
			t.Errorf("got %v, want %v", got, want)
		}
	})
}

// TestLastLettersByDate: the one that is dated last, whenever it was recorded; of
// one day the one that was recorded last.
func TestLastLettersByDate(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-1")
		h := b.handed(t, s, b.raised(t, s, "limb", "a", "soon"))
		other := bench(t, s, "K-2")
		b.written(t, s, h, "2026-03-20", models.DoNotWear)
		want := b.written(t, s, h, "2026-03-20", models.CoverOff)
		b.written(t, s, h, "2026-03-18", models.NoChangeDecided)
		b.written(t, s, h, "2026-03-21")
		got, err := s.LastLetters(ctx, []string{b.limb.ID, other.limb.ID})
		must(t, err)
		if a := got[b.limb.ID]; len(got) != 1 || a.ID != want || len(a.Decisions) != 1 || a.Decisions[0].Kind != models.CoverOff {
			t.Errorf("got %+v, want %s", got, want)
		}
	})
}

// TestOnlyALetterWithItsDocumentDecides: nothing that was said by telephone does.
func TestOnlyALetterWithItsDocumentDecides(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-1")
		h := b.handed(t, s, b.raised(t, s, "limb", "a", "soon"))
		r := b.answer(h)
		r.Answer.Decisions = []models.Decision{{Kind: models.DoNotWear}}
		wantErr(t, s.RecordAnswer(ctx, r), models.ErrInvalid)
		r = withDocument(r, "%PDF-1.7")
		r.Answer.Means = models.ByPhone
		wantErr(t, s.RecordAnswer(ctx, r), models.ErrInvalid)
		r.Answer.Means = models.ByLetter
		must(t, s.RecordAnswer(ctx, r))
	})
}
