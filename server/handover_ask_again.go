package server

import (
	"errors"

	"fairlead/models"
	"fairlead/server/followup"
	"github.com/gin-gonic/gin"
)

// askAgain records that somebody asked again for an answer.
func (s *server) askAgain(c *gin.Context) error {
	typed, err := fields(c)
	if err != nil {
		return err
	}
	client, h, err := s.handoverOf(c)
	if err != nil {
		return err
	}
	r := s.recordReader(c, client, typed)
	on, note, read := s.readDayToAsk(c, r, "again_on", s.presentDate(c)), r.Note("again_note", longestNote), readVersion(r)
	if !r.Problems().Any() {
		switch err := s.store.AskAgain(c.Request.Context(), h.ID, read, on, signedIn(c).ID, note); {
		case err == nil:
			return s.done(c, handoverPath(client.ID, h.ID), "handover.asked-notice")
		case !errors.Is(err, models.ErrStale):
			return err
		}
		sent := models.FlagStep{MadeBy: signedIn(c).ID, Note: note}
		return s.staleAnswer(c, typed, "", func(h followup.Handover) (bool, error) {
			return h.Version == read+1 && h.AskAgainOn == on && lastAsked(h, sent), nil
		})
	}
	return s.refuseAnswer(c, client, h, typed, r, nil)
}

// lastAsked tells whether whoever asked last is the one of a step, with its note.
func lastAsked(h followup.Handover, step models.FlagStep) bool {
	asked := h.Asked()
	return len(asked) > 0 && asked[len(asked)-1].MadeBy == step.MadeBy && asked[len(asked)-1].Note == step.Note
}
