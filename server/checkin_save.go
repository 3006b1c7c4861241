package server

import (
	"errors"
	"net/http"

	"fairlead/models"
	"fairlead/server/followup"
	"github.com/gin-gonic/gin"
)

// saveCheckin keeps what was typed on the last page and records the whole
// check-in. The same draft sent twice makes one record.
func (s *server) saveCheckin(c *gin.Context) error {
	o, err := s.open(c)
	if err != nil {
		return s.orSaved(c, o, err)
	}
	in, err := posted(c)
	if err != nil {
		return err
	}
	d, differ, err := s.merge(c, o.draft, in)
	if errors.Is(err, models.ErrConflict) {
		return s.orSaved(c, opened{draft: d}, errSaved)
	}
	if err != nil {
		return err
	}
	if o, err = s.withDraft(c, o, d); err != nil {
		return err
	}
	if len(differ) > 0 {
		return s.showVersions(c, o, in, differ)
	}
	if o.layout.Client.ArchivedAt != nil {
		return s.refuseArchived(c, o)
	}
	checkin, problems := s.parseDraft(c, o)
	if problems.Any() {
		return s.refuseResult(c, o)
	}
	recorded, err := followup.RecordCheckin(c.Request.Context(), s.store, s.now(), checkin)
	switch {
	case errors.Is(err, models.ErrConflict) && checkin.ReplacesID != nil:
		return s.correctedMeanwhile(c, o)
	case errors.Is(err, models.ErrArchived):
		return s.refuseArchived(c, o)
	case err != nil:
		return err
	}
	notice := "checkin.recorded"
	if recorded.Again {
		notice = "checkin.saved-already"
	}
	s.log.Info("check-in recorded", "request", requestID(c), "checkin", recorded.Checkin.ID, "again", recorded.Again)
	return s.done(c, checkinPath(o.draft.ClientID, recorded.Checkin.ID), notice)
}

// refuseResult shows the last page again with all that is wrong, wherever it was
// typed.
func (s *server) refuseResult(c *gin.Context, o opened) error {
	_, problems := s.parseDraft(c, o)
	steps := o.layout.steps(o.draft.Fields)
	page, err := s.stepPage(c, o, steps, len(steps)-1)
	if err != nil {
		return err
	}
	page.Page = s.withProblems(c, page.Page, o.layout.problemsOf(problems, step{Kind: resultStep}), s.draftLabel(c, o))
	if len(page.Problems) == 0 {
		page.Title = s.text(c, "layout.error-prefix") + " " + page.Title
	}
	return s.refuse(c, "checkin-result", page)
}

// refuseArchived shows the last page again for a client who was archived
// meanwhile: the draft stays, but becomes no check-in.
func (s *server) refuseArchived(c *gin.Context, o opened) error {
	steps := o.layout.steps(o.draft.Fields)
	page, err := s.stepPage(c, o, steps, len(steps)-1)
	if err != nil {
		return err
	}
	page.Problems = append(page.Problems, Problem{Message: s.text(c, "problem.archived-checkin")})
	return s.conflict(c, "checkin-result", page)
}

// meanwhilePage tells that somebody else corrected the same check-in first. The
// draft stays with everything that was typed.
type meanwhilePage struct {
	Page
	Heading      Heading
	Draft, Newer string
}

func (s *server) correctedMeanwhile(c *gin.Context, o opened) error {
	versions, err := s.store.CheckinVersions(c.Request.Context(), *o.draft.CorrectsID)
	if err != nil {
		return err
	}
	newest := versions[len(versions)-1]
	h := s.heading(c, o.layout.Client, o.layout.limbs()...)
	s.render(c, http.StatusConflict, "checkin-meanwhile", meanwhilePage{
		Page:    s.page(c, s.clientTitle(c, s.text(c, "checkin.corrected-meanwhile"), h), "clients"),
		Heading: h, Draft: draftPath(o.draft) + "/" + string(resultStep), Newer: checkinPath(o.draft.ClientID, newest.ID),
	})
	return nil
}
