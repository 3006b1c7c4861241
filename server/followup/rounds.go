package followup

import (
	"fmt"
	"slices"

	"fairlead/analytics/girth"
	"fairlead/analytics/quantity"
	"fairlead/analytics/volume"
	"fairlead/models"
)

// Counted are the readings of a body part of a visit that two-visit figures count:
// those of the second round of the residual limb where that is complete, else of the
// first.
func (l LimbRecord) Counted(v LimbVisit, part quantity.BodyPart) []models.Reading {
	if part == quantity.Residual {
		counted, _ := l.rounds(v)
		return counted
	}
	first, _ := l.Rounds(v, part)
	return first
}

// Rounds are the readings of a body part of a visit by round.
func (l LimbRecord) Rounds(v LimbVisit, part quantity.BodyPart) (first, second []models.Reading) {
	return v.Seen.Rounds(part, l.planByID(v.Seen.PlanID))
}

// rounds are the readings of the residual limb that count and, where that is a second
// complete round, those of the first; first is nil otherwise. A second round that was
// broken off counts nowhere: its levels would shorten the span of every comparison.
func (l LimbRecord) rounds(v LimbVisit) (counted, first []models.Reading) {
	first, second := l.Rounds(v, quantity.Residual)
	switch {
	case len(first) == 0:
		return second, nil
	case Complete(first, second):
		return second, first
	}
	return first, nil
}

// Complete tells whether a second round reads every level of the first, and there is
// a first.
func Complete(first, second []models.Reading) bool {
	return len(first) > 0 && !slices.ContainsFunc(first, func(r models.Reading) bool {
		return !slices.ContainsFunc(second, func(again models.Reading) bool { return again.Level == r.Level })
	})
}

// residual pools the readings of one round of the residual limb. Time off the
// prosthesis and posture matter to it alone.
func (l LimbRecord) residual(v LimbVisit, on quantity.Date, readings []models.Reading, minutesOff *float64) (volume.Visit, error) {
	m := l.byTape(v)
	m.MinutesOff, m.Posture, m.Series.RevisedOn = minutesOff, v.Seen.Posture, l.revisedBy(on)
	if plan := l.planByID(v.Seen.PlanID); plan != nil {
		m.Series.CapKind, m.Series.CapDepthMM = plan.CapKind, mm(plan.CapDepth)
	}
	return pooled(m, v, quantity.Residual, readings)
}

// sound pools the readings of the sound limb.
func (l LimbRecord) sound(v LimbVisit) (volume.Visit, error) {
	return pooled(l.byTape(v), v, quantity.Sound, l.Counted(v, quantity.Sound))
}

// byTape is what both limbs of a visit have in common.
func (l LimbRecord) byTape(v LimbVisit) volume.Visit {
	m := volume.Visit{Fitter: v.Checkin.MeasuredBy, Series: volume.Series{Device: Tape}}
	if plan := l.planByID(v.Seen.PlanID); plan != nil {
		m.Series.Landmark = plan.Landmark
	}
	return m
}

// pooled gives a visit the profile of readings, if there are any.
func pooled(m volume.Visit, v LimbVisit, part quantity.BodyPart, from []models.Reading) (volume.Visit, error) {
	if len(from) == 0 {
		return m, nil
	}
	readings := make([]girth.Reading, len(from))
	for i, r := range from {
		readings[i] = girth.Reading{LevelMM: r.Level.MM(), Pass: r.Pass, GirthMM: r.Girth.MM()}
	}
	profile, err := girth.Pool(readings)
	if err != nil {
		return m, fmt.Errorf("check-in %s, %s limb: %w", v.Checkin.ID, part, err)
	}
	m.Profile = profile
	return m, nil
}
