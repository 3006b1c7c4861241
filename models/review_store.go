package models

import (
	"context"
	"errors"
)

// CreateReview records a signed review of a limb as the one after number
// r.Number-1. It fills in ID. Of two signed on the same one the second meets
// ErrStale. A review is never changed.
func (s *Store) CreateReview(ctx context.Context, r *Review) error {
	r.ID, r.SignedAt, r.PasswordChosenAt = newIfEmpty(r.ID), stored(r.SignedAt), storedPointer(r.PasswordChosenAt)
	err := s.db.WithContext(ctx).Create(r).Error
	if errors.Is(fold("create review", err), ErrConflict) {
		return fold("create review", ErrStale)
	}
	return fold("create review", err)
}

// ReviewByID returns one review, or ErrNotFound.
func (s *Store) ReviewByID(ctx context.Context, id string) (Review, error) {
	var r Review
	err := s.db.WithContext(ctx).Where("id = ?", id).Take(&r).Error
	if err == nil {
		err = s.tellSigners(ctx, &r)
	}
	return r, fold("review by id", err)
}

// ReviewsOf returns the reviews of a limb, the newest first.
func (s *Store) ReviewsOf(ctx context.Context, limbID string) ([]Review, error) {
	var reviews []Review
	err := s.db.WithContext(ctx).Where("limb_id = ?", limbID).Order("number DESC").Find(&reviews).Error
	if err == nil {
		err = s.tellSigners(ctx, pointers(reviews)...)
	}
	return reviews, fold("reviews of limb", err)
}

// LastReviews returns the last signed review of each of several limbs, by limb; a
// limb without one is absent.
func (s *Store) LastReviews(ctx context.Context, limbIDs []string) (map[string]Review, error) {
	found, err := loadIn[Review](ctx, s, "number = (SELECT MAX(number) FROM reviews AS newer WHERE newer.limb_id = reviews.limb_id) AND limb_id", limbIDs, "limb_id")
	if err == nil {
		err = s.tellSigners(ctx, pointers(found)...)
	}
	last := make(map[string]Review, len(found))
	for _, r := range found {
		last[r.LimbID] = r
	}
	return last, fold("last reviews", err)
}

// tellSigners tells who signed reviews from others with the same name.
func (s *Store) tellSigners(ctx context.Context, reviews ...*Review) error {
	if len(reviews) == 0 {
		return nil
	}
	people, err := s.People(ctx)
	for _, r := range reviews {
		signIn, others := "", false
		for _, p := range people {
			if p.ID == r.SignedBy {
				signIn = p.SignIn
			} else {
				others = others || SameName(p.Name, r.SignerName)
			}
		}
		if others {
			r.SignedAs = nameApart(r.SignerName, signIn)
		}
	}
	return err
}

func pointers[T any](all []T) []*T {
	at := make([]*T, len(all))
	for i := range all {
		at[i] = &all[i]
	}
	return at
}
