package server

import (
	"slices"
	"strings"
	"time"

	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/form"
	"github.com/gin-gonic/gin"
)

// flagTeller tells the history of flags in sentences. Everything it needs was
// loaded before.
type flagTeller struct {
	sayer
	people map[string]string // names by id
	all    []models.Person   // who can be a deputy
	around models.FlagsAround
	zone   *time.Location
}

// toldStep is one sentence of a flag's history. Short says the same beside its
// day; Link leads to what it rests on, or is empty.
type toldStep struct {
	Sentence, Short string
	Link, LinkLabel string
	at              time.Time
}

// told is the whole history of a flag, oldest first; claim puts one piece of its
// evidence into words.
func (t flagTeller) told(f models.Flag, claim func(models.FlagEvidence) string) []toldStep {
	var all []toldStep
	for i, e := range slices.Backward(f.Evidence) { // newest first
		id, short := "flag.history.more", "flag.short.more"
		if i == len(f.Evidence)-1 {
			id, short = "flag.history.opened", "follow.history.opened"
		}
		said := claim(e)
		all = append(all, toldStep{
			Sentence: t.text(id, "On", t.day(e.AddedAt), "Time", form.FormatClock(e.AddedAt, t.zone), "Level", lowerFirst(t.word("mark", e.Level)), "Claim", said),
			Short:    t.text(short, "Claim", said), at: e.AddedAt,
		})
	}
	for _, step := range f.Steps {
		if told := t.step(f, step); told.Sentence != "" {
			all = append(all, told)
		}
	}
	slices.SortStableFunc(all, func(a, b toldStep) int { return a.at.Compare(b.at) })
	if f.ClosedAt != nil {
		all = append(all, t.closing(f))
	}
	return all
}

// step tells one thing that somebody did about a flag.
func (t flagTeller) step(f models.Flag, s models.FlagStep) toldStep {
	told := toldStep{at: s.MadeAt}
	if s.CalledAt != nil {
		told.at = *s.CalledAt // a call may have been recorded later
	}
	by, on := t.people[s.MadeBy], t.day(s.MadeAt)
	note := fullStop(s.Note)
	switch s.Kind {
	case models.StepSeen:
		told.Sentence = t.text("flag.history.seen", "By", by, "On", on, "Time", form.FormatClock(s.MadeAt, t.zone))
		told.Short = t.text("flag.short.seen", "By", by)
	case models.StepCalled:
		outcome := t.text("flag.outcome." + string(s.Outcome))
		told.Sentence = t.text("flag.history.called", "By", by, "On", t.day(*s.CalledAt), "Time", form.FormatClock(*s.CalledAt, t.zone), "Outcome", outcome)
		told.Short = t.text("flag.short.called", "By", by, "Outcome", outcome)
	case models.StepActed:
		told.Sentence = t.text("flag.history.acted", "What", t.text("flag.done."+string(s.CoverAction)), "By", by, "On", on, "Gaps", t.gaps(s))
		told.Short = t.text("flag.short.acted", "What", t.text("flag.done."+string(s.CoverAction)), "By", by, "Gaps", t.gaps(s))
	case models.StepHandedOver, models.StepAskedAgain, models.StepAnswered:
		return t.outside(f, s)
	case models.StepReviewed:
		if s.ReviewID == nil {
			break
		}
		review := t.around.Reviews[*s.ReviewID]
		told.Sentence = t.text("flag.history.reviewed", "On", t.day(review.SignedAt), "By", review.Signer())
		told.Short = t.text("flag.short.reviewed", "By", review.Signer())
		told.Link, told.LinkLabel = signedPath(review), t.text("flag.review")
	}
	told.Sentence, told.Short = joinSentences(told.Sentence, note), joinSentences(told.Short, note)
	return told
}

