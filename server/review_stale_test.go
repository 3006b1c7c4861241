package server

import (
	"net/http"
	"testing"
)

// TestReviewOvertakenByWhatSomebodyDid: a call, a handover or another record of
// the client between check and signature is shown before anything is signed.
func TestReviewOvertakenByWhatSomebodyDid(t *testing.T) {
	for name, tt := range map[string]struct {
		happens func(reviewBench)
		want    string
	}{
		"a call": {func(r reviewBench) {
			r.fitter.Post("/clients/"+r.client.ID+"/flags/"+r.flag+"/called", "outcome", "reached", "call_note", "says the limb is blue and cold", "version", "1").
				Has(t, http.StatusSeeOther)
		}, "says the limb is blue and cold"},
		"a handover": {func(r reviewBench) { r.handOver(r.client, "Ash", r.flag) }, "Handed over to Ash"},
		"less feeling": {func(r reviewBench) {
			c, err := r.store.ClientByID(t.Context(), r.client.ID)
			if err == nil {
				c.ReducedFeeling = true
				err = r.store.UpdateClient(t.Context(), &c)
			}
			if err != nil {
				t.Fatal(err)
			}
		}, "The record of the client was changed"},
	} {
		t.Run(name, func(t *testing.T) {
			r := newReviewBench(t)
			form := r.Checked(r.wren, "decision.no-change", "yes", "flag."+r.flag, "close", "reason."+r.flag, "kept reason")
			tt.happens(r)
			a := r.wren.PostForm(r.path+"/sign", with(form, "password", testPassword))
			a.Has(t, http.StatusConflict, "Something came since you opened this", "What is new since you opened this", tt.want, "kept reason")
			if len(r.signed()) != 0 {
				t.Error("it was signed")
			}
		})
	}
}

// TestLookingAtAFlagOvertakesNoReview: that somebody has seen it is no news.
func TestLookingAtAFlagOvertakesNoReview(t *testing.T) {
	r := newReviewBench(t)
	form := r.Checked(r.wren, "decision.no-change", "yes", "flag."+r.flag, "close", "reason."+r.flag, "fine")
	r.fitter.Post("/clients/"+r.client.ID+"/flags/"+r.flag+"/seen", "version", "1").Has(t, http.StatusSeeOther)
	r.wren.PostForm(r.path+"/sign", with(form, "password", testPassword)).Has(t, http.StatusSeeOther)
}
