package server

import (
	"errors"

	"fairlead/models"
	"github.com/gin-gonic/gin"
)

// seeFlag records that a person has seen what a flag says, because they say so:
// opening its page changes nothing.
func (s *server) seeFlag(c *gin.Context) error {
	typed, err := fields(c)
	if err != nil {
		return err
	}
	client, flag, err := s.flag(c)
	if err != nil {
		return err
	}
	r := s.recordReader(c, client, typed)
	read := readVersion(r)
	if r.Problems().Any() {
		return s.refuseFlag(c, client, flag, typed, r)
	}
	switch news, err := s.store.SeeFlag(c.Request.Context(), flag.ID, read, signedIn(c).ID); {
	case err == nil && !news:
		return s.done(c, flagPath(flag), "flag.seen-already")
	case err == nil:
		return s.done(c, flagPath(flag), "flag.seen-notice")
	case errors.Is(err, models.ErrStale):
		return s.staleFlag(c, client, typed, "")
	default:
		return err
	}
}
