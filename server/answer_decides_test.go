package server

import (
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"

	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/form"
)

// said is a day as pages say it.
func (b handoverBench) said(n int) string {
	return form.FormatDate(quantity.Date(b.day(n)), language)
}

// signed signs a review of the bench's limb now, as the one after the last.
func (b handoverBench) signed(by models.Person, decisions ...models.Decision) {
	b.t.Helper()
	before, err := b.store.ReviewsOf(b.t.Context(), b.client.Limb.ID)
	if err != nil {
		b.t.Fatal(err)
	}
	r := models.Review{
		ClientID: b.client.ID, LimbID: b.client.Limb.ID, Number: len(before) + 1, SignedAt: b.clock.Now(), SignedBy: by.ID,
		SignerName: "W. Wren", Decisions: decisions, ContentHash: "none",
	}
	if err := b.store.CreateReview(b.t.Context(), &r); err != nil {
		b.t.Fatal(err)
	}
}

// TestALetterDecides: what is ticked with the letter attached stands on the
// client's page and in Today in the name of its writer, as recorded by the fitter.
func TestALetterDecides(t *testing.T) {
	b := newHandoverBench(t)
	handover := b.HandedOver()
	b.kit.Get(handover).Has(t, http.StatusOK, "What the letter decides", "Do not wear the prosthesis until seen", `name="look_again_on"`, "What was said by telephone")
	pairs := b.answerTo(handover, append(append(b.closing(b.limb, "seen"), b.closing(b.skin, "seen")...),
		"decision.do-not-wear", "yes", "decision.cover-off", "yes", "cover_off_until", "the clip is <new>", "decision.look-again", "yes", "look_again_on", b.day(9),
		"decision.sock-advice", "yes", "sock_advice_what", "3 ply at most", "decision.refer", "yes", "refer_whom", "the clinic")...)
	b.kit.Send(handover+"/answer", "a.pdf", letter, pairs...).Has(t, http.StatusSeeOther)
	b.kit.Send(handover+"/answer", "a.pdf", letter, pairs...).Has(t, http.StatusSeeOther)
	b.kit.Send(handover+"/answer", "a.pdf", letter, append(pairs, "sock_advice_what", "5 ply")...).Has(t, http.StatusUnprocessableEntity, "saved before", "5 ply")
	if all := b.answers(); len(all) != 1 || len(all[0].Decisions) != 5 {
		t.Fatalf("got %+v, want one answer with five decisions", all)
	}
	by := "er letter of I. Invented of " + b.said(0) + ", recorded by Kit"
	held := "Do not wear the prosthesis until seen. Cover off until the clip is &lt;new&gt;"
	page := b.kit.Get("/clients/" + b.client.ID)
	page.Has(t, http.StatusOK, "<h1>"+held+"</h1>", "Look again by "+b.said(9)+".", "P"+by, `href="`+handover+`"`, "Sock advice was given: 3 ply at most.", "Referred to the clinic.")
	page.Lacks(t, "Signed by")
	page.Lacks(t, "No review has been signed yet.")
	b.kit.Get("/today").Has(t, http.StatusOK, ">Soon", held+". Look again by "+b.said(9)+". P"+by)
	if n := strings.Count(page.Body, "<p>Answer of I. Invented of "); n != 1 {
		t.Errorf("the history tells the one answer %d times", n)
	}
	page = b.kit.Get(handover)
	page.Lacks(t, "Only the prosthetist can close this.") // both are closed
	page.Has(t, http.StatusOK, "Decided by this letter:", "3 ply at most", "In force now.", "P"+by)
	page.Lacks(t, "No longer in force")
}

