package followup

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"time"

	"fairlead/analytics/quantity"
	"fairlead/models"
)

// Decided is what a prosthetist decided about one limb: by a signed review, or by
// a letter that is attached to the answer in which it was recorded. One of the
// two is there.
type Decided struct {
	Review *models.Review
	Letter *models.Answer
}

// Place returns the ids of the client and of the limb that it is about.
func (d Decided) Place() (clientID, limbID string) {
	if d.Letter != nil {
		return d.Letter.ClientID, d.Letter.LimbID
	}
	return d.Review.ClientID, d.Review.LimbID
}

// ID is that of the review or of the answer.
func (d Decided) ID() string {
	if d.Letter != nil {
		return d.Letter.ID
	}
	return d.Review.ID
}

// Decisions are all that were decided.
func (d Decided) Decisions() []models.Decision {
	if d.Letter != nil {
		return d.Letter.Decisions
	}
	return d.Review.Decisions
}

// On is the date of the letter, or the day of the signature in zone.
func (d Decided) On(zone *time.Location) quantity.Date {
	if d.Letter != nil {
		return d.Letter.AnsweredOn
	}
	return quantity.DateOf(d.Review.SignedAt.In(zone))
}

// At is when it came into the record.
func (d Decided) At() time.Time {
	if d.Letter != nil {
		return d.Letter.RecordedAt
	}
	return d.Review.SignedAt
}

// LookAgainOn is the day by which to look again, or empty.
func (d Decided) LookAgainOn() quantity.Date {
	if d.Letter == nil {
		return d.Review.LookAgainOn
	}
	for _, decision := range d.Decisions() {
		if decision.Kind == models.LookAgainDecision {
			return decision.Until
		}
	}
	return ""
}

// HoldsBack are the decisions that hold the client back on a day: not to wear the
// prosthesis until seen, and the cover off until a day that has not passed or until
// what a note says.
func (d Decided) HoldsBack(today quantity.Date) []models.Decision {
	var holding []models.Decision
	for _, decision := range d.Decisions() {
		if decision.Kind == models.DoNotWear || decision.Kind == models.CoverOff && (decision.Until == "" || decision.Until >= today) {
			holding = append(holding, decision)
		}
	}
	return holding
}

// Standing are the decisions that somebody must keep in sight on a day: those that
// hold the client back, and the day to look again of a letter once it has come.
// That of a review stands in the list of whoever signs.
func (d Decided) Standing(today quantity.Date) []models.Decision {
	standing := d.HoldsBack(today)
	if look := d.LookAgainOn(); d.Letter != nil && look != "" && look <= today {
		standing = append(standing, models.Decision{Kind: models.LookAgainDecision, Until: look})
	}
	return standing
}

// InForce is what is in force of the last review of a limb and its newest letter;
// either may be missing. The one of the later day is, by the date of the letter and
// the day of the signature in zone: whoever wrote or signed last saw the limb
// last, whenever it was recorded. A letter that is older than a review lifts and
// imposes nothing. Of one day the review is in force where the letter lay there when
// it was signed; where the letter was recorded after that, nobody knows which of the
// two came last, and both are.
func InForce(review *models.Review, letter *models.Answer, zone *time.Location) []Decided {
	signed, written := Decided{Review: review}, Decided{Letter: letter}
	switch {
	case review == nil && letter == nil:
		return nil
	case letter == nil:
		return []Decided{signed}
	case review == nil:
		return []Decided{written}
	}
	switch a, b := signed.On(zone), written.On(zone); {
	case a > b, a == b && !signed.At().Before(written.At()):
		return []Decided{signed}
	case a < b:
		return []Decided{written}
	}
	return []Decided{signed, written}
}

// DecidedOf is what is in force of each of several limbs, by limb.
func DecidedOf(ctx context.Context, store *models.Store, limbIDs []string, zone *time.Location) (map[string][]Decided, error) {
	reviews, err := store.LastReviews(ctx, limbIDs)
	if err != nil {
		return nil, fmt.Errorf("what is decided: %w", err)
	}
	letters, err := store.LastLetters(ctx, limbIDs)
	if err != nil {
		return nil, fmt.Errorf("what is decided: %w", err)
	}
	decided := make(map[string][]Decided, len(limbIDs))
	for _, id := range limbIDs {
		var review *models.Review
		var letter *models.Answer
		if r, ok := reviews[id]; ok {
			review = &r
		}
		if a, ok := letters[id]; ok {
			letter = &a
		}
		decided[id] = InForce(review, letter, zone)
	}
	return decided, nil
}

// heldBack is what must be kept in sight of clients on a day, by client.
func heldBack(ctx context.Context, store *models.Store, today quantity.Date, zone *time.Location) (map[string][]Decided, error) {
	limbs, err := store.HoldingLimbs(ctx)
	if err != nil {
		return nil, err
	}
	decided, err := DecidedOf(ctx, store, limbs, zone)
	held := map[string][]Decided{}
	for _, limbID := range limbs {
		for _, d := range decided[limbID] {
			if clientID, _ := d.Place(); len(d.Standing(today)) > 0 {
				held[clientID] = append(held[clientID], d)
			}
		}
	}
	return held, err
}

// heldIDs are the clients of a map by client, sorted.
func heldIDs(held map[string][]Decided) []string { return slices.Sorted(maps.Keys(held)) }
