package server

import (
	"bytes"
	"errors"
	"image"
	"image/jpeg"
	"image/png"
	"net/http"
	"strings"
	"testing"
	"time"

	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/followup"
)

// TestOldLetterClosesNoNewerEvidence: what came after the letter, or after the
// handover on the letter's own day, was not before whoever wrote it.
func TestOldLetterClosesNoNewerEvidence(t *testing.T) {
	b := newHandoverBench(t)
	handover := b.HandedOver()
	b.clock.Pass(5 * 24 * time.Hour)
	b.kit = b.again("kit")
	b.raiseNow(b.client, b.checkin)
	for name, days := range map[string]int{"the day before": -1, "the day of the evidence": 0} {
		form := b.answerTo(handover, append(b.closing(b.skin, "kept reason"), "answered_on", b.day(days))...)
		b.kit.Send(handover+"/answer", "a.pdf", letter, form...).Has(t, http.StatusUnprocessableEntity,
			"New evidence came on", "Hand it over again.", "#close."+idIn(b.skin), "kept reason")
		if f := b.flagAtPath(b.skin); f.ClosedAt != nil || len(b.answers()) != 0 {
			t.Errorf("%s: got %+v", name, f)
		}
	}
	skin := b.flagAtPath(b.skin)
	err := followup.RecordAnswer(t.Context(), b.store, followup.Answered{
		Zone: time.UTC, MayClose: func(models.Flag) bool { return true },
		Answering: models.Answering{
			HandoverVersion: 1, Document: &models.Document{MediaType: "application/pdf", Content: letter},
			Answer: &models.Answer{
				HandoverID: idIn(handover), FromWhom: "I. Invented", Means: models.ByLetter, AnsweredOn: quantity.Date(b.day(-1)), Said: "x",
				RecordedBy: skin.Steps[0].MadeBy,
			},
			Closings: []models.AnswerClosing{{FlagID: skin.ID, Version: skin.Version, Reason: "x"}},
		},
	})
	if !errors.Is(err, models.ErrInvalid) || b.flagAtPath(b.skin).ClosedAt != nil {
		t.Errorf("recorded without the form: got %v, want %v", err, models.ErrInvalid)
	}
	// the other flag has nothing newer than its handover
	form := b.answerTo(handover, append(b.closing(b.limb, "as written"), "answered_on", b.day(-4))...)
	b.kit.Send(handover+"/answer", "a.pdf", letter, form...).Has(t, http.StatusSeeOther)
	if b.flagAtPath(b.limb).ClosedAt == nil {
		t.Error("the letter closed nothing")
	}
	// a letter of a later day may rest on it
	b.clock.Pass(24 * time.Hour)
	b.kit = b.again("kit")
	form = b.answerTo(handover, b.closing(b.skin, "as written")...)
	b.kit.Send(handover+"/answer", "a.pdf", letter, form...).Has(t, http.StatusSeeOther)
	if b.flagAtPath(b.skin).ClosedAt == nil {
		t.Error("the later letter closed nothing")
	}
}

// TestDocumentMustBeWhole: the beginning of a document is none.
func TestDocumentMustBeWhole(t *testing.T) {
	var cut, whole bytes.Buffer
	picture := image.NewGray(image.Rect(0, 0, leastSide, leastSide))
	if err := jpeg.Encode(&whole, picture, nil); err != nil {
		t.Fatal(err)
	}
	if err := png.Encode(&cut, picture); err != nil {
		t.Fatal(err)
	}
	for name, tt := range map[string]struct {
		content []byte
		problem string
	}{
		"a letter":                    {letter, ""},
		"the end within 2 kB":         {append(bytes.Clone(letter), bytes.Repeat([]byte{' '}, 2000)...), ""},
		"a PDF's first five bytes":    {[]byte("%PDF-"), "problem.document-broken"},
		"a script called PDF":         {[]byte("%PDF-1.7\n<html><script>1</script>"), "problem.document-broken"},
		"a PDF without an object":     {[]byte("%PDF-1.7\n%%EOF\n"), "problem.document-broken"},
		"a PDF without its end":       {bytes.TrimSuffix(letter, []byte("%%EOF\n")), "problem.document-broken"},
		"a PDF whose end is far away": {append(bytes.Clone(letter), make([]byte, 4000)...), "problem.document-broken"},
		"a JPEG":                      {whole.Bytes(), ""},
		"a PNG":                       {cut.Bytes(), ""},
		"half a JPEG":                 {whole.Bytes()[:whole.Len()-40], "problem.document-broken"},
		"half a PNG":                  {cut.Bytes()[:cut.Len()-20], "problem.document-broken"},
		"only a picture's header":     {pictureOf(t, 999, 999), "problem.document-broken"},
	} {
		if _, problem := mediaType(tt.content); problem != tt.problem {
			t.Errorf("%s: got %q, want %q", name, problem, tt.problem)
		}
	}
}

