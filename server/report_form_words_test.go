package server

import (
	"net/http"
	"strings"
	"testing"

	"fairlead/analytics/quantity"
)

// TestWhatMayBeLeftOutSaysSo: every question but the first.
func TestWhatMayBeLeftOutSaysSo(t *testing.T) {
	s := newSite(t)
	s.withNumbers()
	r := s.Reporter("K-001", quantity.Transtibial, quantity.Transradial)
	r.Start()
	if strings.Contains(r.Get("/report/safety").Body, "(optional)") {
		t.Error("the safety page says that it may be left out")
	}
	r.Answer("safety", "what", "safety.none", "yes")
	for _, step := range reportSteps {
		if step.name == "safety" || step.name == "now" {
			continue
		}
		a := r.Get("/report/" + step.name)
		a.Has(t, http.StatusOK)
		head, _, _ := strings.Cut(a.Body, "</h1>")
		if !strings.Contains(head, "<h1>") || !strings.HasSuffix(strings.TrimSuffix(head, "</label>"), "(optional)") {
			t.Errorf("%s: the heading does not say that the question may be left out", step.name)
		}
	}
}

// TestFormPromisesOneThing: for how long what was typed is kept is told the same
// way in both places, nothing is promised for the clinic, and there is an also only
// where there is another way.
func TestFormPromisesOneThing(t *testing.T) {
	r := newReporter(t)
	start := r.Get(r.start())
	start.Has(t, http.StatusOK, "come back to your answers for one day", "you can go on with them for one day", "gone within 8 days",
		"It can&#39;t tell what is wrong. Ask your clinic.")
	lost := r.Get("/report/check")
	lost.Has(t, http.StatusGone, "You can phone:")
	for _, a := range []answer{start, lost} {
		for _, wrong := range []string{"We keep what you typed", "Your clinic can.", "You can also phone"} {
			if strings.Contains(a.Body, wrong) {
				t.Errorf("the page still says %q", wrong)
			}
		}
	}
}
