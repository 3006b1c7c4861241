package models

import "context"

// letterToSee holds for an answer that closed a flag, set limits or decided, and
// that a person has yet to look at: nobody has signed a review of its limb since
// it was recorded. Whoever recorded it looks at it for themself alone by their own
// signature, so that nobody confirms for others what they recorded.
const letterToSee = `(COALESCE(answers.decisions, '') NOT IN ('', 'null', '[]')
	OR EXISTS (SELECT 1 FROM flags WHERE flags.client_id = answers.client_id AND flags.closed_answer_id = answers.id)
	OR EXISTS (SELECT 1 FROM limb_limits WHERE limb_limits.limb_id = answers.limb_id AND limb_limits.answer_id = answers.id))
	AND NOT EXISTS (SELECT 1 FROM reviews WHERE reviews.limb_id = answers.limb_id AND reviews.signed_at >= answers.recorded_at
		AND (reviews.signed_by = @person OR reviews.signed_by <> answers.recorded_by))`

// LettersToSee returns the answers about several limbs that closed a flag, set
// limits or decided, and that a person has yet to look at, the oldest first. Those
// of whoever signed since are none, unless they recorded the answer themself.
func (s *Store) LettersToSee(ctx context.Context, personID string, limbIDs []string) ([]Answer, error) {
	if len(limbIDs) == 0 {
		return nil, nil
	}
	var letters []Answer
	err := s.db.WithContext(ctx).Where("limb_id IN ?", limbIDs).Where(letterToSee, map[string]any{"person": personID}).
		Order("recorded_at, id").Find(&letters).Error
	return letters, fold("letters to see", err)
}
