package server

import (
	"errors"
	"net/http"

	"fairlead/models"
	"fairlead/server/followup"
	"github.com/gin-gonic/gin"
)

// signReview signs a review in the name of whoever is signed in, who gives their
// password anew. What was not shown before as it is now is shown instead.
func (s *server) signReview(c *gin.Context) error {
	f, sent, err := s.readReviewForm(c)
	if err != nil {
		return err
	}
	if before, ok := s.signedBefore(c, f); ok {
		return s.done(c, signedPath(before), "review.signed-notice")
	}
	if f.stale || f.reader.Problems().Any() {
		return s.reviewAgain(c, f)
	}
	if s.sessions.GetString(c.Request.Context(), checkedKey(f.basis.Limb.Limb)) != digest(f.typed) {
		return s.showCheck(c, f, http.StatusUnprocessableEntity, []Problem{{Message: s.text(c, "problem.review-unchecked")}})
	}
	signer, err := s.signsWithPassword(c, f, sent["password"])
	if err != nil || signer == nil {
		return err
	}
	f.signing.By = *signer // whose password it is that was right
	review, err := followup.SignReview(c.Request.Context(), s.store, s.now(), f.signing)
	if errors.Is(err, models.ErrStale) { // somebody was faster by a moment
		return s.reviewOvertaken(c, f)
	}
	if err != nil {
		return err
	}
	s.sessions.Remove(c.Request.Context(), checkedKey(f.basis.Limb.Limb))
	s.log.Info("review signed", "request", requestID(c), "person", review.SignedBy, "review", review.ID)
	return s.done(c, signedPath(review), "review.signed-notice")
}

// signsWithPassword checks the password of whoever is signed in and returns them.
// Where it is not right the page with everything on it is answered again, and
// nobody is returned.
func (s *server) signsWithPassword(c *gin.Context, f reviewForm, password string) (*models.Person, error) {
	problem := func(status int, message string) (*models.Person, error) {
		return nil, s.showCheck(c, f, status, []Problem{{Field: "password", Label: s.text(c, "review.password"), Message: message}})
	}
	if password == "" {
		return problem(http.StatusUnprocessableEntity, s.text(c, "problem.required"))
	}
	who := signedIn(c)
	try, err := s.tryPassword(c, who.SignIn, password)
	switch {
	case err != nil:
		return nil, err
	case try.wait > 0:
		s.logRefused(c, "signature too soon", who.SignIn)
		return problem(http.StatusTooManyRequests, s.tooSoon(c, try.wait))
	case !try.right || try.person.ID != who.ID:
		s.logRefused(c, "signature refused", who.SignIn)
		return problem(http.StatusUnprocessableEntity, s.text(c, "problem.password-present"))
	}
	return &try.person, nil
}

// reviewOvertaken shows the form on what there is now.
func (s *server) reviewOvertaken(c *gin.Context, f reviewForm) error {
	basis, err := followup.LoadReview(c.Request.Context(), s.store, f.signing.ClientID, f.signing.LimbID)
	if err != nil {
		return err
	}
	f.basis, f.stale = basis, true
	if before, ok := s.signedBefore(c, f); ok { // it was this very form
		return s.done(c, signedPath(before), "review.signed-notice")
	}
	return s.reviewAgain(c, f)
}
