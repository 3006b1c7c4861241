package server

import (
	"slices"

	"fairlead/models"
)

// answered says of an open flag that an answer came which leaves it open, and no
// further one is awaited; empty for any other. Id begins the texts. Its steps must be
// filled in.
func (y sayer) answered(id string, f models.Flag, answers map[string]models.Answer) string {
	if f.ClosedAt != nil || f.HandoverID != nil {
		return ""
	}
	for _, step := range slices.Backward(f.Steps) {
		switch {
		case step.Kind == models.StepReviewed || step.Kind == models.StepHandedOver:
			return "" // somebody looked at it since
		case step.Kind != models.StepAnswered || step.AnswerID == nil:
			continue
		}
		a, how := answers[*step.AnswerID], "open"
		switch {
		case a.Means == models.ByPhone:
			how = "phone"
		case a.DocumentSHA256 == nil:
			how = "document"
		}
		return y.text(id+how, "From", a.FromWhom, "Of", y.date(a.AnsweredOn))
	}
	return ""
}