// outside tells a step that was about a prosthetist who does not sign in.
func (t flagTeller) outside(f models.Flag, s models.FlagStep) toldStep {
	told := toldStep{at: s.MadeAt}
	if s.HandoverID == nil {
		return told
	}
	handover, by, on := t.around.Handovers[*s.HandoverID], t.people[s.MadeBy], t.day(s.MadeAt)
	told.Link, told.LinkLabel = handoverPath(f.ClientID, handover.ID), t.text("flag.handover")
	switch s.Kind {
	case models.StepHandedOver:
		means := t.text("flag.means." + string(handover.Means))
		told.Sentence = t.text("flag.history.handed-over", "To", handover.ToWhom, "Means", means, "On", t.date(handover.HandedOn), "By", by)
		told.Short = t.text("flag.short.handed-over", "To", handover.ToWhom, "Means", means)
	case models.StepAskedAgain:
		told.Sentence = t.text("flag.history.asked-again", "To", handover.ToWhom, "On", on, "By", by)
		told.Short = t.text("flag.short.asked-again", "To", handover.ToWhom, "By", by)
	case models.StepAnswered:
		if s.AnswerID == nil {
			break
		}
		answer := t.around.Answers[*s.AnswerID]
		told.Sentence = t.text("flag.history.answered", "From", answer.FromWhom, "Of", t.date(answer.AnsweredOn), "On", on, "By", by)
		told.Short = t.text("flag.short.answered", "From", answer.FromWhom, "Of", t.date(answer.AnsweredOn))
	}
	if on := askAgainOn(f, s); on != "" {
		told.Sentence = joinSentences(told.Sentence, t.text("flag.history.ask-again", "On", t.date(on)))
	}
	told.Sentence, told.Short = joinSentences(told.Sentence, fullStop(s.Note)), joinSentences(told.Short, fullStop(s.Note))
	return told
}

// askAgainOn is the day on which to ask again that was set with a step. Steps of before
// it was kept have none, but for the last of them while its day is in force.
func askAgainOn(f models.Flag, s models.FlagStep) quantity.Date {
	if s.AskAgainOn != "" || f.HandoverID == nil || *f.HandoverID != *s.HandoverID {
		return s.AskAgainOn
	}
	for _, later := range slices.Backward(f.Steps) {
		if later.ID == s.ID {
			return f.AskAgainOn
		}
		if later.HandoverID != nil {
			break
		}
	}
	return ""
}

// closing tells how a flag was closed: by whose word where it was not the
// fitter's own.
func (t flagTeller) closing(f models.Flag) toldStep {
	told := toldStep{at: *f.ClosedAt}
	on, by, reason := t.day(*f.ClosedAt), t.people[f.ClosedBy], fullStop(f.CloseReason)
	claim := t.flag(f).Claim
	switch {
	case f.ClosedReviewID != nil:
		review := t.around.Reviews[*f.ClosedReviewID]
		told.Sentence = t.text("flag.history.closed-review", "On", on, "By", review.Signer(), "Reason", reason)
		told.Short = t.text("flag.short.closed-review", "Claim", claim, "By", review.Signer())
		told.Link, told.LinkLabel = signedPath(review), t.text("flag.review")
	case f.ClosedAnswerID != nil:
		answer := t.around.Answers[*f.ClosedAnswerID]
		told.Link, told.LinkLabel = handoverPath(f.ClientID, answer.HandoverID), t.text("flag.handover")
		told.Sentence = t.text("flag.history.closed-answer", "On", on, "From", answer.FromWhom, "Of", t.date(answer.AnsweredOn), "By", by, "Reason", reason)
		told.Short = t.text("flag.short.closed-answer", "Claim", claim, "From", answer.FromWhom, "By", by)
	default:
		told.Sentence = t.text("flag.history.closed", "On", on, "By", by, "Reason", reason)
		told.Short = t.text("follow.history.closed-by", "Claim", claim, "By", by)
	}
	told.Short = joinSentences(told.Short, reason)
	return told
}

// closed says when and by whose word a flag was closed, without the reason.
func (t flagTeller) closed(f models.Flag) string {
	on, by := t.day(*f.ClosedAt), t.people[f.ClosedBy]
	switch {
	case f.ClosedReviewID != nil:
		return t.text("flag.closed-review", "On", on, "By", t.around.Reviews[*f.ClosedReviewID].Signer())
	case f.ClosedAnswerID != nil:
		answer := t.around.Answers[*f.ClosedAnswerID]
		return t.text("flag.closed-answer", "On", on, "From", answer.FromWhom, "Of", t.date(answer.AnsweredOn), "By", by)
	}
	return t.text("flag.closed", "On", on, "By", by)
}

