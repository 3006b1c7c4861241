package server

import (
	"errors"

	"fairlead/models"
	"fairlead/server/followup"
	"github.com/gin-gonic/gin"
)

var useLabels = map[string]string{"note": "study.take-note", "reason": "study.withdraw-reason"}

// takeStudy takes a study into use.
func (s *server) takeStudy(c *gin.Context) error {
	study, err := s.study(c)
	if err != nil {
		return err
	}
	typed, err := fields(c)
	if err != nil {
		return err
	}
	r := s.reader(c, typed)
	note, read := r.RequiredText("note", longestLine), readVersion(r)
	if !r.Problems().Any() {
		if study.InUse() != nil { // sent twice
			return s.done(c, studyPath(study.ID), "study.in-use-already")
		}
		_, err := followup.TakeIntoUse(c.Request.Context(), s.store, study.ID, read, signedIn(c).Name, note)
		var notYet followup.ErrStudyNotYet
		switch {
		case err == nil:
			return s.done(c, studyPath(study.ID), "study.taken")
		case errors.As(err, &notYet):
			r.Add("", "study.not-yet."+string(notYet.Why), nil)
		case errors.Is(err, models.ErrStale), errors.Is(err, models.ErrConflict):
			r.Add("", "problem.study-stale", nil)
		default:
			return err
		}
	}
	return s.refuseStudy(c, study, typed, r)
}

// withdrawStudy ends the use of a study.
func (s *server) withdrawStudy(c *gin.Context) error {
	study, err := s.study(c)
	if err != nil {
		return err
	}
	typed, err := fields(c)
	if err != nil {
		return err
	}
	r := s.reader(c, typed)
	reason := r.RequiredText("reason", longestLine)
	if !r.Problems().Any() {
		use := study.InUse()
		if use == nil {
			return s.done(c, studyPath(study.ID), "study.withdrawn-already")
		}
		err := s.store.WithdrawStudy(c.Request.Context(), use.ID, signedIn(c).Name, reason)
		switch {
		case err == nil:
			return s.done(c, studyPath(study.ID), "study.withdrawn")
		case errors.Is(err, models.ErrConflict):
			r.Add("", "problem.study-below", nil)
		default:
			return err
		}
	}
	return s.refuseStudy(c, study, typed, r)
}
