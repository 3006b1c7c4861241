package models

import "context"

// holdingLimbs are the limbs of which the last signed review, or the newest letter
// that decides anything, holds a decision that can bring the client into the list
// of the day. A letter also does by the day on which its writer wants to look
// again: who wrote it has no list here.
const holdingLimbs = `SELECT limb_id FROM reviews WHERE number = (SELECT MAX(number) FROM reviews AS newer WHERE newer.limb_id = reviews.limb_id)
		AND (decisions LIKE @wear OR decisions LIKE @cover)
	UNION SELECT limb_id FROM (` + lastLetters + `) AS letters WHERE decisions LIKE @wear OR decisions LIKE @cover OR decisions LIKE @look`

// lastLetters are of each limb the answers with a letter attached that decide
// anything: the one that is dated last, and of those of one day the one that was
// recorded last.
const lastLetters = `SELECT * FROM (SELECT answers.*, ROW_NUMBER() OVER (PARTITION BY limb_id ORDER BY answered_on DESC, recorded_at DESC, id DESC) AS place
	FROM answers WHERE means = 'letter' AND document_sha256 IS NOT NULL AND decisions LIKE '%"kind"%') AS ranked WHERE place = 1`

// HoldingLimbs returns the ids of the limbs with a decision, in the last signed
// review or the newest letter, that can hold the client back: not to wear the
// prosthesis, or the cover off; by letter also to look again. Whether it still does
// is not asked here.
func (s *Store) HoldingLimbs(ctx context.Context) ([]string, error) {
	var ids []string
	err := s.db.WithContext(ctx).Raw("SELECT limb_id FROM ("+holdingLimbs+") AS holding ORDER BY limb_id", map[string]any{
		"wear": decides(DoNotWear), "cover": decides(CoverOff), "look": decides(LookAgainDecision),
	}).Scan(&ids).Error
	return ids, fold("limbs that are held back", err)
}

// decides is a pattern of the decisions that hold one of a kind.
func decides(kind DecisionKind) string { return `%"` + string(kind) + `"%` }

// LastLetters returns, of each of several limbs, the answer with a letter attached
// that is dated last of those that decide anything, by limb; a limb without one is
// absent.
func (s *Store) LastLetters(ctx context.Context, limbIDs []string) (map[string]Answer, error) {
	found, err := loadIn[Answer](ctx, s, "id IN (SELECT id FROM ("+lastLetters+") AS letters) AND limb_id", limbIDs, "limb_id")
	last := make(map[string]Answer, len(found))
	for _, a := range found {
		last[a.LimbID] = a
	}
	return last, fold("last letters", err)
}
