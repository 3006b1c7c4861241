package server

import (
	"fairlead/models"
	"fairlead/server/followup"
	"fairlead/server/form"
	"github.com/gin-gonic/gin"
)

// signedPage is a signed review, to read and to print.
type signedPage struct {
	recordPage
	reviewContent
	Signed        string // by whom, in which role, when
	Password      passwordOrigin
	Hash          string
	Changed       bool // it is not what was signed
	Before, After string
	ClientPath    string
	Review        string // where the limb is reviewed, for those who may
}

// signedPath is the address of a signed review.
func signedPath(r models.Review) string { return "/clients/" + r.ClientID + "/reviews/" + r.ID }

func (s *server) showSigned(c *gin.Context) error {
	ctx := c.Request.Context()
	client, err := s.reach(c)
	if err != nil {
		return err
	}
	review, err := s.store.ReviewByID(ctx, c.Param("review"))
	if err == nil && review.ClientID != client.ID {
		err = errNotFound
	}
	if err != nil {
		return err
	}
	basis, err := followup.LoadReview(ctx, s.store, client.ID, review.LimbID)
	if err != nil {
		return err
	}
	y, err := s.reviewSayer(c, basis)
	if err != nil {
		return err
	}
	zone := s.zone(c)
	set, before := basis.Limb.LimitsOf(review.ID)
	heading := s.heading(c, client, basis.Limb.Limb)
	page := signedPage{
		recordPage:    s.recordPage(c, y.text("review.signed-title", "Number", review.Number), heading, nil),
		reviewContent: y.content(review, set, before), Password: y.signedWith(review, zone),
		Hash: review.ContentHash, Changed: !followup.Unchanged(review, set),
		Signed: y.text("review.signed-by", "By", review.Signer(), "On", y.date(dateIn(review.SignedAt, zone)),
			"At", form.FormatClock(review.SignedAt, zone)),
		ClientPath: clientPath(client) + "?limb=" + review.LimbID,
	}
	if client.ArchivedAt == nil && looksAfter(*signedIn(c), client) {
		page.Review = reviewPath(basis.Limb.Limb)
	}
	for _, other := range basis.Reviews {
		switch other.Number {
		case review.Number - 1:
			page.Before = signedPath(other)
		case review.Number + 1:
			page.After = signedPath(other)
		}
	}
	return s.show(c, "review-signed", page)
}
