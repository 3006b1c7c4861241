package server

import (
	"strings"

	"fairlead/models"
	"fairlead/server/followup"
	"github.com/gin-gonic/gin"
)

// decidedSection is what was decided in signed reviews, newest first.
type decidedSection struct {
	Lede    string
	Newest  *decidedLine
	Earlier []decidedLine
}

// decidedLine is one signed review in short.
type decidedLine struct {
	On, By, Said, Note, LookAgain string
	LookPast                      bool
	Link                          string
}

// standingDecision is what the newest review of a limb still holds the client
// back from.
type standingDecision struct {
	LimbID    string
	Limb      string
	Heading   string   // what it holds back from, as the heading of the page
	Sentences []string // the same, and by when to look again
	By, Link  string
}

func (m sheetMaker) decided() decidedSection {
	var section decidedSection
	for i, r := range m.reviews {
		line := decidedLine{
			On: m.date(m.onDay(r.SignedAt)), By: r.SignerName, Said: strings.Join(m.decisions(r), " "), Note: r.Note, Link: signedPath(r),
		}
		if i > 0 {
			section.Earlier = append(section.Earlier, line)
			continue
		}
		if r.LookAgainOn != "" {
			line.LookAgain, line.LookPast = m.date(r.LookAgainOn), r.LookAgainOn < m.today
		}
		section.Newest = &line
	}
	if section.Newest == nil {
		section.Lede = m.text("review.never")
	}
	return section
}

// standing says what the newest reviews of a client's limbs still hold back.
func (s *server) standing(c *gin.Context, record followup.ClientRecord) ([]standingDecision, error) {
	ids := make([]string, len(record.Limbs))
	for i, l := range record.Limbs {
		ids[i] = l.Limb.ID
	}
	last, err := s.store.LastReviews(c.Request.Context(), ids)
	if err != nil {
		return nil, err
	}
	y := s.sayer(c)
	var said []standingDecision
	for _, l := range record.Limbs {
		decisions := followup.StandingDecisions(last[l.Limb.ID], s.presentDate(c))
		if len(decisions) == 0 {
			continue
		}
		r := last[l.Limb.ID]
		standing := standingDecision{
			LimbID: l.Limb.ID, Limb: upperFirst(s.limbName(c, l.Limb)), Link: signedPath(r),
			By: y.text("review.standing-by", "By", r.SignerName, "On", y.date(dateIn(r.SignedAt, s.zone(c)))),
		}
		for _, d := range decisions {
			standing.Sentences = append(standing.Sentences, y.decision(d))
		}
		standing.Heading = strings.TrimSuffix(strings.Join(standing.Sentences, " "), ".")
		if r.LookAgainOn != "" {
			standing.Sentences = append(standing.Sentences, y.decision(models.Decision{Kind: models.LookAgainDecision, Until: r.LookAgainOn}))
		}
		said = append(said, standing)
	}
	return said, nil
}

// heldFrom is what a decision about a limb holds the client back from, as a
// heading; empty where none does.
func heldFrom(standing []standingDecision, limbID string) string {
	for _, d := range standing {
		if d.LimbID == limbID {
			return d.Heading
		}
	}
	return ""
}

// reviewsOf are the signed reviews of a limb, the newest first, and where a
// person who may reviews it next.
func (s *server) reviewsOf(c *gin.Context, client models.Client, l models.Limb) (reviews []models.Review, path string, err error) {
	if client.ArchivedAt == nil && looksAfter(*signedIn(c), client) {
		path = reviewPath(l)
	}
	reviews, err = s.store.ReviewsOf(c.Request.Context(), l.ID)
	return reviews, path, err
}
