package server

import (
	"fairlead/models"
	"fairlead/server/form"
	"github.com/gin-gonic/gin"
)

// refuseName refuses a name that reads like that of another account, or that has
// letters which pass for others: whatever is signed and closed stands in the name
// of its person. The name of before stays where it is not changed.
func (s *server) refuseName(c *gin.Context, r *form.Reader, p models.Person, before string) error {
	if p.Name == "" || p.Name == before {
		return nil
	}
	if models.MixesAlphabets(p.Name) {
		r.Add("name", "problem.name-mixed", nil)
		return nil
	}
	people, err := s.store.People(c.Request.Context())
	for _, other := range people {
		if other.ID != p.ID && models.SameName(other.Name, p.Name) {
			r.Add("name", "problem.name-taken", map[string]any{"Name": other.Name, "SignIn": other.SignIn})
			break
		}
	}
	return err
}
