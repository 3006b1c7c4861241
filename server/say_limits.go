package server

import (
	"cmp"

	"fairlead/models"
)

// limitFigures says the figures of limits in one sentence part.
func (y sayer) limitFigures(l models.LimbLimits) string {
	percent := func(limit float64) string { return y.short(limit) + narrow + "%" }
	said := y.text("limits.figures", "Loss", percent(l.LossPercent), "Review", percent(l.LossReviewPercent),
		"Gain", percent(l.GainPercent), "Today", percent(l.GainTodayPercent))
	if l.Room == nil {
		return said
	}
	return said + y.text("limits.room", "Room", y.limitMM(l.Room.MM()))
}

// limitsOf are the limits that rest on a review or an answer, by its id; nil where
// it sets none.
func limitsOf(limits []models.LimbLimits, id string) *models.LimbLimits {
	for i, l := range limits {
		if *cmp.Or(l.ReviewID, l.AnswerID) == id {
			return &limits[i]
		}
	}
	return nil
}

// limitLines tells which limits were set by letter, with their figures: what a review
// sets stands in the review.
func (m sheetMaker) limitLines() []historyLine {
	var lines []historyLine
	for _, letter := range m.letters {
		if l := limitsOf(m.view.Record.Limits, letter.ID); l != nil {
			lines = append(lines, historyLine{
				On: m.date(m.onDay(l.CreatedAt)), at: l.CreatedAt, Link: handoverPath(letter.ClientID, letter.HandoverID), LinkLabel: m.text("handover.see"),
				Sentence: m.text("answer.limits-set", "Origin", m.limitsOrigin(*l), "Figures", m.limitFigures(*l)),
			})
		}
	}
	return lines
}
