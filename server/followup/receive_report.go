package followup

import (
	"context"
	"errors"
	"fmt"
	"time"

	"fairlead/analytics/assess"
	"fairlead/analytics/quantity"
	"fairlead/models"
)

// ReceiveReport keeps what a client sent whole or not at all: the report, its
// draft marked as sent, and a flag for every finding, of the limb that it names
// or of every limb of the client when it names none. A draft that was sent before
// gives the report it made then. Said, LimbID and DraftID are the caller's.
//
// A report changes no measurement and closes nothing. Nothing in the record holds
// it up: one that can't be read is told to lost, and the report judged alone.
//
// Errors are those of models.Store.SendReport, but for the draft that was sent
// before.
func ReceiveReport(ctx context.Context, store *models.Store, now time.Time, r models.Report, lost func(error)) (models.Report, error) {
	err := store.InTx(ctx, func(tx *models.Store) error {
		if err := tx.SendReport(ctx, &r); err != nil {
			return err
		}
		return raiseReported(ctx, tx, now, r, lost)
	})
	if errors.Is(err, models.ErrConflict) {
		before, findErr := store.ReportByDraft(ctx, r.DraftID)
		if findErr == nil {
			return before, nil
		}
		if !errors.Is(findErr, models.ErrNotFound) {
			return models.Report{}, findErr
		}
	}
	if err != nil {
		return models.Report{}, fmt.Errorf("receive report: %w", err)
	}
	return r, nil
}

// raiseReported raises what a report says about each limb that it is about.
func raiseReported(ctx context.Context, tx *models.Store, now time.Time, r models.Report, lost func(error)) error {
	limbs, err := limbsToJudge(ctx, tx, r.ClientID, lost)
	if err != nil {
		return err
	}
	w, err := tx.Workshop(ctx)
	if err != nil {
		return err
	}
	said := assessReport(r, dayIn(w.Zone, r.SentAt))
	said.SideUnsaid = r.LimbID == nil && len(limbs) > 1
	for _, l := range limbs {
		if r.LimbID != nil && *r.LimbID != l.Limb.ID {
			continue
		}
		for _, f := range l.assessReport(said, lost) {
			if err := raiseFlag(ctx, tx, now, r.ClientID, l.Limb.ID, f); err != nil {
				return err
			}
		}
	}
	return nil
}

// limbsToJudge loads the limbs of a client with their record, or, where that can't
// be read, alone.
func limbsToJudge(ctx context.Context, tx *models.Store, clientID string, lost func(error)) ([]LimbRecord, error) {
	var record ClientRecord
	err := tx.InTx(ctx, func(inner *models.Store) (err error) {
		record, err = Load(ctx, inner, clientID)
		return err
	})
	if err == nil {
		return record.Limbs, nil
	}
	lost(err)
	limbs, err := tx.LimbsOf(ctx, clientID)
	alone := make([]LimbRecord, len(limbs))
	for i, l := range limbs {
		alone[i] = LimbRecord{Limb: l}
	}
	return alone, err
}

// assessReport returns what a report raises beside the record of the limb, or
// alone where that can't be worked out.
func (l LimbRecord) assessReport(said assess.Report, lost func(error)) []assess.Finding {
	_, referenceID := l.Choose(SinceDelivery)
	h, err := l.History(referenceID)
	if err != nil {
		lost(err)
		h = assess.History{Limb: h.Limb}
	}
	return assess.AssessReport(h, said)
}

// assessReport turns a report into the input of the rules.
func assessReport(r models.Report, on quantity.Date) assess.Report {
	said := r.Said
	return assess.Report{
		ID: r.ID, On: on, Safety: said.Safety, CannotPhone: said.CannotPhone, What: said.What, Areas: said.Areas,
		Bother: said.Bother, Comfort: said.ComfortAverage, WorstComfort: said.ComfortWorst, WorstPain: said.PainWorst,
		Looseness: said.Looseness, Skin: said.Skin,
	}
}

// dayIn is the date of a moment in a zone; one that this program's tz data lacks
// counts as UTC.
func dayIn(name string, at time.Time) quantity.Date {
	zone, err := time.LoadLocation(name)
	if err != nil {
		zone = time.UTC
	}
	return quantity.DateOf(at.In(zone))
}
