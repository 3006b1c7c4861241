package server

import (
	"errors"
	"net/http"
	"testing"
	"time"

	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/followup"
)

const oneDay = 24 * time.Hour

// limited sets limits of the bench's limb by a review that is signed now.
func (b handoverBench) limited(by models.Person, loss float64) {
	b.t.Helper()
	b.signed(by, models.Decision{Kind: models.LimitsConfirmed})
	reviews, err := b.store.ReviewsOf(b.t.Context(), b.client.Limb.ID)
	if err != nil {
		b.t.Fatal(err)
	}
	newest := reviews[0]
	for _, r := range reviews {
		if r.Number > newest.Number {
			newest = r
		}
	}
	set := models.LimbLimits{
		LimbID: b.client.Limb.ID, LossPercent: loss, LossReviewPercent: 10, GainPercent: 5, GainTodayPercent: 10, Reason: "x",
		SetBy: newest.SignerName, SetOn: quantity.Date(b.day(0)), ReviewID: &newest.ID,
	}
	if err := b.store.SetLimbLimits(b.t.Context(), &set); err != nil {
		b.t.Fatal(err)
	}
}

// inForce are the loss that limits the bench's limb, and how many limits there were.
func (b handoverBench) inForce() (loss float64, number int) {
	b.t.Helper()
	all, err := b.store.LimitsOfMany(b.t.Context(), []string{b.client.Limb.ID})
	if err != nil {
		b.t.Fatal(err)
	}
	limits := all[b.client.Limb.ID]
	if len(limits) == 0 {
		return 0, 0
	}
	return limits[len(limits)-1].LossPercent, len(limits)
}

// TestOldLetterSetsNoLimits over those that were signed after it, nor on the very
// day, of which nobody knows what came last.
func TestOldLetterSetsNoLimits(t *testing.T) {
	b := newHandoverBench(t)
	handover, wren := b.HandedOver(), b.Person("wren", models.Prosthetist)
	b.clock.Pass(3 * oneDay)
	b.kit = b.again("kit")
	b.limited(wren, 3)
	for _, days := range []int{-2, 0} {
		a := b.kit.Send(handover+"/answer", "a.pdf", letter, b.answerTo(handover, "answered_on", b.day(days), "limits_set", "yes", "loss", "9")...)
		a.Has(t, http.StatusUnprocessableEntity, "#limits_set", "this letter is not newer", "W. Wren", `value="9"`)
	}
	skin := b.flagAtPath(b.skin)
	err := followup.RecordAnswer(t.Context(), b.store, followup.Answered{
		Limits: &models.LimbLimits{LossPercent: 9, LossReviewPercent: 10, GainPercent: 5, GainTodayPercent: 10, Reason: "x"}, LimitsNumber: 1,
		Answering: models.Answering{
			HandoverVersion: 1, Document: &models.Document{MediaType: "application/pdf", Content: letter},
			Answer: &models.Answer{
				HandoverID: idIn(handover), FromWhom: "I. Invented", Means: models.ByLetter, AnsweredOn: quantity.Date(b.day(-2)), Said: "x",
				RecordedBy: skin.Steps[0].MadeBy,
			},
		},
	})
	if !errors.Is(err, models.ErrInvalid) {
		t.Errorf("recorded without the form: got %v, want %v", err, models.ErrInvalid)
	}
	if loss, number := b.inForce(); loss != 3 || number != 1 || len(b.answers()) != 0 {
		t.Errorf("got %g %% of %d limits and %d answers, want those that were signed alone", loss, number, len(b.answers()))
	}
	b.clock.Pass(oneDay)
	b.kit = b.again("kit")
	b.kit.Send(handover+"/answer", "a.pdf", letter, b.answerTo(handover, "limits_set", "yes", "loss", "4")...).Has(t, http.StatusSeeOther)
	if loss, number := b.inForce(); loss != 4 || number != 2 {
		t.Errorf("got %g %% of %d limits, want those of the later letter", loss, number)
	}
}

// TestLimitsSignedMeanwhile: a page that was opened before shows those first, and
// puts nothing back that nobody touched.
func TestLimitsSignedMeanwhile(t *testing.T) {
	b := newHandoverBench(t)
	handover, wren := b.HandedOver(), b.Person("wren", models.Prosthetist)
	b.clock.Pass(3 * oneDay)
	b.kit = b.again("kit")
	ticked := b.answerTo(handover, "limits_set", "yes", "said", "kept words")
	untouched := b.answerTo(handover)
	b.clock.Pass(-oneDay)
	b.limited(wren, 3)
	b.clock.Pass(oneDay)
	a := b.kit.Send(handover+"/answer", "a.pdf", letter, ticked...)
	a.Has(t, http.StatusConflict, "Somebody recorded something here", "W. Wren", "kept words", `name="limits_set" value="yes" checked`)
	if loss, number := b.inForce(); loss != 3 || number != 1 || len(b.answers()) != 0 {
		t.Errorf("got %g %% of %d limits, want those that were signed", loss, number)
	}
	// who has seen them now may record
	ticked = append(ticked, "version", a.Value(t, "version"), "limits_number", a.Value(t, "limits_number"), "loss", "6")
	b.kit.Send(handover+"/answer", "a.pdf", letter, untouched...).Has(t, http.StatusSeeOther)
	if loss, number := b.inForce(); loss != 3 || number != 1 || len(b.answers()) != 1 {
		t.Errorf("got %g %% of %d limits, want those that were signed", loss, number)
	}
	stale := b.kit.Send(handover+"/answer", "a.pdf", letter, ticked...) // the answer came between
	stale.Has(t, http.StatusConflict)
	ticked = append(ticked, "version", stale.Value(t, "version"))
	b.kit.Send(handover+"/answer", "a.pdf", letter, ticked...).Has(t, http.StatusSeeOther)
	if loss, number := b.inForce(); loss != 6 || number != 2 {
		t.Errorf("got %g %% of %d limits, want those of the letter", loss, number)
	}
}

// TestLimitsOfALetterAreSaid with their figures: on the handover, among what was
// decided and in the history, though the letter decides nothing else.
func TestLimitsOfALetterAreSaid(t *testing.T) {
	b := newHandoverBench(t)
	handover := b.HandedOver()
	b.kit.Send(handover+"/answer", "a.pdf", letter, b.answerTo(handover, "limits_set", "yes", "loss", "4", "room", "3")...).Has(t, http.StatusSeeOther)
	figures := "mention it when smaller by 4\u202f%, review soon by 10\u202f%; within the week when larger by "
	b.kit.Get(handover).Has(t, http.StatusOK, "Limits set or confirmed, per letter of I. Invented of ", ": "+figures, "; change of room 3\u202fmm.")
	page := b.kit.Get("/clients/" + b.client.ID)
	page.Has(t, http.StatusOK, "Limits: "+figures, "Limits set or confirmed, per letter of I. Invented of ")
	page.Lacks(t, "No review has been signed yet.")
}
