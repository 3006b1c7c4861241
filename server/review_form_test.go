package server

import (
	"net/http"
	"strings"
	"testing"

	"fairlead/analytics/assess"
	"fairlead/analytics/quantity"
	"fairlead/models"
)

func TestReviewFormSaysWhatIsWrong(t *testing.T) {
	r := newReviewBench(t)
	past := string(quantity.DateOf(r.clock.Now().AddDate(0, 0, -1)))
	for name, tt := range map[string]struct {
		pairs []string
		want  string
	}{
		"nothing decided":          {nil, "Decide at least one thing"},
		"no change beside adjust":  {[]string{"decision.no-change", "yes", "decision.adjust", "yes"}, "can&#39;t stand beside"},
		"no change, cover off":     {[]string{"decision.no-change", "yes", "decision.cover-off", "yes", "cover_off_until", "mended"}, "can&#39;t stand beside"},
		"no change, do not wear":   {[]string{"decision.no-change", "yes", "decision.do-not-wear", "yes"}, "can&#39;t stand beside"},
		"look again without a day": {[]string{"decision.look-again", "yes"}, "#look_again_on"},
		"look again in the past":   {[]string{"decision.look-again", "yes", "look_again_on", past}, "That day has passed"},
		"a day that isn't ticked":  {[]string{"decision.no-change", "yes", "look_again_on", "2199-01-01"}, "not ticked"},
		"cover off until nothing":  {[]string{"decision.cover-off", "yes"}, "#cover_off_until"},
		"refer to nobody":          {[]string{"decision.refer", "yes"}, "#refer_whom"},
		"other, nothing":           {[]string{"decision.other", "yes"}, "#other_what"},
		"limits without a reason":  {[]string{"loss", "6"}, "#limits_reason"},
		"confirmed without reason": {[]string{"limits_confirm", "yes"}, "#limits_reason"},
		"confirmed and changed":    {[]string{"loss", "6", "limits_confirm", "yes", "limits_reason", "x"}, "A figure above was changed"},
		"a reason for nothing":     {[]string{"decision.no-change", "yes", "limits_reason", "x"}, "neither changed nor confirmed"},
		"order of loss":            {[]string{"loss", "11", "limits_reason", "x"}, "must not be smaller"},
		"order of gain":            {[]string{"gain", "11", "limits_reason", "x"}, "must not be smaller"},
		"no figure":                {[]string{"loss", "much", "decision.no-change", "yes"}, "#loss"},
		"too fine":                 {[]string{"loss", "5.25", "limits_reason", "x"}, "One decimal"},
		"room of nothing":          {[]string{"room", "0", "decision.no-change", "yes"}, "#room"},
		"closed without a reason":  {[]string{"decision.no-change", "yes", "flag." + r.flag, "close"}, "Say why this can be closed"},
		"kept with a reason":       {[]string{"decision.no-change", "yes", "reason." + r.flag, "x"}, "the flag is kept open"},
		"neither kept nor closed":  {[]string{"decision.no-change", "yes", "flag." + r.flag, "forget"}, "#flag." + r.flag},
		"a note that is too long":  {[]string{"decision.no-change", "yes", "note", strings.Repeat("é", longestNote+1)}, "#note"},
	} {
		a := r.wren.PostForm(r.path, r.Form(r.wren, tt.pairs...))
		a.Has(t, http.StatusUnprocessableEntity, tt.want)
		for i := 0; i+1 < len(tt.pairs); i += 2 {
			if len(tt.pairs[i+1]) > 3 && tt.pairs[i+1] != "forget" && !strings.Contains(a.Body, tt.pairs[i+1][:4]) {
				t.Errorf("%s: %q is lost", name, tt.pairs[i+1])
			}
		}
	}
}

// TestANowFlagClosesOnlyWithAReasonOfItsOwn: for the others the note will do.
func TestANowFlagClosesOnlyWithAReasonOfItsOwn(t *testing.T) {
	r := newReviewBench(t)
	for _, tt := range []struct {
		level  assess.Level
		status int
	}{{assess.Watch, http.StatusOK}, {assess.Now, http.StatusUnprocessableEntity}} {
		flag, err := r.store.FlagByID(t.Context(), r.flag)
		if err != nil {
			t.Fatal(err)
		}
		flag.Level = string(tt.level)
		if _, err := r.store.RaiseFlag(t.Context(), flag, models.FlagEvidence{
			CheckinID: flag.Evidence[0].CheckinID, Level: string(tt.level), Finding: flag.Evidence[0].Finding,
		}); err != nil {
			t.Fatal(err)
		}
		a := r.wren.PostForm(r.path, r.Form(r.wren, "decision.no-change", "yes", "note", "all seen with the client", "flag."+r.flag, "close"))
		a.Has(t, tt.status)
		if tt.status == http.StatusOK {
			a.Has(t, tt.status, "Reason: all seen with the client")
		}
	}
}

func TestReviewOfAnArchivedClient(t *testing.T) {
	r := newReviewBench(t)
	form := r.Checked(r.wren, "decision.other", "yes", "other_what", "ring on Monday")
	client, err := r.store.ClientByID(t.Context(), r.client.ID)
	if err != nil {
		t.Fatal(err)
	}
	if err := r.store.ArchiveClient(t.Context(), client.ID, client.Version, "moved"); err != nil {
		t.Fatal(err)
	}
	r.wren.Get(r.path).Lacks(t, "Check before signing")
	for _, path := range []string{r.path, r.path + "/sign"} {
		r.wren.PostForm(path, with(form, "password", testPassword)).Has(t, http.StatusConflict, "ring on Monday")
	}
	if len(r.signed()) != 0 {
		t.Error("a review of an archived client was signed")
	}
}

// TestReviewIsChangedBeforeItIsSigned goes back to the form with all that was
// typed.
func TestReviewIsChangedBeforeItIsSigned(t *testing.T) {
	r := newReviewBench(t)
	form := r.Checked(r.wren, "decision.sock-advice", "yes", "sock_advice_what", "shown how to layer", "limits_confirm", "yes", "limits_reason", "they fit")
	r.wren.PostForm(r.path, with(form, "do", "change")).Has(t, http.StatusOK, "shown how to layer", "they fit", "Check before signing")
	r.wren.PostForm(r.path+"/sign", with(form, "password", testPassword)).Has(t, http.StatusSeeOther)
	r.wren.Get(signedPath(r.signed()[0])).Has(t, http.StatusOK, "Limits confirmed as they were.", "Sock advice was given: shown how to layer.", "Review again")
	r.wren.Get("/reviews").Lacks(t, "limits to confirm")
}
