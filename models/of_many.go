package models

import (
	"context"
	"maps"
	"slices"
)

// The records of many clients or limbs at once, each with one statement for
// each kind of record however many there are. They come in the order of the
// method for one.

// TapeOfMany is CheckinsOf for several clients, by client, with nothing of what
// the check-ins hold but the girths of the residual limbs.
func (s *Store) TapeOfMany(ctx context.Context, clientIDs []string) (map[string][]Checkin, error) {
	const operation = "girths of clients"
	found, err := loadIn[Checkin](ctx, s, "superseded_at IS NULL AND client_id", clientIDs, "measured_at, id")
	if err == nil {
		err = s.loadLimbsSeen(ctx, found)
	}
	if err != nil {
		return nil, fold(operation, err)
	}
	place := limbsSeen(found)
	readings, err := loadIn[Reading](ctx, s, "part = 'residual' AND checkin_limb_id", slices.Sorted(maps.Keys(place)), "level_tenth_mm, pass")
	for _, r := range readings {
		place[r.CheckinLimbID].Readings = append(place[r.CheckinLimbID].Readings, r)
	}
	return byKey(found, func(c Checkin) string { return c.ClientID }), fold(operation, err)
}

// LimbsOfMany is LimbsOf for several clients, by client.
func (s *Store) LimbsOfMany(ctx context.Context, clientIDs []string) (map[string][]Limb, error) {
	found, err := loadIn[Limb](ctx, s, "client_id", clientIDs, "id")
	return byKey(found, func(l Limb) string { return l.ClientID }), fold("limbs of clients", err)
}

// PlansOfMany is PlansOf for several limbs, by limb.
func (s *Store) PlansOfMany(ctx context.Context, limbIDs []string) (map[string][]MeasuringPlan, error) {
	found, err := loadIn[MeasuringPlan](ctx, s, "limb_id", limbIDs, "number")
	return byKey(found, func(p MeasuringPlan) string { return p.LimbID }), fold("plans of limbs", err)
}

// EventsOfMany is EventsOf for several limbs, by limb.
func (s *Store) EventsOfMany(ctx context.Context, limbIDs []string) (map[string][]Event, error) {
	found, err := loadIn[Event](ctx, s, "limb_id", limbIDs, "happened_on, id")
	return byKey(found, func(e Event) string { return e.LimbID }), fold("events of limbs", err)
}

// ProsthesesOf is ProsthesisOf for several limbs, by limb; a limb without one is
// absent.
func (s *Store) ProsthesesOf(ctx context.Context, limbIDs []string) (map[string]Prosthesis, error) {
	found, err := loadIn[Prosthesis](ctx, s, "limb_id", limbIDs, "id")
	worn := make(map[string]Prosthesis, len(found))
	for _, p := range found {
		worn[p.LimbID] = p
	}
	return worn, fold("prostheses of limbs", err)
}

// CurrentCovers is CurrentCover for several limbs, by limb; a limb without one
// is absent.
func (s *Store) CurrentCovers(ctx context.Context, limbIDs []string) (map[string]Cover, error) {
	if len(limbIDs) == 0 {
		return nil, nil
	}
	found, err := s.covers(ctx, s.db.WithContext(ctx).Where("limb_id IN ? AND retired_on = ''", limbIDs))
	current := make(map[string]Cover, len(found))
	for _, c := range found { // the newest first
		if _, newer := current[c.LimbID]; !newer {
			current[c.LimbID] = c
		}
	}
	return current, fold("current covers", err)
}

// WithEvidence fills in the evidence of flags that were listed without.
func (s *Store) WithEvidence(ctx context.Context, flags []Flag) error {
	return fold("evidence of flags", s.loadEvidence(ctx, flags))
}

func byKey[T any](rows []T, key func(T) string) map[string][]T {
	grouped := make(map[string][]T)
	for _, r := range rows {
		grouped[key(r)] = append(grouped[key(r)], r)
	}
	return grouped
}
