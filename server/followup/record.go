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
	Client     models.Client
	Limbs      []LimbRecord
	Checkins   []models.Checkin  // current versions, oldest first
	Reports    []models.Report   // what the client sent, newest first
	Superseded []models.Checkin  // versions that a correction replaced
	Uses       []models.StudyUse // of repeatability studies of the workshop, the newest first
}

// LimbRecord is one limb with what is worn on it and every visit that saw it.
type LimbRecord struct {
	Client     models.Client
	Limb       models.Limb
	Plans      []models.MeasuringPlan // ascending by number; the last is the one in force
	Prosthesis *models.Prosthesis     // nil: none recorded
	Cover      *models.Cover          // the one in use, nil: none recorded
	Events     []models.Event
	Limits     []models.LimbLimits // ascending by number; the last are in force
	Reports    []models.Report     // that name this limb or none, newest first
	Visits     []LimbVisit         // oldest first
	Tape       TapeError           // in force
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
	superseded, err := store.SupersededCheckins(ctx, clientID)
	if err != nil {
		return ClientRecord{}, fmt.Errorf("load record: %w", err)
	}
	reports, err := store.ReportsOf(ctx, clientID)
	if err != nil {
		return ClientRecord{}, fmt.Errorf("load record: %w", err)
	}
	records, err := join(ctx, store, []models.Client{client}, map[string][]models.Checkin{clientID: checkins})
	if err != nil {
		return ClientRecord{}, fmt.Errorf("load record: %w", err)
	}
	records[0].Superseded, records[0].Reports = superseded, reports
	for i := range records[0].Limbs {
		l := &records[0].Limbs[i]
		l.Reports = reportsAbout(l.Limb.ID, reports)
	}
	return records[0], nil
}

// loadTape reads the records of several clients, in their order, with nothing of
// their check-ins but the girths of the residual limbs. The number of
// statements does not depend on how many there are.
func loadTape(ctx context.Context, store *models.Store, clients []models.Client) ([]ClientRecord, error) {
	checkins, err := store.TapeOfMany(ctx, idsOf(clients))
	if err != nil {
		return nil, err
	}
	return join(ctx, store, clients, checkins)
}

func idsOf(clients []models.Client) []string {
	ids := make([]string, len(clients))
	for i, c := range clients {
		ids[i] = c.ID
	}
	return ids
}

// join puts clients, their limbs and their check-ins together.
func join(ctx context.Context, store *models.Store, clients []models.Client, checkins map[string][]models.Checkin) ([]ClientRecord, error) {
	limbs, err := loadLimbs(ctx, store, idsOf(clients))
	if err != nil {
		return nil, err
	}
	uses, err := store.StudyUses(ctx)
	if err != nil {
		return nil, err
	}
	inForce := TapeError{Use: models.UseInForce(uses)}
	records := make([]ClientRecord, len(clients))
	for i, c := range clients {
		records[i] = ClientRecord{Client: c, Checkins: checkins[c.ID], Limbs: limbs[c.ID], Uses: uses}
		for j := range records[i].Limbs {
			l := &records[i].Limbs[j]
			l.Tape = inForce
			l.Client, l.Visits = c, visitsOf(l.Limb.ID, checkins[c.ID])
		}
	}
	return records, nil
}

// loadLimbs reads the limbs of clients with what is worn on them, by client.
func loadLimbs(ctx context.Context, store *models.Store, clientIDs []string) (map[string][]LimbRecord, error) {
	limbs, err := store.LimbsOfMany(ctx, clientIDs)
	if err != nil {
		return nil, err
	}
	var ids []string
	for _, id := range clientIDs {
		for _, l := range limbs[id] {
			ids = append(ids, l.ID)
		}
	}
	plans, plansErr := store.PlansOfMany(ctx, ids)
	events, eventsErr := store.EventsOfMany(ctx, ids)
	prostheses, prosthesesErr := store.ProsthesesOf(ctx, ids)
	covers, coversErr := store.CurrentCovers(ctx, ids)
	limits, limitsErr := store.LimitsOfMany(ctx, ids)
	if err := errors.Join(plansErr, eventsErr, prosthesesErr, coversErr, limitsErr); err != nil {
		return nil, err
	}
	records := make(map[string][]LimbRecord, len(limbs))
	for clientID, own := range limbs {
		for _, limb := range own {
			l := LimbRecord{Limb: limb, Plans: plans[limb.ID], Events: events[limb.ID], Limits: limits[limb.ID]}
			if p, ok := prostheses[limb.ID]; ok {
				l.Prosthesis = &p
			}
			if c, ok := covers[limb.ID]; ok {
				l.Cover = &c
			}
			records[clientID] = append(records[clientID], l)
		}
	}
	return records, nil
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

// reportsAbout keeps the reports that name a limb, or that name none.
func reportsAbout(limbID string, reports []models.Report) []models.Report {
	return slices.DeleteFunc(slices.Clone(reports), func(r models.Report) bool { return r.LimbID != nil && *r.LimbID != limbID })
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

// LimitsInForce returns the limits that a prosthetist set or confirmed last, or
// nil where the starting values still stand.
func (l LimbRecord) LimitsInForce() *models.LimbLimits {
	if len(l.Limits) == 0 {
		return nil
	}
	return &l.Limits[len(l.Limits)-1]
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
