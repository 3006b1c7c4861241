package server

import (
	"errors"
	"strings"

	"fairlead/models"
	"fairlead/server/followup"
	"github.com/gin-gonic/gin"
)

// todayUnsent is a safety answer that was not sent: what to do, and where it is noted
// that it was done.
type todayUnsent struct{ Said, Action string }

// unsent adds the safety answers that were not sent: as why, or beside what else is
// needed.
func (line *todayLine) unsent(y decidedSayer, row followup.TodayRow) {
	if len(row.Unsent) > 0 && len(row.Flags) == 0 && len(row.Held) == 0 {
		line.Mark, line.Why = string(row.Level), ""
	}
	for _, d := range row.Unsent {
		line.Unsent = append(line.Unsent, todayUnsent{
			Said:   y.text("today.unsent", "Signs", y.codes("reported.safety.", strings.Join(d.Safety(), ",")), "On", y.moment(*d.ToldAt, y.zone)),
			Action: clientPath(row.Client) + "/unsent/" + d.ID + "/called",
		})
	}
}

// dealWithUnsent notes that the client was called about a safety answer that was not
// sent. Who is later than somebody else, or than the client, is shown the list.
func (s *server) dealWithUnsent(c *gin.Context) error {
	client, err := s.client(c)
	if err != nil {
		return err
	}
	switch err := s.store.DealWithUnsent(c.Request.Context(), client.ID, c.Param("draft"), signedIn(c).ID); {
	case errors.Is(err, models.ErrConflict):
		return s.done(c, "/today", "today.unsent-before")
	case err != nil:
		return err
	}
	return s.done(c, "/today", "today.unsent-called")
}
