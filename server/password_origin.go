package server

import (
	"errors"
	"time"

	"fairlead/models"
	"fairlead/server/form"
	"github.com/gin-gonic/gin"
)

// recentPassword is for how long a password counts as newly chosen, after which its
// owner would have noticed that it is another.
const recentPassword = 7 * 24 * time.Hour

// passwordOrigin says by whose link the password of a signature came about. Whoever
// makes a link can use it: no program can keep them from that, but every signature
// tells of it.
type passwordOrigin struct {
	Sentence string // empty where nobody else made a link
	Recent   bool
}

// nowChosen notes that a person's password is chosen now, by a link or, nil, by
// themselves. A link of their own, like a password that they change themselves,
// takes away nothing of who made the link before: whoever signed in by that one
// could make it.
func (s *server) nowChosen(c *gin.Context, p *models.Person, link *models.OneTimeLink) error {
	now := s.now()
	p.PasswordChosenAt = &now
	if link == nil || link.MadeBy == nil || *link.MadeBy == p.ID {
		return nil
	}
	maker, err := s.store.PersonByID(c.Request.Context(), *link.MadeBy)
	p.PasswordLinkBy = maker.Name
	return err
}

// signedWith says by whose link the password came about that a review was signed
// with.
func (y sayer) signedWith(r models.Review, zone *time.Location) passwordOrigin {
	switch {
	case r.PasswordChosenAt == nil:
		return passwordOrigin{Sentence: y.text("review.password-unknown", "Name", r.Signer())}
	case r.PasswordLinkBy == "":
		return passwordOrigin{}
	}
	return passwordOrigin{
		Sentence: y.text("review.password-of", "Name", r.Signer(), "On", y.date(dateIn(*r.PasswordChosenAt, zone)), "By", r.PasswordLinkBy),
		Recent:   r.SignedAt.Sub(*r.PasswordChosenAt) < recentPassword,
	}
}

// passwordOf says when a person's password was chosen and after whose link; empty
// where there is none yet.
func (y sayer) passwordOf(p models.Person, zone *time.Location) string {
	switch {
	case p.PasswordHash == "":
		return ""
	case p.PasswordChosenAt == nil:
		return y.text("person.password-unknown")
	case p.PasswordLinkBy == "":
		return y.text("person.password-own", "On", y.date(dateIn(*p.PasswordChosenAt, zone)))
	}
	return y.text("person.password-by", "On", y.date(dateIn(*p.PasswordChosenAt, zone)), "By", p.PasswordLinkBy)
}

// openLink tells a person of a link by which somebody else can choose their
// password; empty where there is none.
func (s *server) openLink(c *gin.Context) (string, error) {
	ctx, who := c.Request.Context(), signedIn(c)
	link, err := s.store.WorkingLinkOf(ctx, who.ID)
	if errors.Is(err, models.ErrNotFound) || err == nil && (link.MadeBy == nil || *link.MadeBy == who.ID) {
		return "", nil
	}
	if err != nil {
		return "", err
	}
	maker, err := s.store.PersonByID(ctx, *link.MadeBy)
	if err != nil {
		return "", err
	}
	y, zone := s.sayer(c), s.zone(c)
	return y.text("password.open-link", "By", maker.Name, "On", y.date(dateIn(*link.MadeAt, zone)),
		"Until", y.date(dateIn(link.ExpiresAt, zone)), "At", form.FormatClock(link.ExpiresAt, zone)), nil
}
