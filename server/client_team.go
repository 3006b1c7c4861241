package server

import (
	"slices"

	"fairlead/models"
	"fairlead/server/form"
	"github.com/gin-gonic/gin"
)

// refuseJoining refuses that somebody makes themself the prosthetist of a client
// who is not theirs to sign for.
func (s *server) refuseJoining(c *gin.Context, r *form.Reader, before, client models.Client) error {
	who := *signedIn(c)
	field := ""
	switch {
	case slices.ContainsFunc(client.CareTeam, func(p models.Person) bool { return p.ID == who.ID }):
		field = teamField(who.ID)
	case client.DeputyID != nil && *client.DeputyID == who.ID:
		field = "deputy"
	default:
		return nil
	}
	changes, err := s.store.CareTeamChangesOf(c.Request.Context(), before.ID)
	if err == nil && !mayJoin(who, who, before, changes) {
		r.Add(field, "problem.client-joins", nil)
	}
	return err
}

// teamLine tells a change of the client's care team.
func (m sheetMaker) teamLine(change models.CareTeamChange) historyLine {
	id := "follow.history.team." + string(change.Change)
	if change.Prosthetist {
		id += "-prosthetist"
	}
	return historyLine{
		On: m.date(m.onDay(change.MadeAt)), at: change.MadeAt,
		Sentence: m.text(id, "Who", m.people[change.PersonID], "By", m.people[change.MadeBy]),
	}
}