// TestAnswerTypedOverAfterItWasRecorded: who goes back and changes what follows from
// an answer is told that it is recorded, and loses nothing.
func TestAnswerTypedOverAfterItWasRecorded(t *testing.T) {
	b := newHandoverBench(t)
	handover := b.HandedOver()
	sent := b.answerTo(handover, append(b.closing(b.limb, "as written"), "limits_set", "yes", "loss", "4")...)
	b.kit.Send(handover+"/answer", "a.pdf", letter, sent...).Has(t, http.StatusSeeOther)
	for name, pairs := range map[string][]string{
		"another limit": {"loss", "3"}, "another reason for the limits": {"limits_reason", "kept words"},
		"another flag": b.closing(b.skin, "kept words"), "another reason": {"reason." + idIn(b.limb), "kept words"},
	} {
		t.Run(name, func(t *testing.T) {
			a := b.kit.Send(handover+"/answer", "a.pdf", letter, append(slices.Clone(sent), pairs...)...)
			a.Has(t, http.StatusUnprocessableEntity, "saved before", pairs[len(pairs)-1])
		})
	}
	b.kit.Send(handover+"/answer", "a.pdf", letter, sent...).Has(t, http.StatusSeeOther)
	if n := len(b.answers()); n != 1 {
		t.Errorf("got %d answers, want one", n)
	}
}

// TestWhatALetterDecidesNeedsIt: not by telephone, not without the document, not
// half filled in; nothing that was typed is lost.
func TestWhatALetterDecidesNeedsIt(t *testing.T) {
	b := newHandoverBench(t)
	handover := b.HandedOver()
	ticked := []string{"decision.do-not-wear", "yes"}
	kept := `name="decision.do-not-wear" value="yes" checked`
	b.kit.Post(handover+"/answer", b.answerTo(handover, ticked...)...).Has(t, http.StatusUnprocessableEntity, "only with its document", kept)
	called := b.kit.Post(handover+"/answer", b.answerTo(handover, append(ticked, "answer_means", "phone")...)...)
	called.Has(t, http.StatusUnprocessableEntity, "decides nothing", "#answer_means", kept)
	called.Lacks(t, "Choose the file, or take")
	b.kit.Send(handover+"/answer", "a.pdf", letter, b.answerTo(handover, append(ticked, "answer_means", "phone")...)...).
		Has(t, http.StatusUnprocessableEntity, "decides nothing", kept)
	for name, tt := range map[string]struct{ pairs, want []string }{
		"no day":               {[]string{"decision.look-again", "yes"}, []string{`href="#look_again_on">Look again by`}},
		"a day, no tick":       {[]string{"look_again_on", b.day(5)}, []string{`href="#look_again_on">Look again by`, "not ticked"}},
		"before the letter":    {[]string{"decision.look-again", "yes", "look_again_on", b.day(-1)}, []string{"before the date of the letter"}},
		"off until when":       {[]string{"decision.cover-off", "yes"}, []string{`href="#cover_off_until"`}},
		"to nobody":            {[]string{"decision.refer", "yes"}, []string{`href="#refer_whom">Refer to whom`}},
		"contradiction":        {append(ticked, "decision.no-change", "yes"), []string{`href="#decisions">Decisions`, "can&#39;t stand beside"}},
		"a box that is no box": {[]string{"decision.adjust", "maybe"}, []string{`href="#decision.adjust">Adjust the socket`}},
	} {
		t.Run(name, func(t *testing.T) {
			b.kit.Send(handover+"/answer", "a.pdf", letter, b.answerTo(handover, append(tt.pairs, "said", "kept <words>")...)...).
				Has(t, http.StatusUnprocessableEntity, append(tt.want, "kept &lt;words&gt;")...)
		})
	}
	if len(b.answers()) != 0 {
		t.Error("something was recorded")
	}
	b.kit.Post(handover+"/answer", b.answerTo(handover, "answer_means", "phone", "said", "Do not wear it")...).Has(t, http.StatusSeeOther)
	b.kit.Get("/clients/"+b.client.ID).Lacks(t, "<h1>Do not wear")
}

