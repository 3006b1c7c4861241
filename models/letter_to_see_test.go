package models_test

import (
	"reflect"
	"testing"
	"time"

	"fairlead/models"
	"fairlead/models/modelstest"
)

// TestLettersToSee: an answer that closed, limited or decided nothing is none, and
// neither is one that somebody else signed after.
func TestLettersToSee(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		wren := person(t, s, "wren")
		b.client.CareTeam = []models.Person{wren}
		must(t, s.UpdateClient(ctx, &b.client))
		h := b.handed(t, s, b.raised(t, s, "limb", "volume-change", "watch"))
		seen := func(who models.Person) (ids []string) {
			t.Helper()
			letters, err := s.LettersToSee(ctx, who.ID, []string{b.limb.ID})
			must(t, err)
			for _, a := range letters {
				ids = append(ids, a.ID)
			}
			return ids
		}
		plain := b.answer(h)
		plain.Answer.Means = models.ByPhone
		must(t, s.RecordAnswer(ctx, plain))
		if got := seen(wren); got != nil {
			t.Errorf("a call that decides nothing is to be seen: %v", got)
		}
		h, err := s.HandoverByID(ctx, h.ID)
		must(t, err)
		decides := withDocument(b.answer(h), "%PDF-1.7 decides")
		decides.Answer.Decisions = []models.Decision{{Kind: models.Adjust}}
		must(t, s.RecordAnswer(ctx, decides))
		if got := seen(wren); !reflect.DeepEqual(got, []string{decides.Answer.ID}) {
			t.Errorf("to be seen: %v, want the letter that decides", got)
		}
		rows, _, err := s.ReviewList(ctx, models.ReviewFilter{For: wren.ID, Today: "2026-05-01"})
		must(t, err)
		if len(rows) != 1 || len(rows[0].Letters) != 1 {
			t.Errorf("rows %+v", rows)
		}
		if rows[0].Need != models.LetterToSee {
			t.Errorf("need %d, want the letter before what is to watch", rows[0].Need)
		}
		sign := func(number int, who models.Person) {
			t.Helper()
			must(t, s.CreateReview(ctx, &models.Review{
				ClientID: b.client.ID, LimbID: b.limb.ID, Number: number, SignedAt: decides.Answer.RecordedAt.Add(time.Minute), SignedBy: who.ID,
				SignerName: who.Name, Decisions: []models.Decision{{Kind: models.NoChangeDecided}}, ContentHash: "x",
			}))
		}
		sign(1, b.fitter) // who recorded it
		if got := seen(wren); len(got) != 1 {
			t.Errorf("after the signature of who recorded it: %v, want it still", got)
		}
		if got := seen(b.fitter); got != nil {
			t.Errorf("for who recorded it and signed: %v", got)
		}
		sign(2, person(t, s, "rook"))
		if got := seen(wren); got != nil {
			t.Errorf("after the signature of somebody else: %v", got)
		}
	})
}
