package models_test

import (
	"testing"

	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/models/modelstest"
)

// each runs f for every word, and once for a word that is not one, which must
// be refused.
func each[T ~string](t *testing.T, what string, words []T, f func(T) error) {
	t.Helper()
	for _, w := range words {
		if err := f(w); err != nil {
			t.Errorf("%s %q: %v", what, w, err)
		}
	}
	if err := f("odd word"); err == nil {
		t.Errorf("%s %q was recorded", what, "odd word")
	} else {
		wantErr(t, err, models.ErrInvalid)
	}
}

// TestEveryWordOfTheVocabulariesCanBeRecorded keeps the CHECKs of the schema
// and the lists of the code together.
func TestEveryWordOfTheVocabulariesCanBeRecorded(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		newLimb := func(change func(*models.Limb)) error {
			l := models.Limb{ClientID: b.client.ID, Side: quantity.Left, Level: quantity.Transtibial, Origin: models.Amputation}
			change(&l)
			return s.CreateLimb(ctx, &l)
		}
		each(t, "side", quantity.Sides, func(w quantity.Side) error { return newLimb(func(l *models.Limb) { l.Side = w }) })
		each(t, "level", quantity.AmputationLevels, func(w quantity.AmputationLevel) error {
			return newLimb(func(l *models.Limb) { l.Level = w })
		})
		each(t, "origin", models.Origins, func(w models.Origin) error { return newLimb(func(l *models.Limb) { l.Origin = w }) })
		each(t, "distal shape", append(models.DistalShapes, ""), func(w models.DistalShape) error {
			return newLimb(func(l *models.Limb) { l.DistalShape = w })
		})
		each(t, "cap", quantity.CapKinds, func(w quantity.CapKind) error {
			return s.AddPlan(ctx, &models.MeasuringPlan{LimbID: b.limb.ID, Passes: 2, CapKind: w})
		})
		each(t, "event", models.EventKinds, func(w models.EventKind) error {
			return s.AddEvent(ctx, &models.Event{LimbID: b.limb.ID, Kind: w, On: "2026-01-01"})
		})
		each(t, "unit", quantity.LengthUnits, func(w quantity.LengthUnit) error {
			return s.CreatePerson(ctx, &models.Person{Name: "Fitter", SignIn: models.NewID(), LengthUnit: w})
		})
		newCover := func(change func(*models.Cover)) error {
			c := models.Cover{
				LimbID: b.limb.ID, State: models.InUse, Stations: []models.Station{station(60, quantity.Anterior, 0)},
				Attachments: []models.Attachment{{Name: "strap", State: models.Firm}},
			}
			change(&c)
			return s.CreateCover(ctx, &c)
		}
		each(t, "cover", models.CoverStates, func(w models.CoverState) error {
			return newCover(func(c *models.Cover) { c.State = w })
		})
		each(t, "attachment", models.AttachmentStates, func(w models.AttachmentState) error {
			return newCover(func(c *models.Cover) { c.Attachments[0].State = w })
		})
		each(t, "direction", quantity.Directions, func(w quantity.Direction) error {
			return newCover(func(c *models.Cover) { c.Stations[0].Direction = w })
		})
		each(t, "neighbour", quantity.Neighbours, func(w quantity.Neighbour) error {
			return newCover(func(c *models.Cover) { c.Stations[0].Neighbour = w })
		})
		each(t, "posture", postures(), func(w quantity.Posture) error {
			return newCover(func(c *models.Cover) { c.Stations[0].Posture = w })
		})
	})
}

// postures lists the postures of leg and arm.
func postures() []quantity.Posture {
	return append(quantity.PosturesOf(quantity.Transtibial), quantity.PosturesOf(quantity.Transradial)...)
}

