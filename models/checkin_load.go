package models

import (
	"context"
	"fmt"
	"maps"
	"slices"
)

// CheckinByID returns a check-in, superseded or not, with everything in it, or
// ErrNotFound.
func (s *Store) CheckinByID(ctx context.Context, id string) (Checkin, error) {
	return s.oneCheckin(ctx, "check-in by id", "id = ?", id)
}

// CheckinByDraft returns the check-in that was saved from a draft, with
// everything in it, or ErrNotFound.
func (s *Store) CheckinByDraft(ctx context.Context, draftID string) (Checkin, error) {
	if draftID == "" {
		return Checkin{}, fold("check-in by draft", ErrNotFound)
	}
	return s.oneCheckin(ctx, "check-in by draft", "draft_id = ?", draftID)
}

func (s *Store) oneCheckin(ctx context.Context, operation, condition, value string) (Checkin, error) {
	found := make([]Checkin, 1)
	if err := s.db.WithContext(ctx).Where(condition, value).Take(&found[0]).Error; err != nil {
		return Checkin{}, fold(operation, err)
	}
	err := s.loadCheckins(ctx, found)
	return found[0], fold(operation, err)
}

// CheckinsOf returns the current versions of a client's check-ins with
// everything in them, in the order in which they were measured.
func (s *Store) CheckinsOf(ctx context.Context, clientID string) ([]Checkin, error) {
	var found []Checkin
	err := s.db.WithContext(ctx).Where("client_id = ? AND superseded_at IS NULL", clientID).
		Order("measured_at, id").Find(&found).Error
	if err == nil {
		err = s.loadCheckins(ctx, found)
	}
	return found, fold("check-ins of client", err)
}

// SupersededCheckins returns the versions of a client's check-ins that a
// correction has replaced, with everything in them, in the order in which they
// were entered: a flag's evidence rests on the version it was found in.
func (s *Store) SupersededCheckins(ctx context.Context, clientID string) ([]Checkin, error) {
	var found []Checkin
	err := s.db.WithContext(ctx).Where("client_id = ? AND superseded_at IS NOT NULL", clientID).
		Order("entered_at, id").Find(&found).Error
	if err == nil {
		err = s.loadCheckins(ctx, found)
	}
	return found, fold("superseded check-ins of client", err)
}

// CheckinVersions returns all versions of the check-in that id is one of, the
// first version first, with everything in them, or ErrNotFound.
func (s *Store) CheckinVersions(ctx context.Context, id string) ([]Checkin, error) {
	var all []Checkin
	err := s.db.WithContext(ctx).
		Where("client_id = (SELECT client_id FROM checkins WHERE id = ?)", id).Order("number, id").Find(&all).Error
	if err != nil {
		return nil, fold("versions of check-in", err)
	}
	chain := chainOf(all, id)
	if len(chain) == 0 {
		return nil, fold("versions of check-in", ErrNotFound)
	}
	return chain, fold("versions of check-in", s.loadCheckins(ctx, chain))
}

// chainOf picks from a client's check-ins those that replace one another and
// among which id is.
func chainOf(all []Checkin, id string) []Checkin {
	byID := make(map[string]Checkin, len(all))
	replacedBy := make(map[string]string, len(all))
	for _, c := range all {
		byID[c.ID] = c
		if c.ReplacesID != nil {
			replacedBy[*c.ReplacesID] = c.ID
		}
	}
	c, ok := byID[id]
	if !ok {
		return nil
	}
	for c.ReplacesID != nil {
		c = byID[*c.ReplacesID]
	}
	chain := []Checkin{c}
	for next, ok := replacedBy[c.ID]; ok; next, ok = replacedBy[next] {
		chain = append(chain, byID[next])
	}
	return chain
}

// loadChunk bounds the ids in one statement, below the 32,766 variables that
// SQLite takes.
const loadChunk = 10000

// loadCheckins fills in what the check-ins hold, with one statement for each
// kind of record however many check-ins there are.
func (s *Store) loadCheckins(ctx context.Context, checkins []Checkin) error {
	if err := s.loadLimbsSeen(ctx, checkins); err != nil {
		return err
	}
	return s.loadCheckinLimbs(ctx, checkins)
}

// loadLimbsSeen fills in the limbs of the check-ins, without what those hold.
func (s *Store) loadLimbsSeen(ctx context.Context, checkins []Checkin) error {
	place := make(map[string]*Checkin, len(checkins))
	for i := range checkins {
		place[checkins[i].ID] = &checkins[i]
	}
	limbs, err := loadIn[CheckinLimb](ctx, s, "checkin_id", slices.Sorted(maps.Keys(place)), "id")
	if err != nil {
		return err
	}
	for _, l := range limbs {
		c := place[l.CheckinID]
		c.Limbs = append(c.Limbs, l)
	}
	return nil
}

// loadCheckinLimbs fills in what the limbs of the check-ins hold.
func (s *Store) loadCheckinLimbs(ctx context.Context, checkins []Checkin) error {
	place := limbsSeen(checkins)
	ids := slices.Sorted(maps.Keys(place))
	readings, err := loadIn[Reading](ctx, s, "checkin_limb_id", ids, "part, level_tenth_mm, pass")
	if err != nil {
		return err
	}
	for _, r := range readings {
		place[r.CheckinLimbID].Readings = append(place[r.CheckinLimbID].Readings, r)
	}
	clearances, err := loadIn[ClearanceReading](ctx, s, "checkin_limb_id", ids, "id")
	if err != nil {
		return err
	}
	for _, r := range clearances {
		place[r.CheckinLimbID].Clearances = append(place[r.CheckinLimbID].Clearances, r)
	}
	functions, err := loadIn[FunctionCheck](ctx, s, "checkin_limb_id", ids, "id")
	if err != nil {
		return err
	}
	for _, r := range functions {
		place[r.CheckinLimbID].Functions = append(place[r.CheckinLimbID].Functions, r)
	}
	skin, err := loadIn[SkinFinding](ctx, s, "checkin_limb_id", ids, "id")
	if err != nil {
		return err
	}
	for _, r := range skin {
		place[r.CheckinLimbID].Skin = append(place[r.CheckinLimbID].Skin, r)
	}
	attachments, err := loadIn[AttachmentSeen](ctx, s, "checkin_limb_id", ids, "id")
	for _, r := range attachments {
		place[r.CheckinLimbID].Attachments = append(place[r.CheckinLimbID].Attachments, r)
	}
	return err
}

// limbsSeen finds the limbs of the check-ins by id.
func limbsSeen(checkins []Checkin) map[string]*CheckinLimb {
	place := map[string]*CheckinLimb{}
	for i := range checkins {
		for j := range checkins[i].Limbs {
			place[checkins[i].Limbs[j].ID] = &checkins[i].Limbs[j]
		}
	}
	return place
}

// loadIn returns the rows whose column holds one of the ids, in an order that
// holds within each id.
func loadIn[T any](ctx context.Context, s *Store, column string, ids []string, order string) ([]T, error) {
	var rows []T
	for chunk := range slices.Chunk(ids, loadChunk) {
		var part []T
		if err := s.db.WithContext(ctx).Where(column+" IN ?", chunk).Order(order).Find(&part).Error; err != nil {
			return nil, fmt.Errorf("by %s: %w", column, err)
		}
		rows = append(rows, part...)
	}
	return rows, nil
}
