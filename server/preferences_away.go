package server

import (
	"errors"

	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/form"
	"github.com/gin-gonic/gin"
)

// saveAbsence keeps the last day of a person's own absence, or that they are here.
func (s *server) saveAbsence(c *gin.Context) error {
	typed, err := fields(c)
	if err != nil {
		return err
	}
	p := *signedIn(c)
	r := s.reader(c, typed)
	p.AwayUntil = s.readAway(c, r, p.AwayUntil)
	if !r.Problems().Any() {
		err := s.store.UpdatePerson(c.Request.Context(), &p)
		switch {
		case err == nil && p.AwayUntil == "":
			return s.done(c, "/preferences", "absence.over")
		case err == nil:
			return s.done(c, "/preferences", "absence.saved")
		case !errors.Is(err, models.ErrStale):
			return err
		}
		r.Add("", "problem.stale", nil)
	}
	for field, value := range typedPreferences(*signedIn(c)) {
		if _, ok := typed[field]; !ok {
			typed[field] = value
		}
	}
	page := s.preferencesPage(c, typed)
	page.Page = s.withProblems(c, page.Page, r.Problems(), s.labels(c, personLabels))
	return s.refuse(c, "preferences", page)
}

// readAway reads the last day of a person's absence. A day that is past is a
// problem unless it stood there before: it says nothing any more.
func (s *server) readAway(c *gin.Context, r *form.Reader, before quantity.Date) quantity.Date {
	until := r.Date("away_until")
	if until != "" && until < s.presentDate(c) && until != before {
		r.Add("away_until", "problem.away-past", nil)
	}
	return until
}
