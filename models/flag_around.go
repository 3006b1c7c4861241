package models

import (
	"context"
	"errors"
	"maps"
	"slices"
)

// FlagsAround is what the steps and the closing of flags refer to, by id.
type FlagsAround struct {
	Handovers map[string]Handover // without the flags in them
	Answers   map[string]Answer
	Reviews   map[string]Review
}

// AroundFlags returns the handovers, answers and reviews that flags, their steps
// and their closing refer to. It takes four statements however many flags there
// are, fewer where they refer to none.
func (s *Store) AroundFlags(ctx context.Context, flags []Flag) (FlagsAround, error) {
	handovers, answers, reviews := idSet{}, idSet{}, idSet{}
	for _, f := range flags {
		handovers.add(f.HandoverID)
		answers.add(f.ClosedAnswerID)
		reviews.add(f.ClosedReviewID)
		for _, step := range f.Steps {
			handovers.add(step.HandoverID)
			answers.add(step.AnswerID)
			reviews.add(step.ReviewID)
		}
	}
	var around FlagsAround
	var errs [3]error
	around.Handovers, errs[0] = recordsByID(ctx, s, handovers, func(h Handover) string { return h.ID })
	around.Answers, errs[1] = recordsByID(ctx, s, answers, func(a Answer) string { return a.ID })
	signed, err := loadIn[Review](ctx, s, "id", slices.Collect(maps.Keys(reviews)), "id")
	around.Reviews, errs[2] = make(map[string]Review, len(signed)), err
	if err == nil {
		errs[2] = s.tellSigners(ctx, pointers(signed)...)
	}
	for _, r := range signed {
		around.Reviews[r.ID] = r
	}
	return around, fold("what flags refer to", errors.Join(errs[:]...))
}

// idSet is a set of ids.
type idSet map[string]bool

func (set idSet) add(id *string) {
	if id != nil {
		set[*id] = true
	}
}

func recordsByID[T any](ctx context.Context, s *Store, ids idSet, id func(T) string) (map[string]T, error) {
	wanted := make([]string, 0, len(ids))
	for known := range ids {
		wanted = append(wanted, known)
	}
	found, err := loadIn[T](ctx, s, "id", wanted, "id")
	records := make(map[string]T, len(found))
	for _, r := range found {
		records[id(r)] = r
	}
	return records, err
}
