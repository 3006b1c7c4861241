package server

import (
	"net/http"
	"testing"
	"time"

	"fairlead/models"
)

// TestSignThatIsNotSentIsCalledAbout: whoever ticks a sign and goes away is phoned.
func TestSignThatIsNotSentIsCalledAbout(t *testing.T) {
	r := newReporter(t)
	r.Get(r.start()).Has(t, http.StatusOK, "We still see that sign")
	r.Start()
	r.Answer("safety", "now", "safety.breathless", "yes")
	fitter := r.As("kit", models.Fitter)
	fitter.Get("/today").Lacks(t, "phone them")
	r.clock.Pass(15 * time.Minute)
	fitter.Get("/today").Has(t, http.StatusOK, "Quillon Featherstone", "Began a report with a safety answer on", "and has not sent it: phone them. Ticked: breathless or chest pain",
		"One person needs an answer now", "1 now, unseen", "I have called")
	path := clientPath(r.client) + "/unsent/" + r.form() + "/called"
	r.As("fern", models.Prosthetist).Get("/today").Lacks(t, "phone them") // not of the care team
	r.As("fern2", models.Prosthetist).Post(path).Has(t, http.StatusNotFound)
	if a := fitter.Post(path); a.Status != http.StatusSeeOther || a.Location != "/today" {
		t.Fatalf("status %d to %q", a.Status, a.Location)
	}
	after := fitter.Get("/today")
	after.Has(t, http.StatusOK, "It is noted that you have called")
	after.Lacks(t, "phone them")
	fitter.Post(path)
	fitter.Get("/today").Has(t, http.StatusOK, "Somebody has noted a call already")
	fitter.Post(clientPath(r.client)+"/unsent/none/called").Has(t, http.StatusNotFound)
	r.Post("/report/send", "from", "now").leads(t, "sent")
}