// gaps says the gap before and after an action, with what parts it from the
// sentence before; empty where neither was read.
func (t flagTeller) gaps(s models.FlagStep) string { return t.sayer.gaps(s.GapBefore, s.GapAfter) }

func (y sayer) gaps(before, after *quantity.Length) string {
	switch {
	case before != nil && after != nil:
		return y.text("flag.gaps.both", "Before", y.gap(before.MM()), "After", y.gap(after.MM()))
	case before != nil:
		return y.text("flag.gaps.before", "Before", y.gap(before.MM()))
	case after != nil:
		return y.text("flag.gaps.after", "After", y.gap(after.MM()))
	}
	return ""
}

func (t flagTeller) day(at time.Time) string { return t.date(quantity.DateOf(at.In(t.zone))) }

// fullStop ends a person's own words as a sentence.
func fullStop(text string) string {
	text = strings.TrimSpace(text)
	if text == "" || strings.ContainsAny(text[len(text)-1:], ".!?…") {
		return text
	}
	return text + "."
}

// claimOf puts the claim of one piece of a flag's evidence into words.
func (y sayer) claimOf(f models.Flag) func(models.FlagEvidence) string {
	return func(e models.FlagEvidence) string {
		return y.flag(models.Flag{Rule: f.Rule, Evidence: []models.FlagEvidence{e}}).Claim
	}
}

// claimAtOpening is what a flag said when it was opened.
func (y sayer) claimAtOpening(f models.Flag) string {
	if n := len(f.Evidence); n > 0 {
		return y.claimOf(f)(f.Evidence[n-1])
	}
	return y.flag(f).Claim
}

// life says who has seen an open flag, and whose answer it awaits.
func (t flagTeller) life(f models.Flag, today quantity.Date) []string {
	if f.ClosedAt != nil {
		return nil
	}
	said := []string{t.text("flag.unseen")}
	if f.SeenAt != nil {
		said = nil
		for _, step := range f.Steps {
			if !step.MadeAt.Before(*f.SeenAt) {
				said = append(said, t.text("flag.seen-by", "By", t.people[step.MadeBy], "On", t.day(step.MadeAt), "Time", form.FormatClock(step.MadeAt, t.zone)))
				break
			}
		}
	}
	if awaiting := t.awaiting("flag.awaiting.", f, t.around.Handovers, today); awaiting != "" {
		said = append(said, awaiting)
	}
	if answered := t.answered("flag.answered.", f, t.around.Answers); answered != "" {
		said = append(said, answered)
	}
	return said
}

// awaiting says to whom a flag was handed over whose answer has not come, and when
// to ask again; empty for any other flag. Id begins the texts.
func (y sayer) awaiting(id string, f models.Flag, handovers map[string]models.Handover, today quantity.Date) string {
	if f.ClosedAt != nil || f.HandoverID == nil || f.AskAgainOn == "" {
		return ""
	}
	when := "later"
	switch {
	case f.AskAgainOn == today:
		when = "today"
	case f.AskAgainOn < today:
		when = "overdue"
	}
	handover := handovers[*f.HandoverID]
	if handover.AnsweredAt != nil {
		id += "further-"
	}
	return y.text(id+when, "To", handover.ToWhom, "Means", y.text("flag.means."+string(handover.Means)), "On", y.date(f.AskAgainOn))
}

// flagTeller loads what the history of a flag refers to.
func (s *server) flagTeller(c *gin.Context, flags ...models.Flag) (flagTeller, error) {
	t := flagTeller{sayer: s.sayer(c), people: map[string]string{}, zone: s.zone(c)}
	var err error
	if t.around, err = s.store.AroundFlags(c.Request.Context(), flags); err != nil {
		return t, err
	}
	t.all, err = s.store.People(c.Request.Context())
	for _, p := range t.all {
		t.people[p.ID] = p.ShownName()
	}
	return t, err
}
