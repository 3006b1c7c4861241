package server

import (
	"errors"

	"fairlead/models"
	"fairlead/server/form"
	"github.com/gin-gonic/gin"
)

// clientPage is the form about a client.
type clientPage struct {
	recordPage
	Contacts []formRow
	Team     []Option // who can be on the care team
	Deputies []Option
	Flags    *flagsTick // nil: none leaves the lists with the client
}

func (s *server) newClient(c *gin.Context) error {
	code, err := s.store.NextClientCode(c.Request.Context())
	if err != nil {
		return err
	}
	typed := typedClient(models.Client{Code: code, Language: language})
	typed["id"] = models.NewID()
	people, err := s.helpers(c, models.Client{})
	if err != nil {
		return err
	}
	return s.show(c, "client-form", s.clientForm(c, models.Client{}, nil, people, typed))
}

func (s *server) editClient(c *gin.Context) error {
	client, limbs, people, err := s.clientWithPeople(c)
	if err != nil {
		return err
	}
	return s.show(c, "client-form", s.clientForm(c, client, limbs, people, typedClient(client)))
}

// clientWithPeople finds the client of a path, archived or not, the limbs and who
// can be on the care team.
func (s *server) clientWithPeople(c *gin.Context) (models.Client, []models.Limb, []models.Person, error) {
	client, err := s.reach(c)
	if err != nil {
		return client, nil, nil, err
	}
	limbs, err := s.store.LimbsOf(c.Request.Context(), client.ID)
	if err != nil {
		return client, nil, nil, err
	}
	people, err := s.helpers(c, client)
	return client, limbs, people, err
}

// helpers are the people who can be on a client's care team: all who fit or
// treat and can sign in, and those who are on it already.
func (s *server) helpers(c *gin.Context, client models.Client) ([]models.Person, error) {
	all, err := s.store.People(c.Request.Context())
	if err != nil {
		return nil, err
	}
	on := map[string]bool{}
	for _, p := range client.CareTeam {
		on[p.ID] = true
	}
	if client.DeputyID != nil {
		on[*client.DeputyID] = true
	}
	var people []models.Person
	for _, p := range all {
		if on[p.ID] || p.DisabledAt == nil && (p.IsFitter || p.IsProsthetist) {
			people = append(people, p)
		}
	}
	return people, nil
}

func (s *server) clientForm(c *gin.Context, client models.Client, limbs []models.Limb, people []models.Person, typed map[string]string) clientPage {
	what := s.text(c, "client.edit")
	if client.ID == "" {
		what = s.text(c, "client.new")
	}
	page := clientPage{
		recordPage: s.recordPage(c, what, s.heading(c, client, limbs...), typed),
		Contacts:   rows(rowCount(typed, "contacts", mostContacts)),
		Flags:      s.tickAboutFlags(c, client),
	}
	for _, p := range people {
		label := s.text(c, "client.person", "Name", p.ShownName(), "Role", s.roleOf(c, p))
		page.Team = append(page.Team, Option{Value: teamField(p.ID), Label: label, Chosen: typed[teamField(p.ID)] != ""})
		if p.IsProsthetist || typed["deputy"] == p.ID {
			page.Deputies = append(page.Deputies, Option{Value: p.ID, Label: label})
		}
	}
	return page
}

// roleOf is what a person does for a client.
func (s *server) roleOf(c *gin.Context, p models.Person) string {
	switch {
	case p.IsFitter && p.IsProsthetist:
		return s.text(c, "client.both-roles")
	case p.IsProsthetist:
		return s.text(c, "role.prosthetist")
	}
	return s.text(c, "role.fitter")
}

func (s *server) addClient(c *gin.Context) error {
	typed, err := fields(c)
	if err != nil {
		return err
	}
	people, err := s.helpers(c, models.Client{})
	if err != nil {
		return err
	}
	r := s.reader(c, typed)
	client := readClient(r, models.Client{ID: recordID(typed)}, people)
	client.ChangedBy = signedIn(c).ID
	if !r.Problems().Any() {
		err := s.store.CreateClient(c.Request.Context(), &client)
		if err == nil {
			return s.done(c, clientPath(client)+"/limbs/new", "client.added", "Name", client.Name)
		}
		if !errors.Is(err, models.ErrConflict) {
			return err
		}
		again, err := s.clientSentBefore(c, r, client, typed)
		if err != nil {
			return err
		}
		if again {
			return s.done(c, clientPath(client)+"/limbs/new", "record.added-already")
		}
	}
	page := s.clientForm(c, models.Client{}, nil, people, typed)
	page.recordPage = s.refused(c, page.recordPage, s.clientWording(c, people), r)
	return s.refuse(c, "client-form", page)
}

// clientSentBefore tells whether a client that could not be added is there
// already, from the same form.
func (s *server) clientSentBefore(c *gin.Context, r *form.Reader, client models.Client, typed map[string]string) (bool, error) {
	there, err := s.store.ClientByID(c.Request.Context(), client.ID)
	if errors.Is(err, models.ErrNotFound) {
		r.Add("code", "problem.code-taken", nil)
		return false, nil
	}
	if err != nil {
		return false, err
	}
	return sentBefore(r, typed, typedClient(there), typedClient(client)), nil
}

func (s *server) saveClient(c *gin.Context) error {
	before, limbs, people, err := s.clientWithPeople(c)
	if err != nil {
		return err
	}
	typed, err := fields(c)
	if err != nil {
		return err
	}
	r := s.recordReader(c, before, typed)
	client := readClient(r, before, people)
	client.ChangedBy = signedIn(c).ID
	if err := s.keepsNumbers(c, r, before); err != nil {
		return err
	}
	if err := s.refuseJoining(c, r, before, client); err != nil {
		return err
	}
	if !r.Problems().Any() {
		switch err := s.store.UpdateClient(c.Request.Context(), &client); {
		case err == nil:
			return s.done(c, clientPath(client), "client.saved", "Name", client.Name)
		case errors.Is(err, models.ErrConflict):
			r.Add("code", "problem.code-taken", nil)
		case errors.Is(err, models.ErrStale):
			return s.staleClient(c, r, client, typed)
		default:
			return err
		}
	}
	page := s.clientForm(c, before, limbs, people, typed)
	page.recordPage = s.refused(c, page.recordPage, s.clientWording(c, people), r)
	return s.refuseRecord(c, "client-form", page.Heading, page)
}

// staleClient shows what someone else saved in between beside what was typed.
// When both say the same there is nothing to decide.
func (s *server) staleClient(c *gin.Context, r *form.Reader, sent models.Client, typed map[string]string) error {
	client, limbs, people, err := s.clientWithPeople(c)
	if err != nil {
		return err
	}
	saved := typedClient(client)
	if sameForm(saved, typedClient(sent)) {
		return s.done(c, clientPath(client), "record.saved-already")
	}
	r.Add("", "problem.stale-beside", nil)
	typed["version"] = saved["version"]
	page := s.clientForm(c, client, limbs, people, typed)
	page.recordPage = s.refused(c, page.recordPage, s.clientWording(c, people), r)
	page.Differs = s.differences(c, s.clientWording(c, people), saved, typed)
	return s.conflict(c, "client-form", page)
}