// TestLetterAndReviewInTurn: the later one stands, by the date of the letter and the
// day of the signature, whenever the letter was recorded.
func TestLetterAndReviewInTurn(t *testing.T) {
	b := newHandoverBench(t)
	handover, client, wren := b.HandedOver(), "/clients/"+b.client.ID, b.Person("wren", models.Prosthetist)
	written := func(day int, pairs ...string) {
		t.Helper()
		b.kit.Send(handover+"/answer", "a.pdf", letter, b.answerTo(handover, append(pairs, "answered_on", b.day(day))...)...).Has(t, http.StatusSeeOther)
	}
	doNotWear, noChange := []string{"decision.do-not-wear", "yes"}, []string{"decision.no-change", "yes"}
	later := func(days int) {
		b.clock.Pass(time.Duration(days) * 24 * time.Hour)
		b.kit = b.again("kit")
	}
	b.signed(wren, models.Decision{Kind: models.DoNotWear})
	standing := "Do not wear the prosthesis until seen. <a"
	b.kit.Get(client).Has(t, http.StatusOK, standing, "Decided by W. Wren")
	written(0, noChange...) // of the same day, recorded after: nobody knows which came last
	b.kit.Get(client).Has(t, http.StatusOK, standing)
	later(2)
	written(-2, noChange...)
	b.kit.Get(client).Has(t, http.StatusOK, standing)
	written(-1, noChange...) // of a later day: lifts it
	b.kit.Get(client).Lacks(t, standing)
	written(-1, doNotWear...) // the letter of one day that was recorded last
	b.kit.Get(client).Has(t, http.StatusOK, standing, "Per letter of I. Invented")
	b.kit.Post(handover+"/answer", b.answerTo(handover, "answer_means", "phone", "answered_on", b.day(0), "said", "wear it")...).Has(t, http.StatusSeeOther)
	b.kit.Get(client).Has(t, http.StatusOK, standing) // a telephone lifts nothing
	b.signed(wren, models.Decision{Kind: models.NoChangeDecided})
	b.kit.Get(client).Lacks(t, standing)
	written(-1, doNotWear...) // stale: older than the review
	b.kit.Get(client).Lacks(t, standing)
	b.kit.Get("/today").Lacks(t, "Do not wear")
	b.kit.Get(handover).Has(t, http.StatusOK, "No longer in force. In its place: Decided by W. Wren on "+b.said(0))
	later(3)
	written(0, append(doNotWear, "decision.look-again", "yes", "look_again_on", b.day(1))...)
	b.kit.Get(client).Has(t, http.StatusOK, "Do not wear the prosthesis until seen. Look again by "+b.said(1)+". <a")
}

// TestTheDayOfALetterComes: whoever wrote it has no list here, so that the day to
// look again stands in Today from then on.
func TestTheDayOfALetterComes(t *testing.T) {
	b := newHandoverBench(t)
	handover := b.HandedOver()
	b.kit.Send(handover+"/answer", "a.pdf", letter, b.answerTo(handover, append(append(b.closing(b.limb, "one"), b.closing(b.skin, "two")...),
		"decision.look-again", "yes", "look_again_on", b.day(2))...)...).Has(t, http.StatusSeeOther)
	look := "Look again by " + b.said(2) + ". Per letter of I. Invented"
	b.kit.Get("/today").Lacks(t, look)
	b.clock.Pass(2 * 24 * time.Hour)
	b.again("kit").Get("/today").Has(t, http.StatusOK, look)
}

// TestAskAgainOnTheDayInForce: the form of an answer begins with the day that is
// in force, and not with another.
func TestAskAgainOnTheDayInForce(t *testing.T) {
	b := newHandoverBench(t)
	made := b.kit.PostForm(b.form[:len(b.form)-len("/new")], b.Filled("ask_again_on", b.day(6)))
	form := func() answer {
		t.Helper()
		return b.kit.Get(made.Location)
	}
	if got := form().Value(t, "next_on"); got != b.day(6) {
		t.Errorf("got %s, want %s", got, b.day(6))
	}
	b.kit.Post(made.Location+"/ask-again", "version", "1", "again_on", b.day(8)).Has(t, http.StatusSeeOther)
	if got := form().Value(t, "next_on"); got != b.day(8) {
		t.Errorf("got %s, want %s", got, b.day(8))
	}
}
