package server

import (
	"errors"
	"net/http"
	"strings"

	"fairlead/models"
	"github.com/alexedwards/argon2id"
	"github.com/gin-gonic/gin"
)

// signInPage asks who it is.
type signInPage struct {
	Page
	SignIn      string
	Next        string
	DemoSignIns []DemoSignIn
}

// DemoSignIn is one of the sign-ins that the demonstration shows openly.
type DemoSignIn struct{ Who, SignIn, Password string }

func (s *server) showSignIn(c *gin.Context) error {
	next := ownPath(c.Query("next"))
	if signedIn(c) != nil {
		c.Redirect(http.StatusSeeOther, next)
		return nil
	}
	return s.show(c, "sign-in", s.signInPage(c, "", next))
}

func (s *server) signInPage(c *gin.Context, name, next string) signInPage {
	return signInPage{
		Page: s.page(c, s.text(c, "signin.title"), ""), SignIn: name, Next: next, DemoSignIns: s.demoSignIns,
	}
}

// signIn checks name and password. An unknown name takes as long as a wrong
// password, and both get the same answer.
func (s *server) signIn(c *gin.Context) error {
	typed, err := fields(c)
	if err != nil {
		return err
	}
	name := strings.ToLower(strings.TrimSpace(typed["name"]))
	page := s.signInPage(c, typed["name"], ownPath(typed["next"]))
	try, err := s.tryPassword(c, name, typed["password"])
	switch {
	case err != nil:
		return err
	case try.wait > 0:
		s.logRefused(c, "sign-in too soon", name)
		page.Problems = []Problem{{Field: "name", Message: s.tooSoon(c, try.wait)}}
		s.render(c, http.StatusTooManyRequests, "sign-in", page)
		return nil
	case !try.right:
		s.logRefused(c, "sign-in refused", name)
		page.Problems = []Problem{{Field: "name", Message: s.text(c, "signin.refused")}}
		return s.refuse(c, "sign-in", page)
	}
	if err := s.startSession(c, try.person); err != nil {
		return err
	}
	s.log.Info("signed in", "request", requestID(c), "person", try.person.ID)
	return s.done(c, page.Next, "")
}

// checkPassword finds the person and compares. A hash of lesser cost than
// today's is renewed while the password is at hand.
func (s *server) checkPassword(c *gin.Context, name, password string) (models.Person, bool, error) {
	ctx := c.Request.Context()
	p, err := s.store.PersonBySignIn(ctx, name)
	if err != nil && !errors.Is(err, models.ErrNotFound) {
		return p, false, err
	}
	if err != nil || p.PasswordHash == "" {
		_, err := s.hash(password) // the same work as for a known name
		return p, false, err
	}
	s.hashing <- struct{}{}
	match, params, err := argon2id.CheckHash(password, p.PasswordHash)
	<-s.hashing
	if err != nil || !match || p.DisabledAt != nil {
		return p, false, err
	}
	if *params != s.password {
		if p.PasswordHash, err = s.hash(password); err != nil {
			return p, false, err
		}
		if err := s.store.UpdatePerson(ctx, &p); err != nil && !errors.Is(err, models.ErrStale) {
			return p, false, err
		}
	}
	return p, true, nil
}

func (s *server) hash(password string) (string, error) {
	s.hashing <- struct{}{}
	defer func() { <-s.hashing }()
	return argon2id.CreateHash(password, &s.password)
}

func (s *server) signOut(c *gin.Context) error {
	if err := s.sessions.Destroy(c.Request.Context()); err != nil {
		return err
	}
	c.Header("Clear-Site-Data", `"cache", "cookies", "storage"`)
	c.Redirect(http.StatusSeeOther, "/sign-in")
	return nil
}

// home is where a person's work begins.
func (s *server) home(c *gin.Context) error {
	place, who := "/today", signedIn(c)
	switch {
	case !allowed(seeClient, who):
		place = "/setup"
	case allowed(seeReviews, who) && !who.IsFitter:
		place = "/reviews"
	}
	c.Redirect(http.StatusSeeOther, place)
	return nil
}

// up answers a proxy that asks whether the program runs.
func (s *server) up(c *gin.Context) error {
	if _, err := s.store.CountPeople(c.Request.Context()); err != nil {
		return err
	}
	c.String(http.StatusOK, "up\n")
	return nil
}
