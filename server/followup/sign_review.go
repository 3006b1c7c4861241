package followup

import (
	"context"
	"fmt"
	"time"

	"fairlead/analytics/quantity"
	"fairlead/models"
)

// Signing is what a prosthetist signs about one limb.
type Signing struct {
	ID        string // of the review to make; empty for a new one
	ClientID  string
	LimbID    string
	By        models.Person
	On        quantity.Date // the day at the workshop
	Shown     Shown         // what the page showed that was signed
	Decisions []models.Decision
	Note      string
	Limits    *models.LimbLimits // figures, room and reason of those set or confirmed; nil: left as they are
	Close     map[string]string  // the reason by id of each flag to close
	// MayClose decides whether the signature closes a flag.
	MayClose func(models.Flag) bool
}

// SignReview keeps a signed review whole or not at all: the review as the one
// after the last, limits, the flags that it closes, and on each open flag that it
// was seen in this review. Every report that lay there is seen too.
//
// Errors: models.ErrStale when anything that was shown has changed, or when
// somebody else signs at this moment; models.ErrInvalid when there is no decision,
// when decisions contradict one another, for a reason that is missing and for a
// flag that this signature can't close.
func SignReview(ctx context.Context, store *models.Store, now time.Time, s Signing) (models.Review, error) {
	var signed models.Review
	err := store.InTx(ctx, func(tx *models.Store) error {
		b, err := LoadReview(ctx, tx, s.ClientID, s.LimbID)
		if err != nil {
			return err
		}
		if len(b.Shown().Against(s.Shown)) > 0 {
			return fmt.Errorf("what was shown has changed: %w", models.ErrStale)
		}
		var limits *models.LimbLimits
		if signed, limits, err = s.Review(b, now); err != nil {
			return err
		}
		if err := tx.CreateReview(ctx, &signed); err != nil {
			return err
		}
		if limits != nil {
			if err := tx.SetLimbLimits(ctx, limits); err != nil {
				return err
			}
		}
		return s.settle(ctx, tx, b, signed)
	})
	if err != nil {
		return models.Review{}, fmt.Errorf("sign review: %w", err)
	}
	return signed, nil
}

// Review is what gets signed, with its hash, and the limits that it sets. The
// errors are those of SignReview that do not need the store.
func (s Signing) Review(b ReviewBasis, now time.Time) (models.Review, *models.LimbLimits, error) {
	if len(s.Decisions) == 0 || Contradictory(s.Decisions) {
		return models.Review{}, nil, fmt.Errorf("decisions %v: %w", s.Decisions, models.ErrInvalid)
	}
	r := models.Review{
		ID: s.ID, ClientID: s.ClientID, LimbID: s.LimbID, Number: 1, SignedAt: now.UTC().Truncate(time.Microsecond),
		SignedBy: s.By.ID, SignerName: s.By.Name,
		PasswordChosenAt: s.By.PasswordChosenAt, PasswordLinkBy: s.By.PasswordLinkBy, Decisions: s.Decisions, Note: s.Note, Saw: b.saw(),
	}
	if r.ID == "" {
		r.ID = models.NewID()
	}
	if last := b.Last(); last != nil {
		r.Number = last.Number + 1
	}
	for _, d := range s.Decisions {
		if d.Kind == models.LookAgainDecision {
			r.LookAgainOn = d.Until
		}
	}
	left := len(s.Close)
	for i, f := range b.Open() {
		reason, closes := s.Close[f.ID]
		if !closes {
			continue
		}
		if reason == "" || !s.MayClose(f) {
			return models.Review{}, nil, fmt.Errorf("closing flag %s: %w", f.ID, models.ErrInvalid)
		}
		r.Saw.Flags[i].Closed, r.Saw.Flags[i].Reason, left = true, reason, left-1
	}
	if left > 0 {
		return models.Review{}, nil, fmt.Errorf("closing a flag that is not open on this limb: %w", models.ErrInvalid)
	}
	limits := s.Limits
	if limits != nil {
		set := *limits
		set.LimbID, set.SetBy, set.SetOn, set.ReviewID, set.AnswerID = s.LimbID, s.By.Name, s.On, &r.ID, nil
		limits = &set
	}
	r.ContentHash = ContentHash(r, limits)
	return r, limits, nil
}

// settle notes the review with every flag that lay there, closes those that it
// closes, and takes the reports for seen.
func (s Signing) settle(ctx context.Context, tx *models.Store, b ReviewBasis, r models.Review) error {
	for _, f := range b.Open() {
		step := models.FlagStep{FlagID: f.ID, Kind: models.StepReviewed, MadeBy: s.By.ID, ReviewID: &r.ID}
		if err := tx.AddFlagStep(ctx, &step, f.Version); err != nil {
			return err
		}
		reason, closes := s.Close[f.ID]
		if !closes {
			continue
		}
		if err := tx.CloseFlag(ctx, f.ID, f.Version, models.Closing{By: s.By.ID, Reason: reason, ReviewID: &r.ID}); err != nil {
			return err
		}
	}
	for _, report := range b.Reports {
		if report.SeenAt != nil {
			continue
		}
		if err := tx.SeeReport(ctx, report.ID, s.By.ID); err != nil {
			return err
		}
	}
	return nil
}

// Contradictory tells whether decisions can't stand together: no change beside
// one that changes something now.
func Contradictory(decisions []models.Decision) bool {
	none, some := false, false
	for _, d := range decisions {
		switch d.Kind {
		case models.NoChangeDecided:
			none = true
		case models.Adjust, models.DoNotWear, models.CoverOff:
			some = true
		}
	}
	return none && some
}
