package server

import (
	"slices"

	"fairlead/models"
	"fairlead/server/followup"
	"github.com/gin-gonic/gin"
)

// answerThere finds an answer that was recorded already under the id of a form.
func answerThere(h followup.Handover, id string) (models.Answer, bool) {
	i := slices.IndexFunc(h.Answers, func(a models.Answer) bool { return a.ID == id })
	if i < 0 {
		return models.Answer{}, false
	}
	return h.Answers[i], true
}

// answerThereSame tells whether the answer of a form is there already, and whether
// it says what the form says now, with all that follows from it.
func (s *server) answerThereSame(c *gin.Context, h followup.Handover, a followup.Answered, typed map[string]string) (there, same bool, err error) {
	found, there := answerThere(h, a.Answer.ID)
	if !there {
		return false, false, nil
	}
	limits, err := s.store.LimitsOfMany(c.Request.Context(), []string{h.LimbID})
	return true, sameAnswer(found, a) && s.sameClosings(c, found, h, typed) && sameLetterLimits(found, a, limits[h.LimbID]), err
}

// sameAnswer tells whether an answer that is there says and decides what a form
// does.
func sameAnswer(there models.Answer, a followup.Answered) bool {
	return there.HandoverID == a.Answer.HandoverID && there.FromWhom == a.Answer.FromWhom && there.Means == a.Answer.Means &&
		there.AnsweredOn == a.Answer.AnsweredOn && there.Said == a.Answer.Said && slices.Equal(there.Decisions, a.Answer.Decisions) &&
		sameDocument(there.DocumentSHA256, a.Document)
}

func sameDocument(hash *string, d *models.Document) bool {
	return hash == nil && d == nil || hash != nil && d != nil && *hash == d.Hash()
}

// sameClosings tells whether an answer that is there closed the flags that a form
// closes, and why.
func (s *server) sameClosings(c *gin.Context, there models.Answer, h followup.Handover, typed map[string]string) bool {
	r := s.reader(c, typed)
	for _, f := range h.Flags {
		closed := f.ClosedAnswerID != nil && *f.ClosedAnswerID == there.ID
		if closed != r.Bool(closeField(f)) || closed && f.CloseReason != r.Note(reasonField(f), longestNote) {
			return false
		}
	}
	return true
}

// sameLetterLimits tells whether an answer that is there set the limits that a form
// sets.
func sameLetterLimits(there models.Answer, a followup.Answered, limits []models.LimbLimits) bool {
	i := slices.IndexFunc(limits, func(l models.LimbLimits) bool { return l.AnswerID != nil && *l.AnswerID == there.ID })
	if i < 0 || a.Limits == nil {
		return i < 0 && a.Limits == nil
	}
	return sameLimits(limits[i], *a.Limits) && limits[i].Reason == a.Limits.Reason
}
