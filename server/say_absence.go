package server

import (
	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/followup"
	"github.com/gin-gonic/gin"
)

// absence says that every prosthetist of a client's care team is away, until when,
// and who stands in; empty while one of them is there.
func (y sayer) absence(client models.Client, people []models.Person, day quantity.Date) string {
	a, ok := followup.AbsenceOf(client, people, day)
	if !ok {
		return ""
	}
	names := make([]string, len(a.Away))
	for i, p := range a.Away {
		names[i] = p.Name
	}
	gone := y.text("absence.away", "Count", len(names), "Names", y.list(names), "Until", y.date(a.Until))
	if a.Deputy == nil {
		return joinSentences(gone, y.text("absence.nobody"))
	}
	id := map[followup.StandIn]string{
		followup.StandsIn: "absence.stands-in", followup.CannotReview: "absence.cannot-review",
		followup.DeputyAway: "absence.deputy-away", followup.DeputyNotComeIn: "absence.no-password",
	}[a.StandIn]
	return joinSentences(gone, y.text(id, "Name", a.Deputy.Name, "Until", y.date(a.Deputy.AwayUntil)))
}

// absent is absence of today, for a page about one client.
func (s *server) absent(c *gin.Context, client models.Client) (string, error) {
	people, err := s.store.People(c.Request.Context())
	return s.sayer(c).absence(client, people, s.presentDate(c)), err
}
