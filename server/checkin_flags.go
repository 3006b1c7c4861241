package server

import (
	"fairlead/analytics/assess"
	"fairlead/models"
	"fairlead/server/followup"
	"github.com/gin-gonic/gin"
)

// resultTeller says how the findings of a check-in stand among the client's flags.
type resultTeller struct {
	flagTeller
	record followup.ClientRecord
	flags  []models.Flag
	saved  bool // the check-in is recorded, and not about to be
}

func (s *server) resultTeller(c *gin.Context, record followup.ClientRecord, saved bool) (resultTeller, error) {
	t := resultTeller{record: record, saved: saved}
	var err error
	if t.flags, err = s.store.FlagsOf(c.Request.Context(), record.Client.ID); err != nil {
		return t, err
	}
	t.flagTeller, err = s.flagTeller(c, t.flags...)
	return t, err
}

// sayFindings puts the findings of a result into words.
func (t resultTeller) sayFindings(said *limbResult, l followup.LimbRecord, r followup.Result) error {
	t.atCheckin = r.Newest
	for _, f := range r.Findings {
		flag, err := t.flagged(l, f)
		if err != nil {
			return err
		}
		said.Flags = append(said.Flags, flag)
	}
	if r.Late == nil {
		return nil
	}
	t.atCheckin = false
	on := t.date(r.Late.NewestOn)
	late := lateResult{Sentence: t.text("checkin.late", "On", on), FindsTitle: t.text("checkin.late-finds", "On", on)}
	for _, f := range r.Late.Finds {
		flag, err := t.flagged(l, f)
		if err != nil {
			return err
		}
		late.Finds = append(late.Finds, flag)
	}
	for _, f := range r.Late.Gone {
		late.Gone = append(late.Gone, t.text("checkin.late-gone", "On", on, "Claim", t.found(f).Claim))
	}
	said.Late = &late
	return nil
}

// flagged is a finding about a limb with what its flag says of itself in place of
// who may close it: there may be none to close.
func (t resultTeller) flagged(l followup.LimbRecord, f assess.Finding) (resultFlag, error) {
	said := resultFlag{saidFinding: t.found(f)}
	of := t.record.FlagOf
	if !t.saved {
		of = t.record.FlagOfUnsaved
	}
	at, err := of(l, t.flags, f)
	if err != nil {
		return said, err
	}
	said.Why = joinSentences(said.Why, t.standing(at, f))
	if at.Flag.ID != "" {
		said.Link, said.LinkLabel = flagPath(at.Flag), t.text("follow.evidence")
	}
	return said, nil
}

// standing says how a finding stands: with a flag, or without one and why.
func (t resultTeller) standing(at followup.FindingFlag, f assess.Finding) string {
	closer := t.text("finding.closer." + string(f.ClosedBy))
	switch at.State {
	case followup.FlagThere:
		if at.Flag.ClosedAt != nil {
			return t.closed(at.Flag) + "."
		}
		return joinSentences(t.text("flag.open", "On", t.day(at.Flag.OpenedAt))+".", closer)
	case followup.FlagJoins:
		return joinSentences(t.text("checkin.flag.joins", "On", t.day(at.Flag.OpenedAt)), closer)
	case followup.FlagOpens:
		return joinSentences(t.text("checkin.flag.opens"), closer)
	case followup.FlagSettled:
		id := "checkin.flag.settled"
		if !t.saved {
			id = "checkin.flag.will-settle"
		}
		return t.text(id, "Why", t.settled(at.Flag))
	}
	return t.text("checkin.flag.none")
}

// settled says by whose word what a closed flag says was settled.
func (t resultTeller) settled(f models.Flag) string {
	on, by := t.day(*f.ClosedAt), t.people[f.ClosedBy]
	switch {
	case f.ClosedReviewID != nil:
		return t.text("checkin.flag.by-review", "On", on, "By", t.around.Reviews[*f.ClosedReviewID].Signer())
	case f.ClosedAnswerID != nil:
		answer := t.around.Answers[*f.ClosedAnswerID]
		return t.text("checkin.flag.by-answer", "From", answer.FromWhom, "Of", t.date(answer.AnsweredOn))
	}
	return t.text("checkin.flag.by-person", "On", on, "By", by)
}
