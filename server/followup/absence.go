package followup

import (
	"slices"

	"fairlead/analytics/quantity"
	"fairlead/models"
)

// Absence is that of every prosthetist of a client's care team at once.
type Absence struct {
	Away    []models.Person // in the order of the care team
	Until   quantity.Date   // the last day on which none of them is back
	StandIn *models.Person  // the deputy, nil where none is named or there
}

// AbsenceOf tells whether every prosthetist of a client's care team is away on a
// day, and who stands in. People are all who can be a deputy. A team without a
// prosthetist who can sign in is not away: it waits for one who does not.
func AbsenceOf(client models.Client, people []models.Person, day quantity.Date) (Absence, bool) {
	var a Absence
	for _, p := range client.CareTeam {
		if !p.IsProsthetist || p.DisabledAt != nil {
			continue
		}
		if !away(p, day) {
			return Absence{}, false
		}
		a.Away = append(a.Away, p)
		if a.Until == "" || p.AwayUntil < a.Until {
			a.Until = p.AwayUntil
		}
	}
	if client.DeputyID != nil {
		i := slices.IndexFunc(people, func(p models.Person) bool { return p.ID == *client.DeputyID })
		if i >= 0 && !away(people[i], day) && people[i].DisabledAt == nil {
			a.StandIn = &people[i]
		}
	}
	return a, len(a.Away) > 0
}

func away(p models.Person, day quantity.Date) bool { return p.AwayUntil != "" && p.AwayUntil >= day }
