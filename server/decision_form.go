package server

import (
	"maps"
	"slices"

	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/form"
)

// decided are the decisions that a person ticks, of a review and of a letter alike;
// limits count as decided by setting or confirming them.
var decided = slices.DeleteFunc(slices.Clone(models.DecisionKinds), func(k models.DecisionKind) bool { return k == models.LimitsConfirmed })

// The fields that belong to a decision, by its kind: a day, and a few words.
var (
	decisionDay = map[models.DecisionKind]string{
		models.LookAgainDecision: "look_again_on", models.CoverOff: "cover_off_on",
	}
	decisionWords = map[models.DecisionKind]string{
		models.Adjust: "adjust_what", models.CoverOff: "cover_off_until", models.SockAdvice: "sock_advice_what",
		models.Refer: "refer_whom", models.OtherDecision: "other_what",
	}
)

// decisionBoxes are the decisions to tick, and what stands until then.
type decisionBoxes struct {
	Standing []string // what is in force, in sentences
	Boxes    []decisionBox
}

// decisionBox is one decision to tick, with what belongs to it.
type decisionBox struct {
	Name, Label string
	Chosen      bool
	Fields      []decisionEntry
}

// decisionEntry is a field beside a decision.
type decisionEntry struct{ Name, Label, Hint, Width, Value string }

// decisionField is the name of the box of a kind.
func decisionField(k models.DecisionKind) string { return "decision." + string(k) }

// decisionLabels are the ids of the words for the fields of decisions, by field.
func decisionLabels() map[string]string {
	named := map[string]string{"decisions": "review.decisions"}
	for _, field := range slices.Concat(slices.Collect(maps.Values(decisionDay)), slices.Collect(maps.Values(decisionWords))) {
		named[field] = "review." + field
	}
	for _, kind := range decided {
		named[decisionField(kind)] = decisionField(kind) // its field is called as its word is
	}
	return named
}

// readDecisions reads what is ticked; a day of one may not lie before the first,
// which may be missing: early is the text that says so. A day or words beside a box
// that is not ticked are a problem: nobody knows which of the two was meant.
func readDecisions(r *form.Reader, first quantity.Date, early string) []models.Decision {
	var decisions []models.Decision
	for _, kind := range decided {
		d := models.Decision{Kind: kind}
		ticked := r.Bool(decisionField(kind))
		if day := decisionDay[kind]; day != "" {
			if d.Until = r.Date(day); d.Until != "" && d.Until < first {
				r.Add(day, early, nil)
			}
		}
		if words := decisionWords[kind]; words != "" {
			d.Note = r.Text(words, longestLine)
		}
		if !ticked {
			for _, field := range []string{decisionDay[kind], decisionWords[kind]} {
				if field != "" && !r.Empty(field) {
					r.Add(field, "problem.review-not-ticked", nil)
				}
			}
			continue
		}
		switch kind {
		case models.LookAgainDecision:
			r.Require("look_again_on")
		case models.CoverOff:
			if r.Empty("cover_off_on") {
				r.Require("cover_off_until")
			}
		case models.Refer, models.OtherDecision:
			r.Require(decisionWords[kind])
		}
		decisions = append(decisions, d)
	}
	return decisions
}
