package server

import (
	"errors"

	"fairlead/models"
	"fairlead/server/followup"
	"github.com/gin-gonic/gin"
)

// recordAnswer records what was answered to a handover, with the document. Only
// with it can flags be closed or limits be set.
func (s *server) recordAnswer(c *gin.Context) error {
	client, h, err := s.handoverOf(c)
	if err != nil {
		return err
	}
	place := place{of: s.documents}
	defer place.leave()
	typed, file, err := fieldsAndFile(c, "document", &place)
	if err != nil {
		return err
	}
	ctx := c.Request.Context()
	limb, err := s.store.LimbByID(ctx, h.LimbID)
	if err != nil {
		return err
	}
	limits, err := s.store.LimitsOfMany(ctx, []string{h.LimbID})
	if err != nil {
		return err
	}
	r := s.recordReader(c, client, typed)
	a, err := s.readAnswer(c, r, h, limb, limits[h.LimbID], file)
	if err != nil {
		return err
	}
	a.Answer.ID = recordID(typed)
	there, same, err := s.answerThereSame(c, h, a, typed)
	if err == nil && there && !same { // sent twice at once: its flags may have been read before it closed them
		if _, h, err = s.handoverOf(c); err != nil {
			return err
		}
		there, same, err = s.answerThereSame(c, h, a, typed)
	}
	switch {
	case err != nil:
		return err
	case same:
		return s.done(c, handoverPath(client.ID, h.ID), "record.added-already")
	case there:
		r.Add("", "problem.saved-before", nil)
		typed["id"] = models.NewID()
	}
	if r.Problems().Any() {
		return s.refuseAnswer(c, client, h, typed, r, file)
	}
	switch err := followup.RecordAnswer(ctx, s.store, a); {
	case err == nil:
		return s.done(c, handoverPath(client.ID, h.ID), answerNotice(a, h))
	case errors.Is(err, models.ErrConflict), errors.Is(err, models.ErrStale): // somebody was faster, or the same form was sent twice at once
		name := ""
		if file != nil {
			name = file.name
		}
		return s.staleAnswer(c, typed, name, func(h followup.Handover) (bool, error) {
			_, same, err := s.answerThereSame(c, h, a, typed)
			return same, err
		})
	default:
		return err
	}
}

// answerNotice is the text that says what was recorded.
func answerNotice(a followup.Answered, h followup.Handover) string {
	switch {
	case len(h.Open()) == len(a.Closings):
		return "answer.recorded"
	case a.Document == nil:
		return "answer.recorded-without"
	}
	return "answer.recorded-open"
}
