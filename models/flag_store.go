package models

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"

	"gorm.io/gorm"
)

// urgency ranks the levels of a flag in SQL, the most urgent lowest.
const urgency = "CASE level WHEN 'now' THEN 0 WHEN 'soon' THEN 1 ELSE 2 END"

// moreUrgent tells whether level a asks for haste before level b.
func moreUrgent(a, b string) bool {
	rank := map[string]int{"now": 0, "soon": 1, "watch": 2}
	return rank[a] < rank[b]
}

// OpenFlagFor returns the open flag of a limb for a rule and place, with its
// evidence and steps, or ErrNotFound.
func (s *Store) OpenFlagFor(ctx context.Context, limbID, rule, place string) (Flag, error) {
	return s.oneFlag(ctx, "open flag", s.db.WithContext(ctx).
		Where("limb_id = ? AND rule = ? AND place = ? AND closed_at IS NULL", limbID, rule, place))
}

// FlagByID returns a flag, open or closed, with its evidence and steps, or
// ErrNotFound.
func (s *Store) FlagByID(ctx context.Context, id string) (Flag, error) {
	return s.oneFlag(ctx, "flag by id", s.db.WithContext(ctx).Where("id = ?", id))
}

func (s *Store) oneFlag(ctx context.Context, operation string, which *gorm.DB) (Flag, error) {
	found := make([]Flag, 1)
	if err := which.Take(&found[0]).Error; err != nil {
		return Flag{}, fold(operation, err)
	}
	err := s.loadEvidence(ctx, found)
	if err == nil {
		err = s.loadSteps(ctx, found)
	}
	return found[0], fold(operation, err)
}

// RaiseFlag adds the evidence to the open flag of f's limb, rule and place and
// raises its level if the evidence is more urgent; where none is open it opens
// f. It returns the flag as it now stands, with all its evidence. Ids, times
// and the version are filled in.
func (s *Store) RaiseFlag(ctx context.Context, f Flag, e FlagEvidence) (Flag, error) {
	if !json.Valid(e.Finding) {
		return Flag{}, fmt.Errorf("raise flag: finding is not JSON: %w", ErrInvalid)
	}
	id, err := s.raise(ctx, f, e)
	if errors.Is(err, ErrConflict) { // someone opened the same flag at this moment: add to theirs
		id, err = s.raise(ctx, f, e)
	}
	if err != nil {
		return Flag{}, err
	}
	return s.FlagByID(ctx, id)
}

func (s *Store) raise(ctx context.Context, f Flag, e FlagEvidence) (id string, err error) {
	err = s.InTx(ctx, func(tx *Store) error {
		var open Flag
		err := fold("open flag", tx.db.Where("limb_id = ? AND rule = ? AND place = ? AND closed_at IS NULL",
			f.LimbID, f.Rule, f.Place).Take(&open).Error)
		switch {
		case errors.Is(err, ErrNotFound):
			open, err = f, nil
			open.ID, open.OpenedAt, open.Version = newIfEmpty(f.ID), s.clock(), 1
			open.ClosedAt, open.ClosedBy, open.CloseReason = nil, "", ""
			open.SeenAt, open.HandoverID, open.AskAgainOn, open.ClosedReviewID, open.ClosedAnswerID = nil, nil, "", nil, nil
			err = tx.db.Create(&open).Error
		case err == nil:
			err = tx.strengthen(open, f.Level)
		}
		if err != nil {
			return err
		}
		id = open.ID
		e.ID, e.FlagID, e.AddedAt = NewID(), open.ID, s.clock()
		return tx.db.Create(&e).Error
	})
	return id, fold("raise flag", err)
}

// strengthen raises the version of an open flag that gets evidence, and its
// level where the evidence is more urgent. Evidence of level now asks for another
// look. A flag closed at this moment gives ErrConflict.
func (s *Store) strengthen(open Flag, level string) error {
	changed := map[string]any{"version": gorm.Expr("version + 1")}
	if moreUrgent(level, open.Level) {
		changed["level"] = level
	}
	if level == "now" {
		changed["seen_at"] = nil
	}
	result := s.db.Model(&Flag{}).Where("id = ? AND closed_at IS NULL", open.ID).UpdateColumns(changed)
	if result.Error == nil && result.RowsAffected == 0 {
		return ErrConflict
	}
	return result.Error
}

// FlagsOf returns the flags of a client, open and closed, with their evidence
// and steps: the open ones first by urgency, then the closed ones, each the newest first.
func (s *Store) FlagsOf(ctx context.Context, clientID string) ([]Flag, error) {
	var flags []Flag
	err := s.db.WithContext(ctx).Where("client_id = ?", clientID).
		Order("CASE WHEN closed_at IS NULL THEN " + urgency + " ELSE 3 END, opened_at DESC, id DESC").Find(&flags).Error
	if err == nil {
		err = s.loadEvidence(ctx, flags)
	}
	if err == nil {
		err = s.loadSteps(ctx, flags)
	}
	return flags, fold("flags of client", err)
}

// OpenFlags returns the open flags of all clients who are not archived, or of
// those with the person on their care team, without evidence: the most urgent
// first, then those that have waited longest.
func (s *Store) OpenFlags(ctx context.Context, careTeamOf *string) ([]Flag, error) {
	db := s.db.WithContext(ctx).Where("closed_at IS NULL").
		Where("client_id IN (SELECT id FROM clients WHERE archived_at IS NULL)")
	var flags []Flag
	err := onCareTeam(db, "client_id", careTeamOf).Order(urgency + ", opened_at, id").Find(&flags).Error
	return flags, fold("open flags", err)
}

// loadEvidence fills in the evidence of the flags, the newest first.
func (s *Store) loadEvidence(ctx context.Context, flags []Flag) error {
	place := make(map[string]*Flag, len(flags))
	ids := make([]string, len(flags))
	for i := range flags {
		place[flags[i].ID], ids[i] = &flags[i], flags[i].ID
	}
	evidence, err := loadIn[FlagEvidence](ctx, s, "flag_id", ids, "added_at DESC, id DESC")
	for _, e := range evidence {
		place[e.FlagID].Evidence = append(place[e.FlagID].Evidence, e)
	}
	return err
}