// TestEveryWordOfACheckinCanBeRecorded does the same for what a check-in holds.
func TestEveryWordOfACheckinCanBeRecorded(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		visit := func(change func(*models.Checkin, *models.CheckinLimb)) error {
			c := b.visit(at(0))
			change(&c, &c.Limbs[0])
			return s.CreateCheckin(ctx, &c)
		}
		each(t, "kind", models.CheckinKinds, func(w models.CheckinKind) error {
			return visit(func(c *models.Checkin, _ *models.CheckinLimb) { c.Kind = w })
		})
		each(t, "not done", append(models.NotDoneReasons, models.Done), func(w models.NotDone) error {
			return visit(func(_ *models.Checkin, l *models.CheckinLimb) {
				l.ResidualNotDone, l.SoundNotDone, l.ClearanceNotDone = w, w, w
				l.FunctionNotDone, l.SkinNotDone, l.SocksNotDone = w, w, w
			})
		})
		each(t, "no second round", append(models.NoSecondReasons, models.Done), func(w models.NotDone) error {
			return visit(func(_ *models.Checkin, l *models.CheckinLimb) { l.SecondNotDone = w })
		})
		each(t, "part", []quantity.BodyPart{quantity.Residual, quantity.Sound}, func(w quantity.BodyPart) error {
			return visit(func(_ *models.Checkin, l *models.CheckinLimb) { l.Readings[0].Part = w })
		})
		each(t, "method", quantity.ClearanceMethods, func(w quantity.ClearanceMethod) error {
			return visit(func(_ *models.Checkin, l *models.CheckinLimb) { l.Clearances[0].Method = w })
		})
		each(t, "touch", append(quantity.Touches, quantity.NoTouch), func(w quantity.Touch) error {
			return visit(func(_ *models.Checkin, l *models.CheckinLimb) { l.Clearances[0].Touch = w })
		})
		each(t, "posture", postures(), func(w quantity.Posture) error {
			return visit(func(_ *models.Checkin, l *models.CheckinLimb) { l.Clearances[0].Posture = w })
		})
		each(t, "function check", models.FunctionChecks, func(w string) error {
			return visit(func(_ *models.Checkin, l *models.CheckinLimb) { l.Functions[0].Check = w })
		})
		each(t, "answer", models.CheckAnswers, func(w models.CheckAnswer) error {
			return visit(func(_ *models.Checkin, l *models.CheckinLimb) { l.Functions[0].Answer = w })
		})
		each(t, "sign", models.SkinSigns, func(w string) error {
			return visit(func(_ *models.Checkin, l *models.CheckinLimb) { l.Skin[0].Sign = w })
		})
		each(t, "moment", []models.SkinMoment{models.OnDoffing, models.AfterTape}, func(w models.SkinMoment) error {
			return visit(func(_ *models.Checkin, l *models.CheckinLimb) { l.Skin[0].Moment = w })
		})
		each(t, "attachment", models.AttachmentStates, func(w models.AttachmentState) error {
			return visit(func(_ *models.Checkin, l *models.CheckinLimb) { l.Attachments[0].State = w })
		})
	})
}

// TestEveryWordOfAFlagCanBeRecorded does the same for what is done about a flag.
func TestEveryWordOfAFlagCanBeRecorded(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		f := b.raised(t, s, "cover", "clearance-below", "soon")
		called := at(0)
		step := func(change func(*models.FlagStep)) error {
			made := models.FlagStep{FlagID: f.ID, Kind: models.StepSeen, MadeBy: b.fitter.ID, Note: "why"}
			change(&made)
			return s.AddFlagStep(ctx, &made, 0)
		}
		calledWith := func(w models.CallOutcome) error {
			return step(func(m *models.FlagStep) { m.Kind, m.CalledAt, m.Outcome = models.StepCalled, &called, w })
		}
		actedWith := func(w models.CoverAction) error {
			return step(func(m *models.FlagStep) { m.Kind, m.CoverAction = models.StepActed, w })
		}
		each(t, "outcome", models.CallOutcomes, calledWith)
		each(t, "cover action", models.CoverActions, actedWith)
		each(t, "kind of step", models.FlagStepKinds, func(w models.FlagStepKind) error {
			switch w {
			case models.StepCalled:
				return calledWith(models.Reached)
			case models.StepActed:
				return actedWith(models.Trimmed)
			}
			return step(func(m *models.FlagStep) { m.Kind = w })
		})
		for what, change := range map[string]func(*models.FlagStep){
			"a call without an outcome": func(m *models.FlagStep) { m.Kind, m.CalledAt = models.StepCalled, &called },
			"a call without a time":     func(m *models.FlagStep) { m.Kind, m.Outcome = models.StepCalled, models.Reached },
			"nothing done and no why": func(m *models.FlagStep) {
				m.Kind, m.CoverAction, m.Note = models.StepActed, models.NothingDone, ""
			},
			"an action without its step": func(m *models.FlagStep) { m.CoverAction = models.Trimmed },
		} {
			if err := step(change); err == nil {
				t.Errorf("%s was recorded", what)
			} else {
				wantErr(t, err, models.ErrInvalid)
			}
		}
	})
}
