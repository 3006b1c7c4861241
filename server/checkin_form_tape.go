package server

import (
	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/followup"
	"fairlead/server/form"
)

// parseTape reads the girths of both limbs. A limb without a plan, or without a
// length that girths can follow, has none, and nobody is asked why. A reason
// beside readings is no contradiction: a limb may be taped above a sore.
func parseTape(r *form.Reader, l limbLayout, seen *models.CheckinLimb) (empty []string) {
	if !l.taped() {
		seen.ResidualNotDone, seen.SoundNotDone = models.NotPossible, models.NotPossible
		return nil
	}
	p := l.prefix()
	seen.Posture = r.Text(p+"posture", longestLine)
	seen.LengthMM10 = r.Length(p+"length", r.Unit(), 0, mostLimbLength)
	residual := parseReadings(r, l, quantity.Residual)
	seen.ResidualNotDone = form.Choice(r, p+"residual_not_done", models.NotDoneReasons)
	if len(residual) == 0 && seen.ResidualNotDone == models.Done {
		empty = append(empty, p+"residual_not_done")
	}
	seen.Readings = append(residual, parseSecond(r, l, residual, seen)...)
	if !l.Limb.OtherSideSound {
		seen.SoundNotDone = models.NotPossible
		return empty
	}
	sound := parseReadings(r, l, quantity.Sound)
	seen.SoundNotDone = form.Choice(r, p+"sound_not_done", models.NotDoneReasons)
	if len(sound) == 0 && seen.SoundNotDone == models.Done {
		empty = append(empty, p+"sound_not_done")
	}
	seen.Readings = append(seen.Readings, sound...)
	return empty
}

func parseReadings(r *form.Reader, l limbLayout, part quantity.BodyPart) []models.Reading {
	var readings []models.Reading
	for _, level := range l.Plan.Levels {
		for pass := 1; pass <= max(mostPasses, l.Plan.Passes); pass++ {
			if girth := r.Girth(l.girthField(part, level, pass)); girth != nil {
				readings = append(readings, models.Reading{Part: part, Level: level, Pass: pass, Girth: *girth})
			}
		}
	}
	return readings
}

// parseSecond reads the second round of the residual limb, or why there is none. A
// reason beside a complete one says nothing, and is dropped.
func parseSecond(r *form.Reader, l limbLayout, first []models.Reading, seen *models.CheckinLimb) []models.Reading {
	if !l.roundsFit() {
		return nil
	}
	second := parseReadings(r, l, secondRound)
	for i := range second {
		second[i].Part, second[i].Pass = quantity.Residual, second[i].Pass+quantity.PassesPerRound
	}
	seen.SecondNotDone = form.Choice(r, l.prefix()+notDoneField(secondRound), models.NoSecondReasons)
	if followup.Complete(first, second) {
		seen.SecondNotDone = models.Done
	}
	if len(second) > 0 {
		seen.SecondReadingAt, seen.SecondMinutesOff = readingAfter(r, l.prefix()+"second_reading", seen.DoffedAt)
	}
	return second
}
