package server

import (
	"cmp"
	"errors"
	"maps"
	"net/http"

	"fairlead/models"
	"fairlead/server/form"
	"github.com/gin-gonic/gin"
)

// showReportStep shows a question, with what was typed there before. After the
// safety page they may be walked in any order.
func (s *server) showReportStep(c *gin.Context) error {
	r, err := s.shownReport(c)
	if err != nil {
		return err
	}
	in, said := s.readReport(c, r)
	name := c.Param("step")
	if name != "safety" && !safetyAnswered(r, in.Problems()) {
		return s.goToStep(c, "safety")
	}
	if name == "check" {
		return s.showReportCheck(c, r, said)
	}
	step, ok := reportStepNamed(name)
	if !ok {
		return endNone
	}
	if step.asked != nil && !step.asked(r, said) {
		return s.goToStep(c, r.after(name, said))
	}
	var problems form.Problems
	if step.saved(r) {
		problems = step.problems(r, in.Problems())
	}
	return s.showReportQuestion(c, http.StatusOK, step, r, said, problems)
}

// saveReportStep keeps what was typed on a page, right or wrong, and goes on
// when it is right: back to the check page where it was changed from there.
func (s *server) saveReportStep(c *gin.Context) error {
	r, typed, err := s.typedReport(c)
	if err != nil {
		return err
	}
	step, ok := reportStepNamed(c.Param("step"))
	if !ok {
		return endNone
	}
	r, err = s.keepTyped(c, r, step, typed)
	tooLarge := errors.Is(err, models.ErrTooLarge)
	if err != nil && !tooLarge {
		return err
	}
	in, said := s.readReport(c, r)
	problems := step.problems(r, in.Problems())
	switch {
	case tooLarge && !problems.Any():
		return err
	case r.draft.Idle(s.now()) && !tooLarge:
		return endIdle
	case problems.Any():
		return s.showReportQuestion(c, http.StatusUnprocessableEntity, step, r, said, problems)
	case !safetyAnswered(r, in.Problems()):
		return s.goToStep(c, "safety")
	}
	urgent := len(said.Safety) > 0
	if (step.name == "safety" || step.name == "skin") && !said.urgent() {
		// whoever must wait is told now, not at the end of the form; their skin is
		// asked about before (see endReport)
		if err := s.store.MayReport(c.Request.Context(), r.draft.LinkID); err != nil {
			return s.noMore(c, err)
		}
	}
	next := r.after(step.name, said)
	switch fromCheck := c.Query("from") == "check"; {
	case fromCheck && step.name == "skin" && next == "now":
		next = "now?from=check"
	case fromCheck && (step.name != "safety" || !urgent):
		next = "check"
	}
	return s.goToStep(c, next)
}

// noMore is the end that a report comes to which its link does not take, by the error
// of the store.
func (s *server) noMore(c *gin.Context, err error) error {
	switch {
	case errors.Is(err, models.ErrTooMany):
		return endDay
	case errors.Is(err, models.ErrNotFound), errors.Is(err, models.ErrArchived):
		r, link, err := s.heldReport(c) // revoked meanwhile?
		if err == nil {
			err = r.goesOn(link)
		}
		return cmp.Or[error](err, endUsed)
	}
	return err
}

// keepTyped keeps what was typed on one page. What could not be kept, because
// there is too much of it, still stands in the report that is returned.
func (s *server) keepTyped(c *gin.Context, r reporting, step reportStep, typed map[string]string) (reporting, error) {
	kept := map[string]string{}
	for _, field := range step.fields(r) {
		kept[field] = typed[field]
	}
	if step.name == "now" {
		tellAgain(kept, typed["told"])
	}
	draft, err := s.store.SaveReportFields(c.Request.Context(), r.draft.ID, kept)
	if errors.Is(err, models.ErrConflict) {
		return r, endSent
	}
	if errors.Is(err, models.ErrTooLarge) {
		draft = r.draft
		draft.Fields = maps.Clone(draft.Fields)
		maps.Copy(draft.Fields, kept)
	}
	r.draft = draft
	return r, err
}

// keepReport puts off the end of the hour.
func (s *server) keepReport(c *gin.Context) error {
	r, _, err := s.typedReport(c)
	if err == nil && r.draft.Idle(s.now()) {
		err = endIdle
	}
	if err != nil {
		return err
	}
	if _, err := s.store.SaveReportFields(c.Request.Context(), r.draft.ID, nil); errors.Is(err, models.ErrConflict) {
		return endSent
	} else if err != nil {
		return err
	}
	c.Status(http.StatusNoContent)
	return nil
}

// readReport reads all that was typed so far.
func (s *server) readReport(c *gin.Context, r reporting) (*form.Reader, spoken) {
	typed := maps.Clone(r.draft.Fields)
	if typed == nil {
		typed = map[string]string{}
	}
	typed["text"] = seenText(typed["text"])
	in := s.reader(c, typed)
	said := r.read(in)
	s.judgeToday(c, r, &said)
	return in, said
}

// problems are those of one step.
func (step reportStep) problems(r reporting, all form.Problems) form.Problems {
	var own form.Problems
	for _, p := range all {
		if step.has(r, p) {
			own = append(own, p)
		}
	}
	return own
}

// safetyAnswered tells whether the safety page has its answer.
func safetyAnswered(r reporting, problems form.Problems) bool {
	return !reportSteps[0].problems(r, problems).Any()
}

// goToStep sends the browser to a page of the same form.
func (s *server) goToStep(c *gin.Context, name string) error {
	c.Redirect(http.StatusSeeOther, "/report/"+c.Param("form")+"/"+name)
	return nil
}
