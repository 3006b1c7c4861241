package server

import (
	"net/http"
	"testing"

	"fairlead/models"
)

// flags counts the open flags of level now of the reporter's client.
func (r reporter) flagsNow() int {
	r.t.Helper()
	flags, err := r.store.FlagsOf(r.t.Context(), r.client.ID)
	if err != nil {
		r.t.Fatal(err)
	}
	n := 0
	for _, f := range flags {
		if f.Level == "now" && f.ClosedAt == nil {
			n++
		}
	}
	return n
}

// sendsNothing sends a report with no answer but none of these.
func (r reporter) sendsNothing() {
	r.t.Helper()
	o := r.other()
	o.Start()
	o.Answer("safety", "what", "safety.none", "yes")
	o.Post("/report/send").leads(r.t, "sent")
}

// TestSafetyReportIsNeverOneTooMany: after the most reports of a day a sign that
// should not wait is still taken, with its flag; all else is asked to wait at once,
// not at the end of the form.
func TestSafetyReportIsNeverOneTooMany(t *testing.T) {
	r := newReporter(t)
	begun, calm := r.other(), r.other()
	begun.Start()
	begun.Answer("safety", "now", "safety.broken", "yes")
	calm.Start()
	calm.Answer("safety", "what", "safety.none", "yes")
	for range models.MostReportsADay {
		r.sendsNothing()
	}
	begun.Post("/report/send", "from", "now").leads(t, "sent")
	calm.Post("/report/send").Has(t, http.StatusTooManyRequests, "Please wait before the next report")
	if n := len(r.reports()); n != models.MostReportsADay+1 || r.flagsNow() != 1 {
		t.Errorf("%d reports and %d flags, want 6 and 1", n, r.flagsNow())
	}
	o := r.other()
	o.Start()
	o.Post("/report/safety", "safety.none", "yes").Has(t, http.StatusTooManyRequests, "Please wait before the next report")
	o.Answer("safety", "now", "safety.breathless", "yes")
	o.Post("/report/send", "from", "now").leads(t, "sent")
	o.Get("/report/sent").Has(t, http.StatusOK, "Your report has come in")
	if n := len(r.reports()); n != models.MostReportsADay+2 {
		t.Errorf("%d reports, want one more", n)
	}
}

// TestSkinSignOfTheSameDayIsNotOneTooMany: what ranks now is taken after the most
// reports of a day, though nothing was ticked on the safety page; and whoever is
// asked to wait there is asked about their skin first.
func TestSkinSignOfTheSameDayIsNotOneTooMany(t *testing.T) {
	r := newReporter(t)
	begun := r.other()
	begun.Start()
	begun.Answer("safety", "what", "safety.none", "yes")
	begun.Answer("skin", "now", "skin.open-sore", "yes")
	for range models.MostReportsADay {
		r.sendsNothing()
	}
	begun.Post("/report/send").leads(t, "sent")
	if n := len(r.reports()); n != models.MostReportsADay+1 || r.flagsNow() != 1 {
		t.Errorf("%d reports and %d flags, want 6 and 1", n, r.flagsNow())
	}
	o := r.other()
	o.Start()
	o.Post("/report/safety", "safety.none", "yes").Has(t, http.StatusTooManyRequests, "Some signs do not have to wait", `href="/report/skin"`)
	o.Get("/report/skin").Has(t, http.StatusOK, "An open sore")
	o.Post("/report/skin", "skin.rash", "yes").Has(t, http.StatusTooManyRequests, "Please wait before the next report")
	o.Answer("skin", "now", "skin.open-sore", "yes")
	o.Post("/report/send", "from", "now").leads(t, "sent")
	if n := len(r.reports()); n != models.MostReportsADay+2 {
		t.Errorf("%d reports, want one more", n)
	}
}