// TestNobodyWhoSignsInAnswersByLetter: who has an account reviews and signs, and
// nobody else speaks for them.
func TestNobodyWhoSignsInAnswersByLetter(t *testing.T) {
	b := newHandoverBench(t)
	b.As("wren", models.Prosthetist)
	path := strings.TrimSuffix(b.form, "/new")
	for _, name := range []string{"Wren", " wREN ", "Kit"} {
		b.kit.PostForm(path, b.Filled("to_whom", name, "note", "kept words")).Has(t, http.StatusUnprocessableEntity,
			"signs in here: they review and sign themselves.", "#to_whom", "kept words")
	}
	handover := b.HandedOver()
	for _, name := range []string{"Wren", "KIT"} {
		b.kit.Send(handover+"/answer", "a.pdf", letter, b.answerTo(handover, "from_whom", name)...).Has(t, http.StatusUnprocessableEntity,
			"signs in here: they review and sign themselves.", "#from_whom")
	}
	if len(b.answers()) != 0 {
		t.Error("an answer that was refused is there")
	}
	gone, err := b.store.PersonBySignIn(t.Context(), "wren")
	if err != nil {
		t.Fatal(err)
	}
	gone.DisabledAt = new(b.clock.Now())
	if err := b.store.UpdatePerson(t.Context(), &gone); err != nil {
		t.Fatal(err)
	}
	b.kit.Send(handover+"/answer", "a.pdf", letter, b.answerTo(handover, "from_whom", "Wren")...).Has(t, http.StatusSeeOther)
}

// TestHandingOverFromAStalePage: what came since the page was opened counts as
// seen by nobody.
func TestHandingOverFromAStalePage(t *testing.T) {
	b := newHandoverBench(t)
	form := b.Filled("note", "kept words")
	b.kit.Post(b.skin+"/seen", "version", "1").Has(t, http.StatusSeeOther)
	b.raiseNow(b.client, b.checkin)
	path := strings.TrimSuffix(b.form, "/new")
	b.kit.PostForm(path, form).Has(t, http.StatusConflict, "got new evidence", "kept words")
	if f := b.flagAtPath(b.skin); f.SeenAt != nil || f.HandoverID != nil {
		t.Errorf("got %+v, want it seen by nobody", f)
	}
	b.kit.PostForm(path, b.Filled()).Has(t, http.StatusSeeOther)
	if f := b.flagAtPath(b.skin); f.SeenAt == nil {
		t.Errorf("got %+v, want it seen by whoever handed it over", f)
	}
}

