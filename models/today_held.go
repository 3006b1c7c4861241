package models

import "context"

// HoldingReviews returns the reviews, the newest of their limbs, with a decision
// that can hold a client back: not to wear the prosthesis, or the cover off. Whether
// it still does is not asked here.
func (s *Store) HoldingReviews(ctx context.Context) ([]Review, error) {
	var found []Review
	err := s.db.WithContext(ctx).Where("number = (SELECT MAX(number) FROM reviews AS newer WHERE newer.limb_id = reviews.limb_id)").
		Where("decisions LIKE ? OR decisions LIKE ?", `%"`+string(DoNotWear)+`"%`, `%"`+string(CoverOff)+`"%`).
		Order("client_id, limb_id").Find(&found).Error
	return found, fold("reviews that hold back", err)
}
