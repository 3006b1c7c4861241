package server

import (
	"errors"

	"fairlead/models"
	"fairlead/server/followup"
	"github.com/gin-gonic/gin"
)

// sendReport sends what was typed. However often it is asked for, there is one
// report, and everybody who asked is shown that one.
func (s *server) sendReport(c *gin.Context) error {
	r, typed, err := s.typedReport(c)
	if errors.Is(err, endSent) {
		return s.goToStep(c, "sent")
	}
	if err != nil {
		return err
	}
	if now, ok := reportStepNamed("now"); ok && typed["from"] == now.name {
		if r, err = s.keepTyped(c, r, now, typed); errors.Is(err, endSent) {
			return s.goToStep(c, "sent")
		} else if err != nil {
			return err
		}
	}
	in, said := s.readReport(c, r)
	if r.draft.Idle(s.now()) && !said.urgent() { // to send shows nothing: a sign does not wait for the link
		return endIdle
	}
	for _, step := range reportSteps {
		if step.problems(r, in.Problems()).Any() {
			return s.goToStep(c, step.name+"?from=check")
		}
	}
	if shown := typed["shown"]; shown != "" && shown != said.fingerprint() {
		return s.goToStep(c, "check?changed=yes")
	}
	report := models.Report{DraftID: r.draft.ID, Said: said.Said, Urgent: said.urgent()}
	if said.limb != nil {
		report.LimbID = &said.limb.ID
	}
	switch _, err := followup.ReceiveReport(c.Request.Context(), s.store, s.now(), report, s.judgedAlone(c)); {
	case errors.Is(err, models.ErrTooMany):
		return endMany
	case errors.Is(err, models.ErrNotFound), errors.Is(err, models.ErrArchived):
		return endDead
	case err != nil:
		return err
	}
	return s.goToStep(c, "sent")
}

// judgedAlone logs why a report was judged without the record beside it.
func (s *server) judgedAlone(c *gin.Context) func(error) {
	return func(err error) {
		s.log.Error("report judged without the record", "request", requestID(c), "error", err)
	}
}

// showReportSent confirms that a report has arrived: its number, when it is
// read, and whom to phone. Nothing that was typed is shown again.
func (s *server) showReportSent(c *gin.Context) error {
	r, link, err := s.heldReport(c)
	if err != nil {
		return err
	}
	if r.draft.SentAt == nil {
		return s.goToStep(c, "check")
	}
	report, err := s.store.ReportByDraft(c.Request.Context(), r.draft.ID)
	if err != nil {
		return err
	}
	page := reportSentPage{reportingPage: s.reportingPage(c, s.text(c, "report.sent.title"))}
	page.Pages = pagesOf(r.draft)
	page.Number, page.Reads = report.Number, s.nextReading(c)
	page.Urgent = len(report.Said.Safety) > 0 ||
		followup.SkinToday(c.Request.Context(), s.store, report.SentAt, report, s.judgedAlone(c))
	client := shownAfter(r.client, link)
	page.Numbers = s.inOrder(c, client, report.Said.Safety)
	n := s.numbersOf(c, client)
	page.Emergency, page.Clinic = n.emergency, n.clinic
	return s.show(c, "report-sent", page)
}
