package server

import (
	"time"

	"fairlead/models"
	"fairlead/server/followup"
	"github.com/gin-gonic/gin"
)

// lettersToSee tells what was closed, limited or decided by letters that the
// reader has yet to look at.
func (s *server) lettersToSee(c *gin.Context, m sheetMaker, b followup.ReviewBasis) ([]historyLine, error) {
	letters, err := s.store.LettersToSee(c.Request.Context(), signedIn(c).ID, []string{b.Limb.Limb.ID})
	var lines []historyLine
	for _, a := range letters {
		line := historyLine{
			On: m.date(m.onDay(a.RecordedAt)), Link: handoverPath(a.ClientID, a.HandoverID), LinkLabel: m.text("handover.see"),
			Sentence: upperFirst(m.letterRecorded(a, m.people[a.RecordedBy], m.zone)) + ".",
		}
		for _, f := range b.Flags {
			if f.ClosedAnswerID != nil && *f.ClosedAnswerID == a.ID {
				line.More = joinSentences(line.More, m.text("review.letter-closed", "Claim", m.flag(f).Claim, "Reason", fullStop(f.CloseReason)))
			}
		}
		for _, l := range b.Limb.Limits {
			if l.AnswerID != nil && *l.AnswerID == a.ID {
				line.More = joinSentences(line.More, m.text("review.letter-limits"))
			}
		}
		for _, said := range m.decisions(a.Decisions) {
			line.More = joinSentences(line.More, said)
		}
		lines = append(lines, line)
	}
	return lines, err
}

// letterRecorded says whose letter closed or decided something, and who recorded
// it when.
func (y sayer) letterRecorded(a models.Answer, by string, zone *time.Location) string {
	return y.text("reviews.letter-of", "From", a.FromWhom, "Of", y.date(a.AnsweredOn), "By", by, "On", y.date(dateIn(a.RecordedAt, zone)))
}

// reviewers are the names of the prosthetists of a client's care team who sign in
// and so look at what is recorded by letter.
func reviewers(client models.Client) []string {
	var names []string
	for _, p := range client.CareTeam {
		if p.IsProsthetist && p.DisabledAt == nil {
			names = append(names, p.Name)
		}
	}
	return names
}
