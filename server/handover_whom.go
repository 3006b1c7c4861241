package server

import (
	"slices"

	"fairlead/models"
	"fairlead/server/form"
	"github.com/gin-gonic/gin"
)

// readWhom reads the name of a prosthetist who does not sign in. Whoever has an
// account here reviews and signs in their own name, and nobody records for them
// what they decide.
func (s *server) readWhom(c *gin.Context, r *form.Reader, field string) (string, error) {
	name := r.RequiredText(field, longestLine)
	people, err := s.store.People(c.Request.Context())
	if err != nil {
		return "", err
	}
	if p, ok := signsIn(people, name); ok {
		r.Add(field, "problem.handover-signs-in", map[string]any{"Name": p.ShownName()})
	} else if models.MixesAlphabets(name) {
		r.Add(field, "problem.name-mixed", nil)
	}
	return name, nil
}

// signsIn finds a person who can sign in and for whom a name may stand. In doubt
// it does, and the message says what to write of somebody else.
func signsIn(people []models.Person, name string) (models.Person, bool) {
	i := slices.IndexFunc(people, func(p models.Person) bool { return p.DisabledAt == nil && models.MayStandFor(name, p.Name) })
	if i < 0 {
		return models.Person{}, false
	}
	return people[i], true
}
