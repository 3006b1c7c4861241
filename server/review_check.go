package server

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"maps"
	"net/http"
	"slices"

	"fairlead/models"
	"fairlead/server/followup"
	"fairlead/server/form"
	"github.com/gin-gonic/gin"
)

// reviewCheckPage shows exactly what will be signed, and takes the password.
type reviewCheckPage struct {
	recordPage
	reviewContent
	SignPath string
	Back     string // where the same form is typed into again
	Signer   models.Person
	Password passwordOrigin
	Hidden   []hiddenField
}

// hiddenField carries what was typed on the page before.
type hiddenField struct{ Name, Value string }

// reviewForm is a review as it was sent: typed and read, on what there is now.
type reviewForm struct {
	basis   followup.ReviewBasis
	typed   map[string]string // only what belongs to a review
	reader  *form.Reader
	signing followup.Signing
	stale   bool // something changed since the page was opened
}

// readReviewForm reads the form of a review that was sent.
func (s *server) readReviewForm(c *gin.Context) (f reviewForm, sent map[string]string, err error) {
	if sent, err = fields(c); err != nil {
		return f, nil, err
	}
	client, limb, err := s.reviewer(c)
	if err != nil {
		return f, nil, err
	}
	if f.basis, err = followup.LoadReview(c.Request.Context(), s.store, client.ID, limb.ID); err != nil {
		return f, nil, err
	}
	who := *signedIn(c)
	f.typed = ownReviewFields(sent)
	f.typed["id"] = recordID(f.typed)
	f.reader = s.recordReader(c, client, f.typed)
	f.signing = readReview(f.reader, f.basis, s.presentDate(c), func(flag models.Flag) bool { return mayClose(who, flag, bySignature) })
	f.signing.ID, f.signing.By = f.typed["id"], who
	f.stale = len(f.basis.Shown().Against(f.signing.Shown)) > 0
	return f, sent, nil
}

// checkReview shows what will be signed; or the form again, with what is wrong
// with it, with what is new since it was opened, or to type on.
func (s *server) checkReview(c *gin.Context) error {
	f, sent, err := s.readReviewForm(c)
	switch {
	case err != nil:
		return err
	case f.stale || f.reader.Problems().Any():
		return s.reviewAgain(c, f)
	case sent["do"] == "change":
		page, err := s.reviewPage(c, f.basis, f.typed)
		if err != nil {
			return err
		}
		return s.show(c, "review", page)
	}
	return s.showCheck(c, f, http.StatusOK, nil)
}

// reviewAgain shows the form with everything that was typed: as it can't be
// signed, or because what it was typed on is no longer what there is.
func (s *server) reviewAgain(c *gin.Context, f reviewForm) error {
	shown := f.signing.Shown
	f.typed["shown"] = f.basis.Shown().String()
	page, err := s.reviewPage(c, f.basis, f.typed)
	if err != nil {
		return err
	}
	page.Page = s.withProblems(c, page.Page, f.reader.Problems(), s.reviewLabels(c, f.basis))
	if !f.stale {
		return s.refuseRecord(c, "review", page.Heading, page)
	}
	m, err := s.sheetMaker(c, f.basis.Record.Client, f.basis.Limb, f.basis.Flags)
	if err != nil {
		return err
	}
	page.New = m.newThings(f.basis, shown, f.typed)
	page.Problems = append([]Problem{{Field: "new", Message: s.text(c, "problem.review-stale")}}, page.Problems...)
	return s.conflict(c, "review", page)
}

// reviewLabels names the fields of a review.
func (s *server) reviewLabels(c *gin.Context, b followup.ReviewBasis) func(field string) string {
	named := map[string]string{
		"note": "review.note", "limits_confirm": "review.limits_confirm",
	}
	maps.Copy(named, decisionLabels())
	maps.Copy(named, limitLabels())
	label := s.labels(c, named)
	y := s.sayer(c)
	return func(field string) string {
		for _, flag := range b.Open() {
			if field == "reason."+flag.ID || field == "flag."+flag.ID {
				return y.flag(flag).Claim
			}
		}
		return label(field)
	}
}

// showCheck shows what will be signed. What it showed is kept with the session:
// only that can be signed.
func (s *server) showCheck(c *gin.Context, f reviewForm, status int, problems []Problem) error {
	review, set, err := f.signing.Review(f.basis, s.now())
	if err != nil {
		return err
	}
	y, err := s.reviewSayer(c, f.basis)
	if err != nil {
		return err
	}
	limb := f.basis.Limb.Limb
	page := reviewCheckPage{
		recordPage:    s.recordPage(c, s.text(c, "review.check-title"), s.heading(c, f.basis.Record.Client, limb), nil),
		reviewContent: y.content(review, set, f.basis.Limb.LimitsInForce()),
		SignPath:      reviewPath(limb) + "/sign", Back: reviewPath(limb), Signer: *signedIn(c), Password: y.signedWith(review, s.zone(c)),
	}
	page.Nav, page.Problems = "reviews", problems
	for _, field := range slices.Sorted(maps.Keys(f.typed)) {
		page.Hidden = append(page.Hidden, hiddenField{field, f.typed[field]})
	}
	s.sessions.Put(c.Request.Context(), checkedKey(limb), digest(f.typed))
	s.render(c, status, "review-check", page)
	return nil
}

// checkedKey is where a session keeps what was last shown to be signed of a limb.
func checkedKey(l models.Limb) string { return "checked-review:" + l.ID }

// digest tells one form from another.
func digest(typed map[string]string) string {
	text, err := json.Marshal(typed) // sorted by field
	if err != nil {
		panic(err) // texts always marshal
	}
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:])
}
