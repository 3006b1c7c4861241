package server

import (
	"strings"

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
		r.Add(field, "problem.handover-signs-in", map[string]any{"Name": p.Name})
	}
	return name, nil
}

// signsIn finds the person with a name, in any case and with any spaces, who can
// sign in.
func signsIn(people []models.Person, name string) (models.Person, bool) {
	plain := func(name string) string { return strings.Join(strings.Fields(name), " ") }
	for _, p := range people {
		if p.DisabledAt == nil && strings.EqualFold(plain(p.Name), plain(name)) {
			return p, true
		}
	}
	return models.Person{}, false
}
