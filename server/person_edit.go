package server

import (
	"errors"
	"strconv"

	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/form"
	"github.com/gin-gonic/gin"
)

// personPage edits one person. Link is a path that was just made, shown once.
type personPage struct {
	Page
	Person models.Person
	Typed  map[string]string
	Link   string
	// PasswordOf says when their password was chosen and after whose link.
	PasswordOf string
}

func (s *server) newPerson(c *gin.Context) error {
	return s.show(c, "person", s.personPage(c, models.Person{}, map[string]string{"is_fitter": "yes"}))
}

func (s *server) editPerson(c *gin.Context) error {
	p, err := s.store.PersonByID(c.Request.Context(), c.Param("person"))
	if err != nil {
		return err
	}
	return s.show(c, "person", s.personPage(c, p, typedPerson(p)))
}

func (s *server) personPage(c *gin.Context, p models.Person, typed map[string]string) personPage {
	title := p.Name
	if p.ID == "" {
		title = s.text(c, "person.new")
	}
	return personPage{Page: s.page(c, title, "setup"), Person: p, Typed: typed, PasswordOf: s.sayer(c).passwordOf(p, s.zone(c))}
}

func typedPerson(p models.Person) map[string]string {
	return map[string]string{
		"name": p.Name, "sign_in": p.SignIn, "is_fitter": yes(p.IsFitter), "is_prosthetist": yes(p.IsProsthetist),
		"is_owner": yes(p.IsOwner), "disabled": yes(p.DisabledAt != nil), "version": version(p.Version),
		"away_until": string(p.AwayUntil),
	}
}

// addPerson makes a person without a password and the link to choose one.
func (s *server) addPerson(c *gin.Context) error {
	typed, err := fields(c)
	if err != nil {
		return err
	}
	ctx := c.Request.Context()
	p := models.Person{ID: models.NewID(), LengthUnit: quantity.Centimetre, CreatedAt: s.now()}
	r := s.reader(c, typed)
	readPerson(r, &p)
	if err := s.refuseName(c, r, p, ""); err != nil {
		return err
	}
	link, path := NewOneTimeLink(p.ID, &signedIn(c).ID, s.now())
	if !r.Problems().Any() {
		err = s.store.InTx(ctx, func(tx *models.Store) error {
			if err := tx.CreatePerson(ctx, &p); err != nil {
				return err
			}
			return tx.CreateOneTimeLink(ctx, &link)
		})
		if err == nil {
			return s.showLink(c, p, path)
		}
		if !errors.Is(err, models.ErrConflict) {
			return err
		}
		r.Add("sign_in", "problem.sign-in-taken", nil)
	}
	page := s.personPage(c, models.Person{}, typed)
	page.Page = s.withProblems(c, page.Page, r.Problems(), s.labels(c, personLabels))
	return s.refuse(c, "person", page)
}

func readPerson(r *form.Reader, p *models.Person) {
	p.Name = r.RequiredText("name", 80)
	p.SignIn = signInName(r, "sign_in")
	p.IsFitter, p.IsProsthetist, p.IsOwner = r.Bool("is_fitter"), r.Bool("is_prosthetist"), r.Bool("is_owner")
	if !p.IsFitter && !p.IsProsthetist && !p.IsOwner {
		r.Add("is_fitter", "problem.role-missing", nil)
	}
}

func (s *server) savePerson(c *gin.Context) error {
	typed, err := fields(c)
	if err != nil {
		return err
	}
	ctx := c.Request.Context()
	before, err := s.store.PersonByID(ctx, c.Param("person"))
	if err != nil {
		return err
	}
	p := before
	r := s.reader(c, typed)
	readPerson(r, &p)
	if err := s.refuseName(c, r, p, before.Name); err != nil {
		return err
	}
	p.Version = readVersion(r)
	p.AwayUntil = s.readAway(c, r, p.AwayUntil)
	p.DisabledAt = nil
	if r.Bool("disabled") {
		now := s.now()
		p.DisabledAt = &now
		p.SessionEpoch++ // no session comes back with the person
	}
	if p.ID == signedIn(c).ID && (!p.IsOwner || p.DisabledAt != nil) {
		r.Add("is_owner", "problem.own-owner", nil) // or nobody could set up any more
	}
	if !r.Problems().Any() {
		switch err := s.store.UpdatePerson(ctx, &p); {
		case err == nil:
			return s.done(c, "/setup", "person.saved", "Name", p.Name)
		case errors.Is(err, models.ErrStale):
			r.Add("", "problem.stale", nil)
		case errors.Is(err, models.ErrConflict):
			r.Add("sign_in", "problem.sign-in-taken", nil)
		default:
			return err
		}
	}
	page := s.personPage(c, before, typed)
	page.Page = s.withProblems(c, page.Page, r.Problems(), s.labels(c, personLabels))
	return s.refuse(c, "person", page)
}

// makePersonLink makes a new link to choose a password, for a forgotten one.
func (s *server) makePersonLink(c *gin.Context) error {
	p, err := s.store.PersonByID(c.Request.Context(), c.Param("person"))
	if err != nil {
		return err
	}
	link, path := NewOneTimeLink(p.ID, &signedIn(c).ID, s.now())
	if err := s.store.CreateOneTimeLink(c.Request.Context(), &link); err != nil {
		return err
	}
	return s.showLink(c, p, path)
}

// showLink shows a link once, on the answer itself: it is kept nowhere.
func (s *server) showLink(c *gin.Context, p models.Person, path string) error {
	page := s.personPage(c, p, typedPerson(p))
	scheme := "https"
	if c.Request.TLS == nil && len(s.proxies) == 0 {
		scheme = "http"
	}
	page.Link = scheme + "://" + c.Request.Host + path
	return s.show(c, "person", page)
}

// yes is how a tick stands in a typed form.
func yes(b bool) string {
	if b {
		return "yes"
	}
	return ""
}

// version and readVersion carry a record's version through a form, so that the
// second of two people who save the same record is told.
func version(v int) string { return strconv.Itoa(v) }

func readVersion(r *form.Reader) int {
	if v := r.Int("version", 0, 1<<30); v != nil {
		return *v
	}
	return 0
}
