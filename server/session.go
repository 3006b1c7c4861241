package server

import (
	"errors"
	"net/http"
	"net/url"
	"strings"
	"time"

	"fairlead/models"
	"github.com/alexedwards/scs/v2"
	"github.com/gin-gonic/gin"
)

// A session ends after half an hour of nothing and after twelve hours in any
// case (the figures of NIST SP 800-63B at its second assurance level).
const (
	idleLimit     = 30 * time.Minute
	absoluteLimit = 12 * time.Hour
)

const (
	personKey = "person"
	epochKey  = "epoch"
)

func newSessions(store *models.Store) *scs.SessionManager {
	m := scs.New()
	m.Store = store.Sessions()
	m.HashTokenInStore = true
	m.IdleTimeout = idleLimit
	m.Lifetime = absoluteLimit
	m.Cookie = scs.SessionCookie{
		Name: "__Host-fairlead", Path: "/", Secure: true, HttpOnly: true, SameSite: http.SameSiteLaxMode,
	}
	return m
}

// loadPerson finds who is signed in. It reads the person anew at every request,
// so that a role taken away, an account disabled or a new password acts at once.
// A record that can't be read ends no session.
func (s *server) loadPerson(c *gin.Context) {
	ctx := c.Request.Context()
	id := s.sessions.GetString(ctx, personKey)
	if id == "" {
		return
	}
	p, err := s.store.PersonByID(ctx, id)
	switch {
	case errors.Is(err, models.ErrNotFound), err == nil && p.DisabledAt != nil, err == nil && p.SessionEpoch != s.sessions.GetInt(ctx, epochKey):
		if destroy := s.sessions.Destroy(ctx); destroy != nil {
			s.log.Error("end session", "request", requestID(c), "error", destroy)
		}
	case err != nil:
		s.fail(c, err)
	default:
		c.Set(personKey, &p)
	}
}

// signedIn returns who is signed in, or nil.
func signedIn(c *gin.Context) *models.Person {
	if p, ok := c.Get(personKey); ok {
		return p.(*models.Person)
	}
	return nil
}

// startSession signs a person in under a new token; an older one is dead. The
// session lasts while the person's session epoch is what it is now.
func (s *server) startSession(c *gin.Context, p models.Person) error {
	ctx := c.Request.Context()
	if err := s.sessions.RenewToken(ctx); err != nil {
		return err
	}
	s.sessions.Put(ctx, personKey, p.ID)
	s.sessions.Put(ctx, epochKey, p.SessionEpoch)
	return nil
}

// nextFor is the page to come back to after signing in, as a query value.
func nextFor(c *gin.Context) string { return url.QueryEscape(c.Request.URL.RequestURI()) }

// ownPath returns a path of this program, or "/" for anything else, so that a
// crafted link cannot send a person elsewhere.
func ownPath(next string) string {
	u, err := url.Parse(next)
	if err != nil || u.IsAbs() || u.Host != "" || u.User != nil || !strings.HasPrefix(next, "/") ||
		strings.HasPrefix(next, "//") || strings.Contains(next, `\`) {
		return "/"
	}
	return next
}
