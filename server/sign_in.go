package server

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"net/http"
	"strconv"
	"strings"
	"time"

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
	keys := slowKeys(name, c.ClientIP())
	wait, err := s.signInWait(c, keys)
	if err != nil {
		return err
	}
	if wait > 0 {
		c.Header("Retry-After", strconv.Itoa(int(wait.Seconds())+1))
		page.Problems = []Problem{{Field: "name", Message: s.text(c, "signin.slowed", "Count", int(wait.Seconds())+1)}}
		s.render(c, http.StatusTooManyRequests, "sign-in", page)
		return nil
	}
	p, ok, err := s.checkPassword(c, name, typed["password"])
	if err != nil {
		return err
	}
	if !ok {
		s.log.Warn("sign-in refused", "request", requestID(c))
		for _, k := range keys {
			if err := s.store.RecordSignInFailure(c.Request.Context(), k.key); err != nil {
				return err
			}
		}
		page.Problems = []Problem{{Field: "name", Message: s.text(c, "signin.refused")}}
		return s.refuse(c, "sign-in", page)
	}
	if err := s.store.ClearSignInFailures(c.Request.Context(), keys[0].key); err != nil {
		return err
	}
	if err := s.startSession(c, p); err != nil {
		return err
	}
	s.log.Info("signed in", "request", requestID(c), "person", p.ID)
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
	if who := signedIn(c); !allowed(seeClient, who) {
		c.Redirect(http.StatusSeeOther, "/setup")
		return nil
	}
	c.Redirect(http.StatusSeeOther, "/today")
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

// slowKey counts sign-ins that went wrong; after free of them each further one
// costs a wait that doubles.
type slowKey struct {
	key  string
	free int
}

// slowKeys slows guessing per account and address together, per address, and,
// far later, per account, so that nobody can lock a person out from elsewhere
// but a guess from a thousand addresses is slowed too. Only hashes are kept.
func slowKeys(name, address string) []slowKey {
	return []slowKey{
		{hashKey("account-address", name, address), 5},
		{hashKey("address", address), 20},
		{hashKey("account", name), 100},
	}
}

func hashKey(parts ...string) string {
	sum := sha256.Sum256([]byte(strings.Join(parts, "\x00")))
	return hex.EncodeToString(sum[:])
}

const (
	slowWindow = 30 * time.Minute
	slowLimit  = 15 * time.Minute
)

// signInWait is how long a sign-in still has to wait; zero lets it through.
func (s *server) signInWait(c *gin.Context, keys []slowKey) (time.Duration, error) {
	var longest time.Duration
	now := s.now()
	for _, k := range keys {
		n, latest, err := s.store.SignInFailures(c.Request.Context(), k.key, now.Add(-slowWindow))
		if err != nil {
			return 0, err
		}
		if n < k.free {
			continue
		}
		longest = max(longest, latest.Add(slowness(n-k.free)).Sub(now))
	}
	return longest, nil
}

// slowness is the wait after n failures too many: 4 s, 8 s, 16 s … 15 min.
func slowness(n int) time.Duration {
	return min(4*time.Second<<min(n, 10), slowLimit)
}
