package server

import (
	"net/http"
	"regexp"
	"slices"
	"strings"
	"testing"

	"fairlead/models"
)

// hiddenFields reads the hidden fields of a page, as the browser sends them.
func (a answer) hiddenFields() []string {
	var pairs []string
	for _, m := range regexp.MustCompile(`<input type="hidden" name="([^"]*)" value="([^"]*)">`).FindAllStringSubmatch(a.Body, -1) {
		pairs = append(pairs, m[1], m[2])
	}
	return pairs
}

// TestSignShownAsToldIsSent: the page that shows signs as told sends them, whatever
// was answered in another window since.
func TestSignShownAsToldIsSent(t *testing.T) {
	tests := []struct {
		name       string
		told, then []string // each a step and what is ticked there
		way        string
		want       []string
		wantSkin   []string
	}{
		{"taken back", []string{"safety", "safety.open-skin", "yes"}, []string{"safety", "safety.none", "yes"}, "send", []string{"open-skin"}, nil},
		{"another sign", []string{"safety", "safety.open-skin", "yes"}, []string{"safety", "safety.broken", "yes"}, "send", []string{"open-skin", "broken"}, nil},
		{"answer and none", []string{"safety", "safety.open-skin", "yes"}, []string{"safety", "safety.none", "yes", "safety.broken", "yes"}, "send", []string{"open-skin", "broken"}, nil},
		{"more to tell", []string{"safety", "safety.open-skin", "yes"}, []string{"safety", "safety.none", "yes"}, "now", []string{"open-skin"}, nil},
		{"skin", []string{"skin", "skin.open-sore", "yes"}, []string{"skin"}, "send", nil, []string{"open-sore"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r := newReporter(t)
			r.Start()
			r.Answer("safety", "what", "safety.none", "yes")
			r.Answer(tt.told[0], "now", tt.told[1:]...)
			page := r.Get("/report/now")
			r.Post("/report/"+tt.then[0], tt.then[1:]...)
			typed := append(page.hiddenFields(), "cannot-phone", "yes")
			if tt.way == "now" {
				r.Answer("now", "what", typed...)
				typed = nil
			}
			r.Post("/report/send", typed...).leads(t, "sent")
			got := r.reports()
			if len(got) != 1 || !slices.Equal(got[0].Said.Safety, tt.want) || !slices.Equal(got[0].Said.Skin, tt.wantSkin) || !got[0].Said.CannotPhone {
				t.Errorf("got %+v, want %v and %v", got, tt.want, tt.wantSkin)
			}
			if r.flagsNow() == 0 {
				t.Error("no flag of level now")
			}
		})
	}
}

// TestNothingIsToldByAPageMadeUp: only signs of the form are taken from it.
func TestNothingIsToldByAPageMadeUp(t *testing.T) {
	r := newReporter(t)
	r.Start()
	r.Answer("safety", "now", "safety.broken", "yes")
	r.Post("/report/send", "from", "now", "told", "safety.nonsense safety.none text what.rub skin.nonsense").leads(t, "sent")
	if got := r.reports()[0].Said; !sameSaid(got, models.Said{Safety: []string{"broken"}}) {
		t.Errorf("got %+v", got)
	}
}

// TestCheckPageSendsWhatItShows, or is shown again with what holds now.
func TestCheckPageSendsWhatItShows(t *testing.T) {
	r := newReporter(t)
	r.Start()
	r.Answer("safety", "now", "safety.broken", "yes")
	r.Answer("text", "check", "text", "the first words")
	before := r.Get("/report/check")
	r.Answer("text", "check", "text", "the second words")
	r.Answer("safety", "what", "safety.none", "yes")
	r.Post("/report/send", before.hiddenFields()...).leads(t, "check?changed=yes")
	if len(r.reports()) > 0 {
		t.Fatal("what was not shown was sent")
	}
	again := r.Get("/report/check?changed=yes")
	again.Has(t, http.StatusOK, "Some answers have changed", "the second words", "None of these")
	again.Lacks(t, "the first words")
	r.Get("/report/check").Lacks(t, "Some answers have changed")
	r.Post("/report/send", again.hiddenFields()...).leads(t, "sent")
	r.Post("/report/send", before.hiddenFields()...).leads(t, "sent")
}

// TestSignIsNotTakenForSent where another window has sent the report without it.
func TestSignIsNotTakenForSent(t *testing.T) {
	r := newReporter(t)
	r.Start()
	r.Answer("safety", "now", "safety.breathless", "yes")
	page := r.Get("/report/now")
	r.Answer("safety", "what", "safety.none", "yes")
	r.Post("/report/send").leads(t, "sent")
	a := r.Post("/report/send", page.hiddenFields()...)
	a.Has(t, http.StatusConflict, "Phone us about this sign", "Your report was sent without it", `class="first"><a class="tap" href="tel:112"`, "tel:030133")
}

// TestUrgentReportIsNotHeldUp by a mistake on an optional page: what can be read of it
// goes, and whoever sent it and whoever reads it are told of the rest.
func TestUrgentReportIsNotHeldUp(t *testing.T) {
	r := newReporter(t)
	r.Start()
	r.Answer("safety", "now", "safety.broken", "yes")
	long := strings.Repeat("ä", longestReportText+1)
	r.Post("/report/text", "text", long).Has(t, http.StatusUnprocessableEntity, "10001 characters")
	r.Post("/report/bother", "bother", "11").Has(t, http.StatusUnprocessableEntity, "not one of the choices")
	r.Post("/report/send", r.Get("/report/now").hiddenFields()...).leads(t, "sent")
	got := r.reports()
	if len(got) != 1 || got[0].Said.Text != long[:2*longestReportText] || !slices.Equal(got[0].Said.Cut, []string{"bother", "text"}) || r.flagsNow() != 1 {
		t.Fatalf("reports %+v, %d flags", got, r.flagsNow())
	}
	r.Get("/report/sent").Has(t, http.StatusOK, "Your text was too long", "We could not read one of your other answers")
	r.As("kit", models.Fitter).Get(reportPath(r.client.ID, got[0].ID)).Has(t, http.StatusOK,
		"This is its beginning; the rest was not sent", "One answer could not be read and was left out")
}
