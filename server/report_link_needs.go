package server

import (
	"slices"

	"fairlead/models"
	"fairlead/server/form"
	"github.com/gin-gonic/gin"
)

// numberFields are the fields of the client form that the client's own form
// shows.
var numberFields = []string{"clinic_phone", "out_of_hours_phone", "emergency_phone"}

// keepsNumbers adds a problem to each number of a client that was taken away
// while a link of the client works: somebody may be looking for it now.
func (s *server) keepsNumbers(c *gin.Context, r *form.Reader, before models.Client) error {
	return s.keepsForLinks(c, r, before.ID, typedClient(before), numberFields, "problem.number-of-link")
}

// keepsWorkshopNumbers adds a problem to what was taken away of the workshop's
// numbers and reading times while anybody's link works.
func (s *server) keepsWorkshopNumbers(c *gin.Context, r *form.Reader, before models.Workshop) error {
	needed := []string{"phone", "emergency_phone", "reads_at"}
	return s.keepsForLinks(c, r, "", typedWorkshop(before), needed, "problem.workshop-of-links")
}

func (s *server) keepsForLinks(c *gin.Context, r *form.Reader, clientID string, before map[string]string, needed []string, problem string) error {
	gone := slices.DeleteFunc(slices.Clone(needed), func(field string) bool { return before[field] == "" || !r.Empty(field) })
	if len(gone) == 0 {
		return nil
	}
	works, err := s.store.AnyReportLinkWorks(c.Request.Context(), clientID)
	if err != nil || !works {
		return err
	}
	for _, field := range gone {
		r.Add(field, problem, nil)
	}
	return nil
}
