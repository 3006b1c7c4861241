package followup

import (
	"context"
	"fmt"

	"fairlead/analytics/assess"
	"fairlead/analytics/quantity"
	"fairlead/models"
)

// ReviewList is a page of the limbs that wait for their prosthetist, in the
// order of need.
type ReviewList struct {
	Counts map[models.ReviewNeed]int // of the whole list, not of the page
	Rows   []ReviewLine
	Next   string // key of the next page, empty on the last one
}

// ReviewLine is one limb that waits. All its open flags have their evidence.
type ReviewLine struct {
	models.ReviewRow
	Course *Course // nil when there is nothing to compare
	// InPlaceOf are the prosthetists of the care team for whom the reader stands in
	// as deputy; empty for a reader who is on the team.
	InPlaceOf []models.Person
}

// FindReviews reads a page of the list of reviews of a person. It computes
// changes for the limbs of that page alone, and the number of statements does not
// depend on how many there are. A key that did not come from here gives
// models.ErrInvalid.
func FindReviews(ctx context.Context, store *models.Store, personID string, today quantity.Date, afterKey string, limit int) (ReviewList, error) {
	var list ReviewList
	var err error
	if list.Counts, err = store.CountReviews(ctx, personID, today); err != nil {
		return list, fmt.Errorf("find reviews: %w", err)
	}
	found, next, err := store.ReviewList(ctx, models.ReviewFilter{For: personID, Today: today, AfterKey: afterKey, Limit: limit})
	if err != nil {
		return list, fmt.Errorf("find reviews: %w", err)
	}
	list.Next = next
	if err := evidenceOfRows(ctx, store, found); err != nil {
		return list, fmt.Errorf("find reviews: %w", err)
	}
	records, err := loadTape(ctx, store, clientsOf(found))
	if err != nil {
		return list, fmt.Errorf("find reviews: %w", err)
	}
	limbs := map[string]LimbRecord{}
	for _, r := range records {
		for _, l := range r.Limbs {
			limbs[l.Limb.ID] = l
		}
	}
	for _, row := range found {
		line := ReviewLine{ReviewRow: row, InPlaceOf: inPlaceOf(personID, row.Client)}
		if line.Course, err = limbs[row.Limb.ID].Course(); err != nil {
			return list, fmt.Errorf("find reviews: %w", err)
		}
		list.Rows = append(list.Rows, line)
	}
	return list, nil
}

// evidenceOfRows fills in the evidence of every flag of the rows.
func evidenceOfRows(ctx context.Context, store *models.Store, rows []models.ReviewRow) error {
	var all []models.Flag
	for _, row := range rows {
		all = append(all, row.Flags...)
	}
	if err := store.WithEvidence(ctx, all); err != nil {
		return err
	}
	for i := range rows {
		n := len(rows[i].Flags)
		rows[i].Flags, all = all[:n:n], all[n:]
	}
	return nil
}

// clientsOf are the clients of the rows, each once.
func clientsOf(rows []models.ReviewRow) []models.Client {
	var clients []models.Client
	known := map[string]bool{}
	for _, row := range rows {
		if !known[row.Client.ID] {
			known[row.Client.ID] = true
			clients = append(clients, row.Client)
		}
	}
	return clients
}

// inPlaceOf are the prosthetists of the care team, where the person is not of it.
func inPlaceOf(personID string, c models.Client) []models.Person {
	var away []models.Person
	for _, member := range c.CareTeam {
		if member.ID == personID {
			return nil
		}
		if member.IsProsthetist {
			away = append(away, member)
		}
	}
	return away
}

// volumeLimits are those in force: set or confirmed by a prosthetist, or the
// starting values.
func (l LimbRecord) volumeLimits() assess.VolumeLimits {
	if set, _ := l.limits(); set.LossPercent > 0 {
		return set
	}
	return assess.StartingVolumeLimits
}
