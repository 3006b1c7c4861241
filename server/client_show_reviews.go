package server

import (
	"cmp"
	"slices"
	"strings"

	"fairlead/models"
	"fairlead/server/followup"
	"github.com/gin-gonic/gin"
)

// decidedSection is what was decided in signed reviews and by letter, newest first.
type decidedSection struct {
	Lede    string
	Newest  *decidedLine
	Earlier []decidedLine
}

// decidedLine is one signed review, or one letter, in short.
type decidedLine struct {
	On, By, Said, Note, LookAgain string
	LookPast                      bool
	Link, LinkLabel               string
}

// standingDecision is what the newest review or letter about a limb still holds the
// client back from.
type standingDecision struct {
	LimbID    string
	Limb      string
	Heading   string   // what it holds back from, as the heading of the page; empty where it only wants to look again
	Sentences []string // the same, and by when to look again
	By, Link  string
}

func (m sheetMaker) decided() decidedSection {
	var all []followup.Decided
	for i := range m.reviews {
		all = append(all, followup.Decided{Review: &m.reviews[i]})
	}
	for i := range m.letters {
		all = append(all, followup.Decided{Letter: &m.letters[i]})
	}
	slices.SortStableFunc(all, func(a, b followup.Decided) int {
		return cmp.Or(cmp.Compare(b.On(m.zone), a.On(m.zone)), b.At().Compare(a.At()))
	})
	var section decidedSection
	for i, d := range all {
		line := m.decidedLine(d)
		if i > 0 {
			section.Earlier = append(section.Earlier, line)
			continue
		}
		if look := d.LookAgainOn(); look != "" {
			line.LookAgain, line.LookPast = m.date(look), look < m.today
		}
		section.Newest = &line
	}
	if section.Newest == nil {
		section.Lede = m.text("review.never")
	}
	return section
}

func (m sheetMaker) decidedLine(d followup.Decided) decidedLine {
	line := decidedLine{On: m.date(d.On(m.zone)), Said: strings.Join(m.decisions(d.Decisions()), " "), Link: decidedPath(d)}
	if l := limitsOf(m.view.Record.Limits, d.ID()); l != nil {
		line.Said = joinSentences(line.Said, m.text("limits.said", "Figures", m.limitFigures(*l)))
	}
	if d.Letter != nil {
		line.LinkLabel = m.text("handover.see")
		line.By = m.decidedSayer().by(d) + "."
		return line
	}
	line.Note, line.LinkLabel = d.Review.Note, m.text("review.see")
	line.By = m.text("review.signed-short", "By", d.Review.Signer(), "On", line.On)
	return line
}

// standing says what is in force of reviews and letters and still holds a client
// back, of all limbs.
func (s *server) standing(c *gin.Context, record followup.ClientRecord) ([]standingDecision, error) {
	ids := make([]string, len(record.Limbs))
	for i, l := range record.Limbs {
		ids[i] = l.Limb.ID
	}
	decided, err := followup.DecidedOf(c.Request.Context(), s.store, ids, s.zone(c))
	if err != nil {
		return nil, err
	}
	people, err := s.store.People(c.Request.Context())
	y := s.decidedSayer(c, people)
	var said []standingDecision
	for _, l := range record.Limbs {
		for _, d := range decided[l.Limb.ID] {
			if len(d.Standing(y.today)) == 0 {
				continue
			}
			held, look := y.holding(d)
			said = append(said, standingDecision{
				LimbID: l.Limb.ID, Limb: upperFirst(s.limbName(c, l.Limb)), Link: decidedPath(d), By: y.by(d),
				Heading: strings.TrimSuffix(strings.Join(held, " "), "."), Sentences: append(held, look...),
			})
		}
	}
	return said, err
}

// heldFrom is what decisions about a limb hold the client back from, as a heading;
// empty where none does.
func heldFrom(standing []standingDecision, limbID string) string {
	var held []string
	for _, d := range standing {
		if d.LimbID == limbID && d.Heading != "" && !slices.Contains(held, d.Heading) {
			held = append(held, d.Heading)
		}
	}
	return strings.Join(held, ". ")
}

// reviewsOf are the signed reviews of a limb, the newest first, the letters that
// decided something about it or set its limits, and where a person who may reviews it
// next.
func (s *server) reviewsOf(c *gin.Context, client models.Client, record followup.LimbRecord) (reviews []models.Review, letters []models.Answer, path string, err error) {
	l := record.Limb
	if client.ArchivedAt == nil && looksAfter(*signedIn(c), client) {
		path = reviewPath(l)
	}
	if reviews, err = s.store.ReviewsOf(c.Request.Context(), l.ID); err != nil {
		return nil, nil, "", err
	}
	answers, err := s.store.AnswersOf(c.Request.Context(), client.ID)
	letters = slices.DeleteFunc(answers, func(a models.Answer) bool {
		return a.LimbID != l.ID || len(a.Decisions) == 0 && limitsOf(record.Limits, a.ID) == nil
	})
	return reviews, letters, path, err
}
