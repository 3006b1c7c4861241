package server

import (
	"net/http"

	"fairlead/models"
	"github.com/gin-gonic/gin"
)

// client finds the client of a path as reach does. A change of an archived one
// is refused.
func (s *server) client(c *gin.Context) (models.Client, error) {
	client, err := s.reach(c)
	if err == nil && c.Request.Method != http.MethodGet && client.ArchivedAt != nil && !revives(c) {
		return models.Client{}, errArchived
	}
	return client, err
}

// reach finds the client of a path, archived or not. A client that the person
// may not know is as absent as one that does not exist. A form that is sent for
// an archived client must not be lost: what reads it (recordReader, saveCheckin)
// shows it again instead of keeping a record.
func (s *server) reach(c *gin.Context) (models.Client, error) {
	client, err := s.store.ClientByID(c.Request.Context(), c.Param("client"))
	if err == nil && !reachable(*signedIn(c), client) {
		err = errNotFound
	}
	if err != nil {
		return models.Client{}, err
	}
	s.heading(c, client) // a page that names no limb still says whose it is
	return client, nil
}

// headingKey holds the heading of the client that a request is about: a page tells
// it on every sheet of paper.
const headingKey = "heading"

// revives tells whether a request takes a client out of the archive, the one
// change that an archived client allows.
func revives(c *gin.Context) bool { return c.FullPath() == "/clients/:client/unarchive" }

// limb finds the limb of a path below its client.
func (s *server) limb(c *gin.Context, client models.Client) (models.Limb, error) {
	limb, err := s.store.LimbByID(c.Request.Context(), c.Param("limb"))
	if err == nil && limb.ClientID != client.ID {
		err = errNotFound
	}
	return limb, err
}

// Heading says whose page it is. Name, side and level stand on every page about
// a client: a code alone invites the wrong one.
type Heading struct {
	ClientID, Name, Code string
	Limbs                string // left transtibial
	Archived             bool
}

// heading says whose page it is, on screen and on every sheet of paper of a page
// that is made after it.
func (s *server) heading(c *gin.Context, client models.Client, limbs ...models.Limb) Heading {
	h := Heading{ClientID: client.ID, Name: client.Name, Code: client.Code, Archived: client.ArchivedAt != nil}
	for i, l := range limbs {
		if i > 0 {
			h.Limbs += ", "
		}
		h.Limbs += s.limbName(c, l)
	}
	if client.ID == c.Param("client") { // not in a list of many
		c.Set(headingKey, h)
	}
	return h
}

// limbName is side and level, such as "left transtibial".
func (s *server) limbName(c *gin.Context, l models.Limb) string {
	return s.text(c, "limb.name", "Side", s.text(c, "side."+string(l.Side)), "Level", s.text(c, "amputation-level."+string(l.Level)))
}

// clientTitle is the title of a page about a client, for the browser's tab.
func (s *server) clientTitle(c *gin.Context, what string, h Heading) string {
	return s.text(c, "client.page-title", "What", what, "Name", h.Name, "Code", h.Code, "Limbs", h.Limbs)
}
