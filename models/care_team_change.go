package models

import (
	"context"
	"slices"
	"time"
)

// TeamChange is what changed about a person of a client's care team.
type TeamChange string

// The changes of a care team.
const (
	OntoTeam   TeamChange = "on"
	OffTeam    TeamChange = "off"
	MadeDeputy TeamChange = "deputy"
	NoDeputy   TeamChange = "no-deputy"
)

// TeamChanges lists the changes.
var TeamChanges = []TeamChange{OntoTeam, OffTeam, MadeDeputy, NoDeputy}

// CareTeamChange tells who changed what about a client's care team. It is never
// changed itself.
type CareTeamChange struct {
	ID          string
	ClientID    string
	PersonID    string // whom it is about
	Change      TeamChange
	Prosthetist bool   // the person was one at that time
	MadeBy      string // person id
	MadeAt      time.Time
}

// teamBefore is the care team and the deputy of a stored client.
type teamBefore struct {
	members []string // person ids
	deputy  *string
}

func (s *Store) teamOf(ctx context.Context, clientID string) (teamBefore, error) {
	var b teamBefore
	var c Client
	db := s.db.WithContext(ctx)
	err := db.Model(&CareTeamMember{}).Where("client_id = ?", clientID).Order("person_id").Pluck("person_id", &b.members).Error
	if err == nil {
		err = db.Select("deputy_id").Where("id = ?", clientID).Take(&c).Error
	}
	b.deputy = c.DeputyID
	return b, err
}

// tellTeam keeps what differs between the care team of before and the one of now,
// in the name of the client's ChangedBy; without one nothing is kept.
func (s *Store) tellTeam(ctx context.Context, before teamBefore, c Client) error {
	var changes []CareTeamChange
	add := func(personID string, change TeamChange) {
		changes = append(changes, CareTeamChange{
			ID: NewID(), ClientID: c.ID, PersonID: personID, Change: change, MadeBy: c.ChangedBy, MadeAt: s.clock(),
		})
	}
	for _, p := range c.CareTeam {
		if !slices.Contains(before.members, p.ID) {
			add(p.ID, OntoTeam)
		}
	}
	for _, id := range before.members {
		if !slices.ContainsFunc(c.CareTeam, func(p Person) bool { return p.ID == id }) {
			add(id, OffTeam)
		}
	}
	if was, is := before.deputy, c.DeputyID; (was == nil) != (is == nil) || was != nil && *was != *is {
		if was != nil {
			add(*was, NoDeputy)
		}
		if is != nil {
			add(*is, MadeDeputy)
		}
	}
	if len(changes) == 0 || c.ChangedBy == "" {
		return nil
	}
	people, err := s.People(ctx)
	if err != nil {
		return err
	}
	for i := range changes {
		changes[i].Prosthetist = slices.ContainsFunc(people, func(p Person) bool { return p.ID == changes[i].PersonID && p.IsProsthetist })
	}
	return createAll(s.db.WithContext(ctx), changes)
}

// CareTeamChangesOf returns what was changed about a client's care team, the
// newest first.
func (s *Store) CareTeamChangesOf(ctx context.Context, clientID string) ([]CareTeamChange, error) {
	var changes []CareTeamChange
	err := s.db.WithContext(ctx).Where("client_id = ?", clientID).Order("made_at DESC, id DESC").Find(&changes).Error
	return changes, fold("care team changes of client", err)
}
