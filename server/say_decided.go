package server

import (
	"slices"
	"strings"
	"time"

	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/followup"
	"github.com/gin-gonic/gin"
)

// decidedSayer puts into words what prosthetists decided, by review or by letter.
type decidedSayer struct {
	sayer
	names map[string]string // of people, by id
	today quantity.Date
	zone  *time.Location
}

func (s *server) decidedSayer(c *gin.Context, people []models.Person) decidedSayer {
	y := decidedSayer{sayer: s.sayer(c), names: map[string]string{}, today: s.presentDate(c), zone: s.zone(c)}
	for _, p := range people {
		y.names[p.ID] = p.ShownName()
	}
	return y
}

// decidedSayer is the one of the same reader.
func (m sheetMaker) decidedSayer() decidedSayer {
	return decidedSayer{sayer: m.sayer, names: m.people, today: m.today, zone: m.zone}
}

// by says whose a decision is: who signed it, or who wrote the letter and who
// recorded that. A letter is never called signed: nobody signed it here.
func (y decidedSayer) by(d followup.Decided) string {
	if d.Letter != nil {
		return y.text("review.standing-letter", "From", d.Letter.FromWhom, "Of", y.date(d.Letter.AnsweredOn), "By", y.names[d.Letter.RecordedBy])
	}
	return y.text("review.standing-by", "By", d.Review.Signer(), "On", y.date(d.On(y.zone)))
}

// decidedPath is where a decision can be read whole.
func decidedPath(d followup.Decided) string {
	if d.Letter != nil {
		return handoverPath(d.Letter.ClientID, d.Letter.HandoverID)
	}
	return signedPath(*d.Review)
}

// holding says what a decision holds the client back from, and by when to look
// again; either may be empty.
func (y decidedSayer) holding(d followup.Decided) (held, look []string) {
	for _, decision := range d.HoldsBack(y.today) {
		held = append(held, y.decision(decision))
	}
	if on := d.LookAgainOn(); on != "" {
		look = append(look, y.decision(models.Decision{Kind: models.LookAgainDecision, Until: on}))
	}
	return held, look
}

// inForce says of each decision that is in force what it holds the client back from
// and by when to look again, with whose it is.
func (y decidedSayer) inForce(decided []followup.Decided) []string {
	var said []string
	for _, d := range decided {
		if held, look := y.holding(d); len(held)+len(look) > 0 {
			said = append(said, strings.Join(append(held, look...), " ")+" "+y.by(d)+".")
		}
	}
	return said
}

// replaced says which decision has taken the place of what an answer decides; empty
// where it decides nothing or is in force.
func (y decidedSayer) replaced(a models.Answer, inForce []followup.Decided) string {
	ofIt := func(d followup.Decided) bool { return d.Letter != nil && d.Letter.ID == a.ID }
	if len(a.Decisions) == 0 || len(inForce) == 0 || slices.ContainsFunc(inForce, ofIt) {
		return ""
	}
	return y.text("answer.replaced", "By", y.by(inForce[0]))
}

// boxes are the decisions of a form as it was typed, and what is in force until it
// is recorded.
func (y decidedSayer) boxes(typed map[string]string, inForce []followup.Decided) decisionBoxes {
	p := decisionBoxes{Standing: y.inForce(inForce)}
	for _, kind := range decided {
		d := decisionBox{Name: decisionField(kind), Label: y.word("decision", string(kind)), Chosen: typed[decisionField(kind)] != ""}
		if day := decisionDay[kind]; day != "" {
			d.Fields = append(d.Fields, decisionEntry{Name: day, Label: y.text("review." + day), Hint: y.text("record.date-hint"), Width: "medium", Value: typed[day]})
		}
		if words := decisionWords[kind]; words != "" {
			d.Fields = append(d.Fields, decisionEntry{Name: words, Label: y.text("review." + words), Value: typed[words]})
		}
		p.Boxes = append(p.Boxes, d)
	}
	return p
}
