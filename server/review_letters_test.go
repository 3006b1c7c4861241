package server

import (
	"net/http"
	"strings"
	"testing"
	"time"

	"fairlead/models"
)

// TestLetterStandsBeforeTheProsthetist: what a letter closed is looked at by who
// signs in for the client, until they sign.
func TestLetterStandsBeforeTheProsthetist(t *testing.T) {
	r := newReviewBench(t)
	b := handoverBench{site: r.site, kit: r.fitter, client: r.client, form: limbPath(r.client.Limb) + "/handovers/new",
		limb: clientPath(r.client.Client) + "/flags/" + r.flag}
	handover := b.HandedOver()
	said := "Wren of this client&#39;s care team signs in here. What this letter closes"
	b.kit.Get(handover).Has(t, http.StatusOK, said)
	form := b.answerTo(handover, b.closing(b.limb, "a new liner")...)
	b.kit.Send(handover+"/answer", "a.pdf", letter, form...).Has(t, http.StatusSeeOther)
	if b.flagAtPath(b.limb).ClosedAt == nil {
		t.Fatal("the letter closed nothing")
	}
	r.clock.Pass(time.Minute)
	letterOf := "losed or decided per letter of I. Invented of "
	r.wren.Get("/reviews").Has(t, http.StatusOK, "One closed or decided by letter to look at", "To look at: c"+letterOf, "recorded by Kit on", "By letter")
	r.wren.Get(r.path).Has(t, http.StatusOK, "To look at: recorded by letter", "C"+letterOf, "recorded by Kit on", "because: a new liner", `href="`+handover+`"`)

	check := r.Checked(r.wren, "decision.no-change", "yes")
	r.wren.PostForm(r.path+"/sign", with(check, "password", testPassword)).Has(t, http.StatusSeeOther)
	r.wren.Get("/reviews").Lacks(t, "by letter")
	r.wren.Get(r.path).Lacks(t, "To look at")
}

// TestNobodyConfirmsForOthersWhatTheyRecorded: the signature of who recorded a
// letter takes it off their own list alone.
func TestNobodyConfirmsForOthersWhatTheyRecorded(t *testing.T) {
	r := newReviewBench(t)
	both := r.As("rail", models.Fitter, models.Prosthetist)
	rail, err := r.store.PersonBySignIn(t.Context(), "rail")
	if err != nil {
		t.Fatal(err)
	}
	r.team(r.client.Client, &rail, r.personOf("wren"))
	b := handoverBench{site: r.site, kit: both, client: r.client, form: limbPath(r.client.Limb) + "/handovers/new",
		limb: clientPath(r.client.Client) + "/flags/" + r.flag}
	handover := b.HandedOver()
	b.kit.Send(handover+"/answer", "a.pdf", letter, b.answerTo(handover, b.closing(b.limb, "a new liner")...)...).Has(t, http.StatusSeeOther)
	r.clock.Pass(time.Minute)
	both.Get("/reviews").Has(t, http.StatusOK, "recorded by Rail on")
	check := r.Checked(both, "decision.no-change", "yes")
	both.PostForm(r.path+"/sign", with(check, "password", testPassword)).Has(t, http.StatusSeeOther)
	both.Get("/reviews").Lacks(t, "recorded by Rail on")
	r.wren.Get("/reviews").Has(t, http.StatusOK, "recorded by Rail on")
	r.wren.Get(r.path).Has(t, http.StatusOK, "recorded by Rail on")
}

// TestAnswerWithoutAProsthetistWhoSignsIn says nothing of a list that nobody reads.
func TestAnswerWithoutAProsthetistWhoSignsIn(t *testing.T) {
	b := newHandoverBench(t)
	b.kit.Get(b.HandedOver()).Lacks(t, "signs in here. What this letter")
}

// personOf is the person with a sign-in name.
func (s *site) personOf(signIn string) models.Person {
	s.t.Helper()
	p, err := s.store.PersonBySignIn(s.t.Context(), strings.ToLower(signIn))
	if err != nil {
		s.t.Fatal(err)
	}
	return p
}
