package followup

import (
	"context"
	"fmt"
	"slices"

	"fairlead/models"
)

// Handover is a handover with what became of it.
type Handover struct {
	models.Handover
	Flags   []models.Flag   // in it, with evidence and steps: the open ones first, the most urgent of them first
	Answers []models.Answer // oldest first
	// Since says to whom flags were handed over since, by their id.
	Since map[string]string
}

// HandOver records that flags of a limb were handed over to a prosthetist who does
// not sign in. Whether the person may is the caller's to see to.
//
// Errors: models.ErrInvalid for no flags, flags of another limb, or a day to ask
// again that is not after the handing over; models.ErrStale when a flag was closed
// meanwhile; models.ErrConflict when the same handover was recorded before.
func HandOver(ctx context.Context, store *models.Store, h *models.Handover) error {
	if h.AskAgainOn <= h.HandedOn {
		return fmt.Errorf("hand over: asking again on %s of %s: %w", h.AskAgainOn, h.HandedOn, models.ErrInvalid)
	}
	if err := store.CreateHandover(ctx, h); err != nil {
		return fmt.Errorf("hand over: %w", err)
	}
	return nil
}

// Handovers loads the handovers of a client, the newest first. Flags are all flags
// of the client, with evidence and steps.
func Handovers(ctx context.Context, store *models.Store, clientID string, flags []models.Flag) ([]Handover, error) {
	found, err := store.HandoversOf(ctx, clientID)
	if err != nil {
		return nil, fmt.Errorf("handovers: %w", err)
	}
	if len(found) == 0 {
		return nil, nil
	}
	answers, err := store.AnswersOf(ctx, clientID)
	if err != nil {
		return nil, fmt.Errorf("handovers: %w", err)
	}
	slices.Reverse(answers)
	toWhom := map[string]string{}
	for _, h := range found {
		toWhom[h.ID] = h.ToWhom
	}
	handovers := make([]Handover, len(found))
	for i, h := range found {
		handovers[i] = Handover{
			Handover: h,
			Flags:    slices.DeleteFunc(slices.Clone(flags), func(f models.Flag) bool { return !slices.Contains(h.FlagIDs, f.ID) }),
			Answers:  slices.DeleteFunc(slices.Clone(answers), func(a models.Answer) bool { return a.HandoverID != h.ID }),
			Since:    map[string]string{},
		}
		for _, f := range handovers[i].Flags {
			if last := f.LastHandover(); last != h.ID && last != "" {
				handovers[i].Since[f.ID] = toWhom[last]
			}
		}
	}
	return handovers, nil
}

// Open are the flags of a handover that are open, wherever they are awaited from.
func (h Handover) Open() []models.Flag {
	return slices.DeleteFunc(slices.Clone(h.Flags), func(f models.Flag) bool { return f.ClosedAt != nil })
}

// Here are the open flags that were handed over to nobody else since: those that
// an answer to this handover is about.
func (h Handover) Here() []models.Flag {
	return slices.DeleteFunc(h.Open(), func(f models.Flag) bool { _, elsewhere := h.Since[f.ID]; return elsewhere })
}

// Awaiting are the open flags that await the answer of this handover.
func (h Handover) Awaiting() []models.Flag {
	return slices.DeleteFunc(h.Open(), func(f models.Flag) bool { return f.HandoverID == nil || *f.HandoverID != h.ID })
}

// Asked are the times that somebody asked again, oldest first.
func (h Handover) Asked() []models.FlagStep {
	var longest []models.FlagStep // each time is a step of every flag that was open then
	for _, f := range h.Flags {
		asked := slices.DeleteFunc(slices.Clone(f.Steps), func(s models.FlagStep) bool {
			return s.Kind != models.StepAskedAgain || s.HandoverID == nil || *s.HandoverID != h.ID
		})
		if len(asked) > len(longest) {
			longest = asked
		}
	}
	return longest
}
