package server

import (
	"net/http"
	"strings"
	"testing"

	"fairlead/analytics/quantity"
	"fairlead/models"
)

// TestSkinSignOfTheSameDay: what the workshop is to hear of today, the client is
// told to phone about today, though nothing was ticked on the safety page.
func TestSkinSignOfTheSameDay(t *testing.T) {
	for sign, word := range map[string]string{
		"open-sore": "An open sore", "colour-change": "A new colour: blue, purple or white", "swelling": "It is swollen",
		"discharge": "It is wet, or something comes out", "blister": "A blister",
	} {
		t.Run(sign, func(t *testing.T) {
			r := newReporter(t)
			r.Start()
			r.Answer("safety", "what", "safety.none", "yes")
			r.Answer("skin", "now", "skin."+sign, "yes", "skin.redness-fades", "yes")
			r.Get("/report/now").Has(t, http.StatusOK, "<h1>Phone your clinic today</h1>", `href="tel:030122"`, "Sit down first", "<li>"+word+"</li>",
				`class="back" href="/report/skin"`)
			r.Answer("now", "text", "cannot-phone", "yes")
			r.Get("/report/text").Has(t, http.StatusOK, `class="back" href="/report/now"`)
			r.Get("/report/check").Has(t, http.StatusOK, "Phone first if you have not yet", `href="tel:030122"`, word, "I can&#39;t phone")
			r.Post("/report/send").leads(t, "sent")
			r.Get("/report/sent").Has(t, http.StatusOK, "Phone first if you have not yet", `href="tel:030122"`)
			if got := r.reports()[0].Said; !got.CannotPhone || len(got.Safety) > 0 {
				t.Errorf("said %+v", got)
			}
			r.As("kit", models.Fitter).Get("/today").Has(t, http.StatusOK, "now")
		})
	}
}

func TestSkinSignThatCanWait(t *testing.T) {
	r := newReporter(t)
	r.Start()
	r.Answer("safety", "what", "safety.none", "yes")
	r.Answer("what", "where", "what.skin", "yes")
	r.Answer("skin", "text", "skin.redness-stays", "yes", "skin.rash", "yes")
	r.Get("/report/now").leads(t, "what")
	check := r.Get("/report/check")
	r.Post("/report/send").leads(t, "sent")
	for _, page := range []answer{check, r.Get("/report/sent")} {
		if strings.Contains(page.Body, "Phone first") {
			t.Errorf("phone first for what can wait\n%s", page.Body)
		}
	}
}

// TestSkinSignOneStepUp: with reduced feeling a sign for the next days is one for
// today.
func TestSkinSignOneStepUp(t *testing.T) {
	r := newReporter(t)
	client, err := r.store.ClientByID(t.Context(), r.client.ID)
	if err != nil {
		t.Fatal(err)
	}
	client.ReducedFeeling = true
	if err := r.store.UpdateClient(t.Context(), &client); err != nil {
		t.Fatal(err)
	}
	r.Start()
	r.Answer("safety", "what", "safety.none", "yes")
	r.Answer("skin", "text", "skin.redness-fades", "yes")
	r.Answer("skin", "now", "skin.redness-stays", "yes")
	r.Answer("skin", "text")
	r.Answer("what", "where", "what.skin", "yes")
	r.Answer("skin", "now")
	r.Get("/report/now").Has(t, http.StatusOK, "<li>My skin has changed</li>")
}

// TestWhatToDoNowIsShownOnce: who was told on the second page is not told again,
// and a change from the page of all answers leads back to it.
func TestWhatToDoNowIsShownOnce(t *testing.T) {
	r := newReporter(t)
	r.Start()
	r.Answer("safety", "now", "safety.broken", "yes")
	r.Answer("skin", "text", "skin.open-sore", "yes")
	r.Get("/report/now").Has(t, http.StatusOK, "<li>Cracked, bent, broken, loose or sharp</li>", `class="back" href="/report/safety"`)
	r.Answer("now", "what")
	r.Answer("skin?from=check", "check", "skin.open-sore", "yes")
	r.Answer("safety", "what", "safety.none", "yes")
	r.Answer("skin?from=check", "now?from=check", "skin.open-sore", "yes")
	r.Get("/report/now?from=check").Has(t, http.StatusOK, `action="/report/now?from=check"`)
	r.Answer("now?from=check", "check")
	r.Answer("skin?from=check", "check", "skin.lump", "yes")
}

// TestPagesOfAFullReport counts the pages of a report that answers everything,
// from the first to the confirmation.
func TestPagesOfAFullReport(t *testing.T) {
	const most = 14
	levels := map[string][]quantity.AmputationLevel{
		"one limb": {quantity.Transtibial}, "several": {quantity.Transtibial, quantity.Transradial},
	}
	for name, of := range levels {
		for _, safety := range []string{"none", "open-skin"} {
			t.Run(name+", "+safety, func(t *testing.T) {
				s := newSite(t)
				s.withNumbers()
				r := s.Reporter("K-001", of...)
				r.Start()
				pages := 2 // the first, and the confirmation
				seen := map[string]int{}
				for step := "safety"; step != "check"; pages++ {
					seen[step]++
					r.Get("/report/"+step).Has(t, http.StatusOK)
					a := r.Post("/report/"+step, "safety."+safety, "yes", "skin.open-sore", "yes", "limb", "0")
					if a.Status != http.StatusSeeOther {
						t.Fatalf("%s: status %d", step, a.Status)
					}
					step = strings.TrimPrefix(a.Location, "/report/")
				}
				pages++ // check
				if seen["now"] != 1 {
					t.Errorf("what to do now is shown %d times, want once", seen["now"])
				}
				if pages > most {
					t.Errorf("%d pages, want at most %d", pages, most)
				}
				t.Logf("%d pages", pages)
			})
		}
	}
}

// TestWhatIsOffStaysOff: nobody is asked to take off what can't be put on.
func TestWhatIsOffStaysOff(t *testing.T) {
	r := newReporter(t)
	r.Start()
	const takeOff, leaveOff = "Take the leg off if you can", "<p>Leave the leg off until someone tells you what to do.</p>"
	tests := []struct {
		ticked    []string
		says, not string
	}{
		{[]string{"safety.cannot-put-on", "yes"}, leaveOff, takeOff},
		{[]string{"safety.cannot-put-on", "yes", "safety.open-skin", "yes"}, takeOff, leaveOff},
		{[]string{"safety.open-skin", "yes"}, takeOff, leaveOff},
	}
	for _, tt := range tests {
		r.Answer("safety", "now", tt.ticked...)
		a := r.Get("/report/now")
		a.Has(t, http.StatusOK, tt.says)
		if strings.Contains(a.Body, tt.not) {
			t.Errorf("%v: %q is there as well", tt.ticked, tt.not)
		}
	}
}
