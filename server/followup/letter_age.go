package followup

import (
	"time"

	"fairlead/analytics/quantity"
	"fairlead/models"
)

// NewerThanLetter returns the day, in zone, of the newest evidence of a flag where
// an answer dated answeredOn can't rest on it: it came on a later day, or on that
// very day after the flags were handed over at handedAt. It is empty where the
// answer may know all that there is.
func NewerThanLetter(f models.Flag, handedAt time.Time, answeredOn quantity.Date, zone *time.Location) quantity.Date {
	if len(f.Evidence) == 0 {
		return ""
	}
	newest := f.Evidence[0].AddedAt
	day := quantity.DateOf(newest.In(zone))
	if day > answeredOn || day == answeredOn && newest.After(handedAt) {
		return day
	}
	return ""
}

// LimitsNewerThanLetter returns the limits in force of all those of a limb, oldest
// first, where the letter of an answer can't replace them: they are of a later day,
// or were signed on that very day, of which nobody knows what came last. It is nil
// where the letter can.
func LimitsNewerThanLetter(limits []models.LimbLimits, a *models.Answer) *models.LimbLimits {
	if len(limits) == 0 {
		return nil
	}
	inForce := &limits[len(limits)-1]
	if inForce.SetOn > a.AnsweredOn || inForce.SetOn == a.AnsweredOn && inForce.ReviewID != nil {
		return inForce
	}
	return nil
}
