package server

import (
	"errors"

	"fairlead/models"
	"fairlead/server/form"
	"github.com/gin-gonic/gin"
)

// setUpPage shows the workshop and its people.
type setUpPage struct {
	Page
	Typed  map[string]string
	People []models.Person
}

func (s *server) showSetUp(c *gin.Context) error {
	w, err := s.store.Workshop(c.Request.Context())
	if err != nil && !errors.Is(err, models.ErrNotFound) {
		return err
	}
	page, err := s.setUpPage(c, map[string]string{"name": w.Name, "zone": w.Zone, "version": version(w.Version)})
	if err != nil {
		return err
	}
	return s.show(c, "setup", page)
}

func (s *server) setUpPage(c *gin.Context, typed map[string]string) (setUpPage, error) {
	people, err := s.store.People(c.Request.Context())
	return setUpPage{Page: s.page(c, s.text(c, "setup.title"), "setup"), Typed: typed, People: people}, err
}

func (s *server) saveWorkshop(c *gin.Context) error {
	typed, err := fields(c)
	if err != nil {
		return err
	}
	ctx := c.Request.Context()
	w, err := s.store.Workshop(ctx)
	if err != nil && !errors.Is(err, models.ErrNotFound) {
		return err
	}
	r := s.reader(c, typed)
	w.ID = models.WorkshopID
	w.Name = r.RequiredText("name", 120)
	w.Zone = zoneName(r, "zone")
	w.Version = readVersion(r)
	if !r.Problems().Any() {
		err = s.store.SaveWorkshop(ctx, &w)
		if err == nil {
			return s.done(c, "/setup", "setup.saved")
		}
		if !errors.Is(err, models.ErrStale) {
			return err
		}
		r.Add("", "problem.stale", nil)
	}
	page, err := s.setUpPage(c, typed)
	if err != nil {
		return err
	}
	page.Page = s.withProblems(c, page.Page, r.Problems(), s.labels(c, map[string]string{"name": "setup.workshop-name", "zone": "setup.zone"}))
	return s.refuse(c, "setup", page)
}

// zoneName reads a time zone by its name in the tz database.
func zoneName(r *form.Reader, field string) string {
	name := r.RequiredText(field, 60)
	if name == "" {
		return ""
	}
	if _, err := knownZone(name); err != nil {
		r.Add(field, "problem.zone", nil)
	}
	return name
}
