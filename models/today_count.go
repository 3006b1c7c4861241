package models

import (
	"context"

	"fairlead/analytics/quantity"
)

// TodayCount counts the clients of the list of the day, each once, by what they
// need most.
type TodayCount struct {
	Now, Soon, Watch int // by what is most urgent, as the list of the day ranks it
	Overdue, Due     int // of the others: past the next date, due by dueBy
	Rest             int // neither
}

// Needing is how many clients need anything.
func (n TodayCount) Needing() int { return n.Now + n.Soon + n.Watch + n.Overdue + n.Due }

// CountToday counts the clients who are not archived, or of those with the
// person on their care team. HeldBack are the ids of clients whom a decision
// holds back. A next date before today is overdue, one until
// dueBy is due.
func (s *Store) CountToday(ctx context.Context, careTeamOf *string, today, dueBy quantity.Date, heldBack []string) (TodayCount, error) {
	var groups []struct{ Need, State, N int }
	err := onCareTeam(s.db.WithContext(ctx).Table("("+todayPlaces+") AS places", s.clock().Add(-UnsentAfter), heldBack, today), "id", careTeamOf).
		Select("need, CASE WHEN due < ? THEN 0 WHEN due <= ? THEN 1 ELSE 2 END AS state, COUNT(*) AS n", today, dueBy).
		Group("1, 2").Find(&groups).Error
	var count TodayCount
	for _, g := range groups {
		switch level := todayLevels[g.Need]; {
		case level == "now":
			count.Now += g.N
		case level == "soon":
			count.Soon += g.N
		case level == "watch":
			count.Watch += g.N
		case g.State == 0:
			count.Overdue += g.N
		case g.State == 1:
			count.Due += g.N
		default:
			count.Rest += g.N
		}
	}
	return count, fold("count today", err)
}
