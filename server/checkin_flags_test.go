package server

import (
	"net/http"
	"strings"
	"testing"
	"time"

	"fairlead/analytics/assess"
	"fairlead/models"
	"fairlead/server/followup"
)

// TestCheckinSaysHowItsFlagStands: the page of a check-in, and of one that is about
// to be saved, tells of the flag as it is: to be opened, open, closed by whom, or
// not opened because a review had settled it.
func TestCheckinSaysHowItsFlagStands(t *testing.T) {
	r := newReviewBench(t)
	const closer = "Only the prosthetist can close this."
	first := r.flagAt("/clients/" + r.client.ID + "/flags/" + r.flag)
	page := checkinPath(r.client.ID, *first.Evidence[0].CheckinID)
	r.fitter.Get(page).Has(t, http.StatusOK, "Open since "+sayDay(first.OpenedAt)+". "+closer, `href="`+flagPath(first)+`"`)

	wren, err := r.store.PersonBySignIn(t.Context(), "wren")
	if err != nil {
		t.Fatal(err)
	}
	review := models.Review{
		ClientID: r.client.ID, LimbID: r.client.Limb.ID, Number: 1, SignedAt: r.clock.Now(), SignedBy: wren.ID, SignerName: "W. Wren",
		Decisions: []models.Decision{{Kind: models.NoChangeDecided}}, ContentHash: "none",
	}
	if err := r.store.CreateReview(t.Context(), &review); err != nil {
		t.Fatal(err)
	}
	if err := r.store.CloseFlag(t.Context(), first.ID, first.Version, models.Closing{By: wren.ID, Reason: "expected", ReviewID: &review.ID}); err != nil {
		t.Fatal(err)
	}
	on := sayDay(r.clock.Now())
	r.fitter.Get(page).Has(t, http.StatusOK, "Closed on "+on+" by the signed review of W. Wren.")
	r.fitter.Get(page).Lacks(t, closer)

	r.clock.Pass(5 * time.Minute)
	settled := "settled by the review of " + on + ", signed by W. Wren."
	draft := r.fitter.Start(r.client.Client)
	r.fitter.Fill(draft, "talk", "kind", "follow-up")
	for _, pass := range []int{1, 2} {
		step := []string{"residual-1", "residual-2"}[pass-1]
		r.fitter.Fill(draft, step, girthPairs("residual", pass, "32.4", "32.7", "31.1")...)
	}
	r.fitter.Get(draft+"/result").Has(t, http.StatusOK, "Saving opens no flag: "+settled)
	saved := r.fitter.Save(draft, "left_empty", "time")
	r.fitter.Get(saved.Location).Has(t, http.StatusOK, "No flag was opened: "+settled, `href="`+flagPath(first)+`"`)
	r.fitter.Get(saved.Location).Lacks(t, closer)
}

// TestHowAFindingStandsInWords has the words of each state, and by whose word a flag
// that settles a finding was closed.
func TestHowAFindingStandsInWords(t *testing.T) {
	closed, around := lifeOfAFlag()
	answered, byFitter, open := closed, closed, closed
	answer := "answer"
	answered.ClosedReviewID, answered.ClosedAnswerID = nil, &answer
	byFitter.ClosedReviewID, byFitter.ClosedBy = nil, "kit"
	open.ClosedAt = nil
	f := assess.Finding{ClosedBy: assess.Prosthetist}
	for _, tt := range []struct {
		at    followup.FindingFlag
		saved bool
		want  string
	}{
		{followup.FindingFlag{State: followup.FlagThere, Flag: open}, true, "Open since 1 May 2026. Only the prosthetist can close this."},
		{followup.FindingFlag{State: followup.FlagThere, Flag: closed}, true, "Closed on 9 May 2026 by the signed review of W. Wren."},
		{followup.FindingFlag{State: followup.FlagJoins, Flag: open}, false, "Saving adds it to the flag that is open since 1 May 2026. Only the prosthetist can close this."},
		{followup.FindingFlag{State: followup.FlagOpens}, false, "Saving opens a flag. Only the prosthetist can close this."},
		{followup.FindingFlag{State: followup.FlagNone}, true, "No flag rests on this check-in."},
		{followup.FindingFlag{State: followup.FlagSettled, Flag: closed}, true, "No flag was opened: settled by the review of 9 May 2026, signed by W. Wren."},
		{followup.FindingFlag{State: followup.FlagSettled, Flag: answered}, true, "No flag was opened: settled by the written answer of R. Alder of 6 May 2026."},
		{followup.FindingFlag{State: followup.FlagSettled, Flag: byFitter}, false, "Saving opens no flag: settled when Kit closed the one before on 9 May 2026."},
	} {
		teller := resultTeller{flagTeller: testTeller(t, around), saved: tt.saved}
		if got := teller.standing(tt.at, f); got != tt.want {
			t.Errorf("%s: %q, want %q", tt.at.State, got, tt.want)
		}
	}
	if got := testTeller(t, around).found(example(assess.VolumeChange)).Why; strings.Contains(got, "prosthetist can close") || strings.Contains(got, "For the fitter") {
		t.Errorf("a finding without a flag says who closes it: %q", got)
	}
}
