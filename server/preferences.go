package server

import (
	"errors"
	"net/http"

	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/form"
	"github.com/gin-gonic/gin"
)

// preferencesPage is a person's own choices: unit, decimal mark, absence, password.
type preferencesPage struct {
	Page
	Typed  map[string]string
	Units  []quantity.LengthUnit
	SignIn string // for password managers
	// PasswordOf says when the password was chosen and after whose link, OpenLink
	// by whose another can be chosen now.
	PasswordOf, OpenLink string
}

func (s *server) showPreferences(c *gin.Context) error {
	page := s.preferencesPage(c, typedPreferences(*signedIn(c)))
	var err error
	if page.OpenLink, err = s.openLink(c); err != nil {
		return err
	}
	return s.show(c, "preferences", page)
}

func typedPreferences(p models.Person) map[string]string {
	return map[string]string{
		"length_unit": string(p.LengthUnit), "decimal_comma": yes(p.DecimalComma), "version": version(p.Version),
		"away_until": string(p.AwayUntil),
	}
}

func (s *server) preferencesPage(c *gin.Context, typed map[string]string) preferencesPage {
	return preferencesPage{
		Page: s.page(c, s.text(c, "preferences.title"), ""), Typed: typed, Units: quantity.LengthUnits, SignIn: signedIn(c).SignIn,
		PasswordOf: s.sayer(c).passwordOf(*signedIn(c), s.zone(c)),
	}
}

func (s *server) savePreferences(c *gin.Context) error {
	typed, err := fields(c)
	if err != nil {
		return err
	}
	p := *signedIn(c)
	r := s.reader(c, typed)
	p.LengthUnit = form.RequiredChoice(r, "length_unit", quantity.LengthUnits)
	p.DecimalComma = r.Bool("decimal_comma")
	if !r.Problems().Any() {
		err := s.store.UpdatePerson(c.Request.Context(), &p)
		if err == nil {
			return s.done(c, "/preferences", "preferences.saved")
		}
		if !errors.Is(err, models.ErrStale) {
			return err
		}
		r.Add("", "problem.stale", nil)
	}
	page := s.preferencesPage(c, typed)
	page.Page = s.withProblems(c, page.Page, r.Problems(), s.labels(c, map[string]string{"length_unit": "preferences.unit"}))
	return s.refuse(c, "preferences", page)
}

// changePassword asks for the present password first, ends all sessions of the
// person and starts a new one.
func (s *server) changePassword(c *gin.Context) error {
	typed, err := fields(c)
	if err != nil {
		return err
	}
	who := signedIn(c)
	page := s.preferencesPage(c, typedPreferences(*who))
	r := s.reader(c, typed)
	try, err := s.tryPassword(c, who.SignIn, typed["present_password"])
	if err != nil {
		return err
	}
	if try.wait > 0 {
		s.logRefused(c, "change of password too soon", who.SignIn)
		page.Problems = []Problem{{Field: "present_password", Label: s.text(c, passwordLabels["present_password"]), Message: s.tooSoon(c, try.wait)}}
		s.render(c, http.StatusTooManyRequests, "preferences", page)
		return nil
	}
	if !try.right {
		s.logRefused(c, "change of password refused", who.SignIn)
		r.Add("present_password", "problem.password-present", nil)
	}
	checkNewPassword(r, typed["password"], typed["again"], who.SignIn, page.Workshop)
	if problems := r.Problems(); problems.Any() {
		page.Page = s.withProblems(c, page.Page, problems, s.labels(c, passwordLabels))
		return s.refuse(c, "preferences", page)
	}
	p := try.person
	p.SessionEpoch++
	if err := s.nowChosen(c, &p, nil); err != nil {
		return err
	}
	if p.PasswordHash, err = s.hash(typed["password"]); err != nil {
		return err
	}
	if err := s.store.UpdatePerson(c.Request.Context(), &p); err != nil {
		return err
	}
	if err := s.startSession(c, p); err != nil {
		return err
	}
	return s.done(c, "/preferences", "preferences.password-changed")
}

// texts returns the words of a vocabulary as plain strings.
func texts[T ~string](words []T) []string {
	out := make([]string, len(words))
	for i, w := range words {
		out[i] = string(w)
	}
	return out
}
