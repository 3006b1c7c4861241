package server

import (
	"net/http"
	"testing"
	"time"

	"fairlead/models"
)

// onceLink makes the reporter's link one for a single report.
func (r *reporter) onceLink() {
	r.t.Helper()
	r.token = hashKey("once", r.token)
	r.link = models.ReportLink{
		TokenHash: tokenHash(r.token), ClientID: r.client.ID, MadeBy: r.link.MadeBy, ExpiresAt: r.clock.Now().Add(2 * time.Hour), MostReports: 1,
	}
	if err := r.store.CreateReportLink(r.t.Context(), &r.link); err != nil {
		r.t.Fatal(err)
	}
}

// TestUsedUpLinkSaysSoAtOnce, and what was typed goes on by the client's next link.
func TestUsedUpLinkSaysSoAtOnce(t *testing.T) {
	r := newReporter(t)
	r.onceLink()
	r.Start()
	r.Answer("text", "safety", "text", "typed before")
	o := r.other()
	o.Start()
	late := r.other()
	late.Start()
	late.Answer("safety", "what", "safety.none", "yes")
	o.Answer("safety", "what", "safety.none", "yes")
	o.Post("/report/send").leads(t, "sent")

	r.Post("/report/safety", "safety.none", "yes").Has(t, http.StatusGone, "This link takes no more reports", "Your answers are kept",
		"Some signs do not have to wait", "tel:030")
	late.Post("/report/send").Has(t, http.StatusGone, "This link takes no more reports")
	r.Answer("safety", "now", "safety.broken", "yes") // is taken all the same
	r.other().Get(r.start()).Has(t, http.StatusNotFound, "This link does not work")

	form := r.at("/report/text")
	r.onceLink()
	r.Post(r.start()+"/start").leads(t, "safety")
	if got := r.at("/report/text"); got != form {
		t.Errorf("the next link leads to %s, want %s", got, form)
	}
	r.Get("/report/text").Has(t, http.StatusOK, "typed before")
	r.Answer("safety", "what", "safety.none", "yes")
	r.Post("/report/send").leads(t, "sent")
}

// TestHeldReportOutlivesItsLink: what the page says of tapping the link once more is
// true after it has expired, for the browser that typed.
func TestHeldReportOutlivesItsLink(t *testing.T) {
	r := newReporter(t)
	r.onceLink()
	r.Start()
	r.Answer("safety", "what", "safety.none", "yes")
	r.Answer("text", "check", "text", "typed in time")
	r.clock.Pass(121 * time.Minute)
	r.Get("/report/text").Has(t, http.StatusGone, "Tap your link once more")
	r.other().Get(r.start()).Has(t, http.StatusNotFound)
	r.Start()
	r.Get("/report/text").Has(t, http.StatusOK, "typed in time")
	r.Post("/report/send").leads(t, "sent")
	r.Get(r.start()).Has(t, http.StatusNotFound)
}

// TestHowLongToWait is said by the kind of limit.
func TestHowLongToWait(t *testing.T) {
	r := newReporter(t)
	for range models.MostReportsADay {
		r.sendsNothing()
	}
	r.Start()
	a := r.Post("/report/safety", "safety.none", "yes")
	a.Has(t, http.StatusTooManyRequests, "Or try again tomorrow")
	if got := a.Header.Get("Retry-After"); got != "86400" {
		t.Errorf("after the reports of a day: Retry-After %s", got)
	}
	for range models.MostStartsAMinute {
		a = r.other().Post(r.start() + "/start")
	}
	a.Has(t, http.StatusTooManyRequests, "Try again in one minute")
	if got := a.Header.Get("Retry-After"); got != "60" {
		t.Errorf("after the starts of a minute: Retry-After %s", got)
	}
}
