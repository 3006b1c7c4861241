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
	Deputy  *models.Person  // as named, whether they stand in or not; nil where none is
	StandIn StandIn
}

// StandIn is whether a deputy does what the care team can't.
type StandIn int

// What stands in the way of it; of two, what comes first here is said.
const (
	StandsIn        StandIn = iota
	NobodyNamed             // there is no deputy
	CannotReview            // they review nothing here: no prosthetist, or left
	DeputyAway              // as the care team is
	DeputyNotComeIn         // no password was chosen yet
)

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
	a.StandIn = NobodyNamed
	if client.DeputyID != nil {
		if i := slices.IndexFunc(people, func(p models.Person) bool { return p.ID == *client.DeputyID }); i >= 0 {
			a.Deputy, a.StandIn = &people[i], standIn(people[i], day)
		}
	}
	return a, len(a.Away) > 0
}

func standIn(deputy models.Person, day quantity.Date) StandIn {
	switch {
	case !deputy.IsProsthetist || deputy.DisabledAt != nil:
		return CannotReview
	case away(deputy, day):
		return DeputyAway
	case deputy.PasswordHash == "":
		return DeputyNotComeIn
	}
	return StandsIn
}

func away(p models.Person, day quantity.Date) bool { return p.AwayUntil != "" && p.AwayUntil >= day }