// TestAnswerOfWhomItIsNotWithAnyMore: a flag that went to another prosthetist is
// closed by nobody whom it was with before.
func TestAnswerOfWhomItIsNotWithAnyMore(t *testing.T) {
	b := newHandoverBench(t)
	old := b.HandedOver()
	stale := b.answerTo(old, b.closing(b.skin, "kept reason")...)
	form := b.Filled("to_whom", "Second S", "flag."+idIn(b.skin), "yes")
	form.Del("flag." + idIn(b.limb))
	second := b.kit.PostForm(strings.TrimSuffix(b.form, "/new"), form)
	second.Has(t, http.StatusSeeOther)
	b.kit.Send(old+"/answer", "a.pdf", letter, stale...).Has(t, http.StatusUnprocessableEntity, "is now with Second S", "kept reason")
	if f := b.flagAtPath(b.skin); f.ClosedAt != nil {
		t.Fatal("closed by the letter of whom it is not with")
	}
	page := b.kit.Get(old)
	page.Has(t, http.StatusOK, "close."+idIn(b.limb), "Now with Second S", "Record that I asked again")
	page.Lacks(t, "close."+idIn(b.skin))

	// also once the second has answered and nothing more is awaited
	b.kit.Post(second.Location+"/answer", b.answerTo(second.Location, "answer_means", "phone", "next_on", "")...).Has(t, http.StatusSeeOther)
	b.kit.Get(old).Lacks(t, "close."+idIn(b.skin))
	b.kit.Send(old+"/answer", "a.pdf", letter, b.answerTo(old, append(b.closing(b.skin, "kept reason"), "version."+idIn(b.skin), "1")...)...)
	if f := b.flagAtPath(b.skin); f.ClosedAt != nil {
		t.Fatal("closed by the letter of whom it is not with")
	}

	// asking again for what nobody awaits
	form = b.Filled("to_whom", "Second S", "flag."+idIn(b.limb), "yes")
	b.kit.PostForm(strings.TrimSuffix(b.form, "/new"), form).Has(t, http.StatusSeeOther)
	page = b.kit.Get(old)
	page.Has(t, http.StatusOK, "No flag awaits the answer to this handover any more, so there is nothing to ask again for.")
	page.Lacks(t, "Record that I asked again")
	b.kit.Post(old+"/ask-again", "version", "1", "again_on", b.day(3), "again_note", "kept note").Has(t, http.StatusConflict, "kept note")
}

// TestNobodyPutsOffAskingForLong: a flag that was handed over comes back into
// Today within three months.
func TestNobodyPutsOffAskingForLong(t *testing.T) {
	b := newHandoverBench(t)
	path := strings.TrimSuffix(b.form, "/new")
	b.kit.PostForm(path, b.Filled("ask_again_on", b.day(91))).Has(t, http.StatusUnprocessableEntity, "#ask_again_on", "at the latest")
	b.kit.PostForm(path, b.Filled("ask_again_on", "2190-01-01")).Has(t, http.StatusUnprocessableEntity, "#ask_again_on", "at the latest")
	made := b.kit.PostForm(path, b.Filled("ask_again_on", b.day(90)))
	made.Has(t, http.StatusSeeOther)
	b.kit.Post(made.Location+"/ask-again", "version", "1", "again_on", b.day(91)).Has(t, http.StatusUnprocessableEntity, "#again_on", "at the latest")
	b.kit.Post(made.Location+"/answer", b.answerTo(made.Location, "answer_means", "phone", "next_on", b.day(91))...).
		Has(t, http.StatusUnprocessableEntity, "#next_on", "at the latest")
}

// TestClosingWhatWasClosedMeanwhile: a tick for a flag that was closed since the page
// was opened is not dropped: the page shows what stands now and what was typed.
func TestClosingWhatWasClosedMeanwhile(t *testing.T) {
	for name, pairs := range map[string][]string{
		"ticked": {"close.", "yes", "reason.", "kept reason"}, "without a reason": {"close.", "yes", "reason.", ""}, "not ticked": {"reason.", "kept reason"},
	} {
		t.Run(name, func(t *testing.T) {
			b := newHandoverBench(t)
			handover := b.HandedOver()
			var typed []string
			for i := 0; i < len(pairs); i += 2 {
				typed = append(typed, pairs[i]+idIn(b.skin), pairs[i+1])
			}
			sent := b.answerTo(handover, append(typed, "said", "kept words")...)
			b.signed(b.Person("wren", models.Prosthetist), models.Decision{Kind: models.NoChangeDecided})
			review, err := b.store.ReviewsOf(t.Context(), b.client.Limb.ID)
			if err != nil {
				t.Fatal(err)
			}
			closing := models.Closing{By: review[0].SignedBy, Reason: "signed", ReviewID: &review[0].ID}
			if err := b.store.CloseFlag(t.Context(), idIn(b.skin), b.flagAtPath(b.skin).Version, closing); err != nil {
				t.Fatal(err)
			}
			a := b.kit.Send(handover+"/answer", "a.pdf", letter, sent...)
			a.Has(t, http.StatusConflict, "Somebody recorded something here", "These are closed or with somebody else by now", "kept words")
			if typed[len(typed)-1] != "" {
				a.Has(t, http.StatusConflict, "kept reason")
			}
			if len(b.answers()) != 0 {
				t.Error("something was recorded")
			}
		})
	}
}
