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
