package server

import (
	"errors"
	"fmt"
	"time"

	"fairlead/models"
	"github.com/gin-gonic/gin"
)

const workshopKey = "workshop"

// loadWorkshop reads the workshop once for each request. Without it no time can
// be read or shown, so a fault of the record ends the request.
func (s *server) loadWorkshop(c *gin.Context) {
	w, err := s.store.Workshop(c.Request.Context())
	if err != nil && !errors.Is(err, models.ErrNotFound) {
		s.fail(c, fmt.Errorf("workshop: %w", err))
		return
	}
	c.Set(workshopKey, w)
}

// workshop returns the workshop; one that has not been named yet is empty.
func (s *server) workshop(c *gin.Context) models.Workshop {
	w, _ := c.Get(workshopKey)
	workshop, _ := w.(models.Workshop)
	return workshop
}

// zone is the workshop's zone. Pages that are not about clients are shown
// without one too, in UTC; guard keeps the others back until there is one.
func (s *server) zone(c *gin.Context) *time.Location {
	zone, err := knownZone(s.workshop(c).Zone)
	if err != nil {
		return time.UTC
	}
	return zone
}

// errNoZone tells that a name is none of the tz database.
var errNoZone = errors.New("not a time zone")

// knownZone finds a zone by its name in the tz database.
func knownZone(name string) (*time.Location, error) {
	if name == "" || name == "Local" {
		return nil, errNoZone
	}
	return time.LoadLocation(name)
}

// checkZone refuses what is about clients while the workshop's zone is not set,
// or not known to this machine: a time kept in a guessed zone would be wrong for
// good.
func (s *server) checkZone(c *gin.Context, a action) error {
	switch a {
	case openDoor, ownSession, setUpWorkshop:
		return nil
	}
	if _, err := knownZone(s.workshop(c).Zone); err != nil {
		return &oops{status: errZone.status, text: errZone.text, cause: err}
	}
	return nil
}
