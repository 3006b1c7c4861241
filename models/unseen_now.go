package models

import "context"

// unseenNow holds for flags of level now that nobody has seen yet.
const unseenNow = "level = 'now' AND seen_at IS NULL"

// CountUnseenNow counts the open flags of level now that nobody has seen yet, and the
// safety answers that were not sent and that nobody has dealt with, of
// clients that are not archived; with careTeamOf, only of clients that this
// person looks after.
func (s *Store) CountUnseenNow(ctx context.Context, careTeamOf *string) (int, error) {
	var n int64
	db := s.db.WithContext(ctx).Model(&Flag{}).
		Where("closed_at IS NULL").Where(unseenNow).
		Where("client_id IN (SELECT id FROM clients WHERE archived_at IS NULL)")
	if err := onCareTeam(db, "client_id", careTeamOf).Count(&n).Error; err != nil {
		return 0, fold("count unseen flags", err)
	}
	var unsent int64
	db = s.db.WithContext(ctx).Table("("+unsentClients+") AS unsent", s.clock().Add(-UnsentAfter)).
		Where("client_id IN (SELECT id FROM clients WHERE archived_at IS NULL)")
	if err := onCareTeam(db, "client_id", careTeamOf).Count(&unsent).Error; err != nil {
		return 0, fold("count unsent safety answers", err)
	}
	return int(n + unsent), nil
}
