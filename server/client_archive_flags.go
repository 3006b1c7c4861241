package server

import (
	"strconv"

	"fairlead/analytics/assess"
	"fairlead/models"
	"fairlead/server/form"
	"github.com/gin-gonic/gin"
)

// waitedFor returns how many open flags of a client need someone now or soon, and
// those of level now that nobody has seen.
func (s *server) waitedFor(c *gin.Context, client models.Client) (n int, unseen []models.Flag, err error) {
	flags, err := s.store.FlagsOf(c.Request.Context(), client.ID)
	for _, f := range flags {
		if f.ClosedAt == nil && f.Level != string(assess.Watch) {
			n++
		}
		if isNow(f) && f.SeenAt == nil {
			unseen = append(unseen, f)
		}
	}
	return n, unseen, err
}

// askAboutFlags refuses to archive a client with open flags unless whoever does it
// has ticked that they leave the lists too, and saw as many as there are: another
// may have been raised meanwhile. One of level now that nobody has seen can't leave
// them.
func (s *server) askAboutFlags(c *gin.Context, r *form.Reader, client models.Client) error {
	n, unseen, err := s.waitedFor(c, client)
	if err != nil || n == 0 || client.ArchivedAt != nil {
		return err
	}
	if len(unseen) > 0 {
		r.Add("archive_flags", "problem.archive-unseen", nil)
		return nil
	}
	if !r.Bool("archive_flags") || r.Typed("archive_count") != strconv.Itoa(n) {
		r.Add("archive_flags", "problem.archive-flags", map[string]any{"Count": n, "Number": s.sayer(c).count(n)})
	}
	return nil
}

// tickAboutFlags is the tick that archiving a client asks for, or nil.
func (s *server) tickAboutFlags(c *gin.Context, client models.Client) *flagsTick {
	if client.ID == "" || client.ArchivedAt != nil {
		return nil
	}
	n, unseen, err := s.waitedFor(c, client)
	if err != nil {
		s.log.Error("count open flags", "request", requestID(c), "error", err)
	}
	if n == 0 {
		return nil
	}
	tick := &flagsTick{Count: n, Label: s.text(c, "client.archive-flags", "Count", n, "Number", upperFirst(s.sayer(c).count(n)))}
	for _, f := range unseen {
		tick.Unseen = append(tick.Unseen, flagLine{saidFinding: s.sayer(c).flag(f), Link: flagPath(f)})
	}
	return tick
}

// flagsTick says how many flags leave the lists with a client.
type flagsTick struct {
	Count  int
	Label  string
	Unseen []flagLine // those that somebody has to see before
}
