package demo

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"time"

	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/followup"
)

// afterwards is something that somebody does between check-ins: the client
// reports, the prosthetist signs.
type afterwards struct {
	ago   int
	hours int // after the noon of that day; below zero before it
	do    func(context.Context, *teller, models.Client, []*worn) error
}

// reports is a report that the client sends by a private link, with everything
// that follows from it; read tells that the fitter has read it.
func reports(ago, hours int, read bool, said models.Said) afterwards {
	return afterwards{ago, hours, func(ctx context.Context, t *teller, c models.Client, limbs []*worn) error {
		draft, err := t.begun(ctx, c)
		if err != nil {
			return err
		}
		var lost error
		report, err := followup.ReceiveReport(ctx, t.store, t.clock.Now(), models.Report{DraftID: draft.ID, LimbID: &limbs[0].limb.ID, Said: said}, func(err error) { lost = err })
		if err = errors.Join(err, lost); err != nil || !read {
			return err
		}
		t.clock.Set(t.clock.Now().Add(3 * time.Hour))
		return t.store.SeeReport(ctx, report.ID, t.fitter.ID)
	}}
}

// begun is a report that the client has begun by a link of their own. Nobody
// holds the token: these links are told, not handed out.
func (t *teller) begun(ctx context.Context, c models.Client) (models.ReportDraft, error) {
	link := models.ReportLink{
		TokenHash: nobodys(), ClientID: c.ID, MadeBy: t.fitter.ID, MadeAt: t.clock.Now(),
		ExpiresAt: t.clock.Now().AddDate(0, 0, 30), MostReports: 10,
	}
	if err := t.store.CreateReportLink(ctx, &link); err != nil {
		return models.ReportDraft{}, err
	}
	return t.store.BeginReport(ctx, models.ReportStart{TokenHash: link.TokenHash, KeyHash: nobodys(), AddressHash: nobodys()})
}

// nobodys is the hash of something that nobody knows.
func nobodys() string {
	sum := sha256.Sum256([]byte(models.NewID()))
	return hex.EncodeToString(sum[:])
}

// handsOver is a letter about every open flag of the first limb to a prosthetist
// who does not sign in, to be asked about after so many days.
func handsOver(ago int, toWhom string, askAfterDays int, note string) afterwards {
	return afterwards{ago, 3, func(ctx context.Context, t *teller, c models.Client, limbs []*worn) error {
		flags, err := t.store.FlagsOf(ctx, c.ID)
		if err != nil {
			return err
		}
		on := t.clock.Now().In(t.zone)
		h := models.Handover{
			ClientID: c.ID, LimbID: limbs[0].limb.ID, ToWhom: toWhom, Means: models.ByLetter, HandedOn: quantity.DateOf(on),
			AskAgainOn: quantity.DateOf(on.AddDate(0, 0, askAfterDays)), Note: note, RecordedBy: t.fitter.ID,
		}
		for _, f := range flags {
			if f.ClosedAt == nil && f.LimbID == h.LimbID && prosthetists(f) {
				h.FlagIDs = append(h.FlagIDs, f.ID)
			}
		}
		return followup.HandOver(ctx, t.store, &h)
	}}
}

// setsLimits is a review that sets other limits for the first limb and says why.
func setsLimits(ago int, limits models.LimbLimits, lookAgainInDays int, note string) afterwards {
	return afterwards{ago, 4, func(ctx context.Context, t *teller, c models.Client, limbs []*worn) error {
		basis, err := followup.LoadReview(ctx, t.store, c.ID, limbs[0].limb.ID)
		if err != nil {
			return err
		}
		signing := t.signing(basis, note)
		signing.Limits = &limits
		signing.Decisions = []models.Decision{
			{Kind: models.LookAgainDecision, Until: quantity.DateOf(t.clock.Now().AddDate(0, 0, lookAgainInDays))},
			{Kind: models.LimitsConfirmed},
		}
		_, err = followup.SignReview(ctx, t.store, t.clock.Now(), signing)
		return err
	}}
}
