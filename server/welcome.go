package server

import (
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"net/http"
	"time"

	"fairlead/analytics/quantity"
	"fairlead/models"
	"github.com/gin-gonic/gin"
)

// linkLifetime is how long a link to choose a password works.
const linkLifetime = 72 * time.Hour

// passwordPage asks for a first password, and of the very first owner also for
// a name, whether they fit or treat as well, and the workshop's name and zone.
type passwordPage struct {
	Page
	Name   string
	SignIn string
	First  bool // the first person chooses a name as well, and the workshop's
	Typed  map[string]string
}

// firstOwner is the sign-in name of the owner of a fresh record, until they
// choose one.
const firstOwner = "first-owner"

// FirstOwner is the owner that a fresh record begins with. Nobody can sign in
// as them: they have no password until they have used a link.
func FirstOwner(now time.Time) models.Person {
	return models.Person{
		ID: models.NewID(), Name: "Owner", SignIn: firstOwner, IsOwner: true,
		LengthUnit: quantity.Centimetre, CreatedAt: now,
	}
}

// NewOneTimeLink makes a link that lets one person choose a password once, and
// returns the path to open. Only the hash of its token is kept.
// madeBy is the id of the person who makes it, nil when the program does.
func NewOneTimeLink(personID string, madeBy *string, now time.Time) (models.OneTimeLink, string) {
	token := rand.Text() + rand.Text()
	link := models.OneTimeLink{TokenHash: tokenHash(token), PersonID: personID, MadeBy: madeBy, ExpiresAt: now.Add(linkLifetime)}
	return link, "/welcome/" + token
}

func tokenHash(token string) string {
	sum := sha256.Sum256([]byte(token))
	return hex.EncodeToString(sum[:])
}

var errLinkGone = &oops{status: http.StatusGone, text: "error.link-gone"}

func (s *server) showWelcome(c *gin.Context) error {
	p, _, err := s.linkedPerson(c)
	if err != nil {
		return err
	}
	w := s.workshop(c)
	if w.Zone == "" {
		w.Zone = "UTC"
	}
	return s.show(c, "choose-password", s.passwordPage(c, p, map[string]string{"workshop": w.Name, "zone": w.Zone}))
}

// linkedPerson finds whose link it is; opening it uses nothing up, so that a
// program that looks at links in messages can't.
func (s *server) linkedPerson(c *gin.Context) (models.Person, models.OneTimeLink, error) {
	link, err := s.store.OneTimeLinkByHash(c.Request.Context(), tokenHash(c.Param("token")))
	if errors.Is(err, models.ErrNotFound) || err == nil && (link.UsedAt != nil || !s.now().Before(link.ExpiresAt)) {
		return models.Person{}, link, errLinkGone
	}
	if err != nil {
		return models.Person{}, link, err
	}
	p, err := s.store.PersonByID(c.Request.Context(), link.PersonID)
	return p, link, err
}

func (s *server) passwordPage(c *gin.Context, p models.Person, typed map[string]string) passwordPage {
	return passwordPage{
		Page: s.page(c, s.text(c, "password.title"), ""), Name: p.Name, SignIn: p.SignIn,
		First: p.PasswordHash == "" && p.SignIn == firstOwner, Typed: typed,
	}
}

// choosePassword keeps a password and signs its person in. All their older
// sessions and links end. What the very first owner says of the workshop is kept
// with it.
func (s *server) choosePassword(c *gin.Context) error {
	p, link, err := s.linkedPerson(c)
	if err != nil {
		return err
	}
	typed, err := fields(c)
	if err != nil {
		return err
	}
	page := s.passwordPage(c, p, typed)
	r := s.reader(c, typed)
	w := s.workshop(c)
	if page.First {
		p.Name = r.RequiredText("name", 80)
		p.SignIn = signInName(r, "sign_in")
		p.IsFitter, p.IsProsthetist = r.Bool("is_fitter"), r.Bool("is_prosthetist")
		w.Name, w.Zone = r.RequiredText("workshop", longestName), zoneName(r, "zone")
	}
	checkNewPassword(r, typed["password"], typed["again"], p.SignIn, w.Name)
	if !r.Problems().Any() {
		p.SessionEpoch++
		if err := s.nowChosen(c, &p, &link); err != nil {
			return err
		}
		if p.PasswordHash, err = s.hash(typed["password"]); err != nil {
			return err
		}
		var first *models.Workshop
		if page.First {
			first = &w
		}
		switch err := s.keepPassword(c, &p, first); {
		case err == nil:
			if err := s.startSession(c, p); err != nil {
				return err
			}
			return s.done(c, "/", "password.kept")
		case errors.Is(err, models.ErrNotFound):
			return errLinkGone
		case errors.Is(err, models.ErrConflict):
			r.Add("sign_in", "problem.sign-in-taken", nil)
		case errors.Is(err, models.ErrStale):
			r.Add("", "problem.stale", nil)
		default:
			return err
		}
	}
	page.Page = s.withProblems(c, page.Page, r.Problems(), s.labels(c, passwordLabels))
	return s.refuse(c, "choose-password", page)
}

// keepPassword uses the link up and writes its person and, where there is one to
// be written, the workshop. ErrConflict is about the sign-in name.
func (s *server) keepPassword(c *gin.Context, p *models.Person, w *models.Workshop) error {
	ctx := c.Request.Context()
	return s.store.InTx(ctx, func(tx *models.Store) error {
		if _, err := tx.UseOneTimeLink(ctx, tokenHash(c.Param("token"))); err != nil {
			return err
		}
		if w != nil {
			if err := tx.SaveWorkshop(ctx, w); errors.Is(err, models.ErrConflict) {
				return models.ErrStale // named by somebody else in between
			} else if err != nil {
				return err
			}
		}
		return tx.UpdatePerson(ctx, p)
	})
}
