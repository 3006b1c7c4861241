package server

import (
	"errors"
	"slices"
	"strings"

	"fairlead/models"
	"fairlead/server/followup"
	"fairlead/server/form"
	"github.com/gin-gonic/gin"
)

// sendReport sends what was typed. However often it is asked for, there is one
// report, and everybody who asked is shown that one.
func (s *server) sendReport(c *gin.Context) error {
	r, typed, err := s.typedReport(c)
	if errors.Is(err, endSent) {
		return s.sentBefore(c, r, typed["told"])
	}
	if err != nil {
		return err
	}
	if now, ok := reportStepNamed("now"); ok && typed["from"] == now.name {
		r, err = s.keepTyped(c, r, now, typed)
		if errors.Is(err, endSent) {
			return s.sentBefore(c, r, typed["told"])
		} else if err != nil && !errors.Is(err, models.ErrTooLarge) { // what there is no room for is sent all the same
			return err
		}
	}
	in, said := s.readReport(c, r)
	if r.draft.Idle(s.now()) && !said.urgent() { // to send shows nothing: a sign does not wait for the link
		return endIdle
	}
	wrong := wrongSteps(r, in.Problems())
	if len(wrong) > 0 && (wrong[0] == reportSteps[0].name || !said.urgent()) {
		return s.goToStep(c, wrong[0]+"?from=check")
	}
	if shown := typed["shown"]; shown != "" && shown != said.fingerprint() {
		return s.goToStep(c, "check?changed=yes")
	}
	return s.receiveReport(c, r, said.without(wrong, r))
}

// wrongSteps are the names of the steps with a problem.
func wrongSteps(r reporting, problems form.Problems) []string {
	var names []string
	for _, step := range reportSteps {
		if step.problems(r, problems).Any() {
			names = append(names, step.name)
		}
	}
	return names
}

// without is what goes of a report that should not wait, where there are mistakes in
// its optional steps: the beginning of a text that is too long, and of any other such
// answer nothing. That this was done is part of what is said.
func (s spoken) without(wrong []string, r reporting) spoken {
	s.Cut = wrong
	if text := []rune(strings.TrimSpace(seenText(r.draft.Fields["text"]))); len(text) > longestReportText && slices.Contains(wrong, "text") {
		s.Text = strings.ReplaceAll(string(text[:longestReportText]), "\r", "")
	}
	return s
}

// sentBefore shows the report that was sent before. Where the page that is sent now
// showed a sign as told which is not in that report, it says so instead.
func (s *server) sentBefore(c *gin.Context, r reporting, told string) error {
	shown := map[string]string{}
	tellAgain(shown, told)
	for field := range shown {
		if shown[field] == "yes" && r.draft.Fields[field] != "yes" {
			return endUntold
		}
	}
	return s.goToStep(c, "sent")
}

// receiveReport hands the report in.
func (s *server) receiveReport(c *gin.Context, r reporting, said spoken) error {
	report := models.Report{DraftID: r.draft.ID, Said: said.Said, Urgent: said.urgent()}
	if said.limb != nil {
		report.LimbID = &said.limb.ID
	}
	if _, err := followup.ReceiveReport(c.Request.Context(), s.store, s.now(), report, s.judgedAlone(c)); err != nil {
		return s.noMore(c, err)
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
	page.CutText = slices.Contains(report.Said.Cut, "text")
	page.LeftOut = len(report.Said.Cut) > 1 || len(report.Said.Cut) == 1 && !page.CutText
	page.Urgent = len(report.Said.Safety) > 0 ||
		followup.SkinToday(c.Request.Context(), s.store, report.SentAt, report, s.judgedAlone(c))
	client := shownAfter(r.client, link)
	page.Numbers = s.inOrder(c, client, report.Said.Safety)
	n := s.numbersOf(c, client)
	page.Emergency, page.Clinic = n.emergency, n.clinic
	return s.show(c, "report-sent", page)
}
