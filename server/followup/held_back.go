package followup

import (
	"context"
	"maps"
	"slices"

	"fairlead/analytics/quantity"
	"fairlead/models"
)

// heldBack are the reviews that hold clients back on a day, by client.
func heldBack(ctx context.Context, store *models.Store, today quantity.Date) (map[string][]models.Review, error) {
	found, err := store.HoldingReviews(ctx)
	held := map[string][]models.Review{}
	for _, r := range found {
		if len(StandingDecisions(r, today)) > 0 {
			held[r.ClientID] = append(held[r.ClientID], r)
		}
	}
	return held, err
}

// heldIDs are the clients of a map by client, sorted.
func heldIDs(held map[string][]models.Review) []string { return slices.Sorted(maps.Keys(held)) }
