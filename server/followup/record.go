package followup

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"fairlead/models"
)

// ClientRecord is a client with everything that is recorded about their limbs.
type ClientRecord struct {
	Client   models.Client
	Limbs    []LimbRecord
	Checkins []models.Checkin // current versions, oldest first
}

// LimbRecord is one limb with what is worn on it and every visit that saw it.
type LimbRecord struct {
	Client     models.Client
	Limb       models.Limb
	Plans      []models.MeasuringPlan // ascending by number; the last is the one in force
	Prosthesis *models.Prosthesis     // nil: none recorded
	Cover      *models.Cover          // the one in use, nil: none recorded
	Events     []models.Event
	Visits     []LimbVisit // oldest first
}

// LimbVisit is the part of one check-in that is about one limb.
type LimbVisit struct {
	Checkin models.Checkin
	Seen    models.CheckinLimb
}

// Load reads a client's whole record.
func Load(ctx context.Context, store *models.Store, clientID string) (ClientRecord, error) {
	client, err := store.ClientByID(ctx, clientID)
	if err != nil {
		return ClientRecord{}, fmt.Errorf("load record: %w", err)
	}
	checkins, err := store.CheckinsOf(ctx, clientID)
	if err != nil {
		return ClientRecord{}, fmt.Errorf("load record: %w", err)
	}
	limbs, err := store.LimbsOf(ctx, clientID)
	if err != nil {
		return ClientRecord{}, fmt.Errorf("load record: %w", err)
	}
	record := ClientRecord{Client: client, Checkins: checkins}
	for _, limb := range limbs {
		l, err := loadLimb(ctx, store, limb)
		if err != nil {
			return ClientRecord{}, fmt.Errorf("load record: %w", err)
		}
		l.Client, l.Visits = client, visitsOf(limb.ID, checkins)
		record.Limbs = append(record.Limbs, l)
	}
	return record, nil
}

func loadLimb(ctx context.Context, store *models.Store, limb models.Limb) (LimbRecord, error) {
	l := LimbRecord{Limb: limb}
	var err error
	if l.Plans, err = store.PlansOf(ctx, limb.ID); err != nil {
		return l, err
	}
	if l.Events, err = store.EventsOf(ctx, limb.ID); err != nil {
		return l, err
	}
	prosthesis, err := store.ProsthesisOf(ctx, limb.ID)
	switch {
	case err == nil:
		l.Prosthesis = &prosthesis
	case !errors.Is(err, models.ErrNotFound):
		return l, err
	}
	cover, err := store.CurrentCover(ctx, limb.ID)
	switch {
	case err == nil:
		l.Cover = &cover
	case !errors.Is(err, models.ErrNotFound):
		return l, err
	}
	return l, nil
}

func visitsOf(limbID string, checkins []models.Checkin) []LimbVisit {
	var visits []LimbVisit
	for _, c := range checkins {
		for _, seen := range c.Limbs {
			if seen.LimbID == limbID {
				visits = append(visits, LimbVisit{Checkin: c, Seen: seen})
			}
		}
	}
	return visits
}

// Limb returns the limb of the record with an id.
func (r ClientRecord) Limb(id string) (LimbRecord, bool) {
	i := slices.IndexFunc(r.Limbs, func(l LimbRecord) bool { return l.Limb.ID == id })
	if i < 0 {
		return LimbRecord{}, false
	}
	return r.Limbs[i], true
}

// Plan returns the measuring plan in force, or nil.
func (l LimbRecord) Plan() *models.MeasuringPlan {
	if len(l.Plans) == 0 {
		return nil
	}
	return &l.Plans[len(l.Plans)-1]
}

// planByID returns the plan that a visit followed, or nil.
func (l LimbRecord) planByID(id *string) *models.MeasuringPlan {
	if id == nil {
		return nil
	}
	i := slices.IndexFunc(l.Plans, func(p models.MeasuringPlan) bool { return p.ID == *id })
	if i < 0 {
		return nil
	}
	return &l.Plans[i]
}
