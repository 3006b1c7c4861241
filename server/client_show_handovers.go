package server

import (
	"fairlead/models"
	"fairlead/server/followup"
	"github.com/gin-gonic/gin"
)

// handoversSection is what was handed over and awaits an answer, of all limbs of a
// client, and where more of the limb in sight is handed over.
type handoversSection struct {
	New   string // address of the form, for those who may and where a flag is open
	Lines []handoverLine
}

// handoverLine is one handover that awaits an answer.
type handoverLine struct{ Sentence, Mark, Link string }

// handoversSection says which handovers of a client await an answer. Limb is the
// one in sight.
func (s *server) handoversSection(c *gin.Context, client models.Client, limb models.Limb, flags []models.Flag) (handoversSection, error) {
	var section handoversSection
	for _, f := range flags {
		if f.ClosedAt == nil && f.LimbID == limb.ID && client.ArchivedAt == nil && allowed(handOver, signedIn(c)) {
			section.New = limbPath(limb) + "/handovers/new"
		}
	}
	handovers, err := followup.Handovers(c.Request.Context(), s.store, client.ID, flags)
	if err != nil {
		return section, err
	}
	y, today := s.sayer(c), s.presentDate(c)
	for _, h := range handovers {
		if len(h.Awaiting()) == 0 {
			continue
		}
		line := handoverLine{Link: handoverPath(client.ID, h.ID)}
		line.Sentence, line.Mark = y.handoverStatus(h, today)
		section.Lines = append(section.Lines, line)
	}
	return section, nil
}
