package demo

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"time"

	"fairlead/analytics/assess"
	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/followup"
)

// tell writes one client: the record first, then everything that happens, in
// the order of time.
func (t *teller) tell(ctx context.Context, number int, s story) error {
	began := 60
	if len(s.visits) > 0 {
		began = s.visits[0] + 10
	}
	t.clock.Set(t.day(began))
	client := t.client(number, s)
	client.ChangedBy = t.fitter.ID
	if err := t.store.CreateClient(ctx, &client); err != nil {
		return err
	}
	limbs := make([]*worn, len(s.limbs))
	for i, l := range s.limbs {
		w, err := t.limb(ctx, client, number, i, l, s)
		if err != nil {
			return err
		}
		limbs[i] = w
	}
	for _, step := range steps(s) {
		if err := step.do(ctx, t, client, s, limbs); err != nil {
			return fmt.Errorf("%d days ago: %w", step.ago, err)
		}
	}
	if s.archive != "" {
		now, err := t.store.ClientByID(ctx, client.ID)
		if err != nil {
			return err
		}
		return t.store.ArchiveClient(ctx, now.ID, now.Version, s.archive)
	}
	if s.draft {
		t.clock.Set(t.today.Add(-20 * time.Minute))
		return t.store.CreateDraft(ctx, &models.Draft{ClientID: client.ID, PersonID: t.fitter.ID, Fields: map[string]string{
			"kind": string(models.FollowUp), "date": t.clock.Now().Format(time.DateOnly), "time": t.clock.Now().Format("15:04"),
			"measured_by": t.fitter.ID,
		}})
	}
	return nil
}

// step is something that happens on a day.
type step struct {
	ago int
	do  func(context.Context, *teller, models.Client, story, []*worn) error
}

// steps puts the events and check-ins of a story, and what is done afterwards,
// in the order of time; an event on the day of a check-in comes before it.
func steps(s story) []step {
	var all []step
	for _, e := range s.events {
		all = append(all, step{e.ago, func(ctx context.Context, t *teller, _ models.Client, _ story, limbs []*worn) error {
			return t.happen(ctx, e, limbs)
		}})
	}
	for i, ago := range s.visits {
		all = append(all, step{ago, func(ctx context.Context, t *teller, c models.Client, s story, limbs []*worn) error {
			if err := t.visit(ctx, c, s, i, limbs); err != nil {
				return err
			}
			if i >= len(s.visits)-s.open {
				return nil
			}
			return t.answer(ctx, c, s, ago)
		}})
	}
	for _, later := range s.afterwards {
		all = append(all, step{later.ago, func(ctx context.Context, t *teller, c models.Client, _ story, limbs []*worn) error {
			t.clock.Set(t.day(later.ago).Add(time.Duration(later.hours) * time.Hour))
			return later.do(ctx, t, c, limbs)
		}})
	}
	slices.SortStableFunc(all, func(a, b step) int { return cmp.Compare(b.ago, a.ago) })
	return all
}

// client is the client of a story.
func (t *teller) client(number int, s story) models.Client {
	c := models.Client{
		Code: fmt.Sprintf("K-%03d", number), Name: s.name, Phone: phone(number), Language: "en",
		StillGrowing: s.growing, ReducedFeeling: s.numb, ConsentRecord: true, ConsentContact: number%5 != 0,
		ClinicPhone: phone(900), OutOfHoursPhone: phone(901), EmergencyPhone: "112",
	}
	if !s.outside {
		c.CareTeam = []models.Person{t.prosthetist}
	}
	if s.growing {
		c.Guardian = "Fern, R. (parent)"
		c.Contacts = []models.Contact{{Name: "Fern, R.", Relation: "parent", Phone: phone(number + 100)}}
	}
	if s.numb {
		c.Conditions = "Diabetes; feels little below the knee."
	}
	return c
}

// phone is a number that the German numbering plan keeps for fiction, Berlin
// 23125 000 to 999.
func phone(n int) string { return fmt.Sprintf("030 23125 %03d", n%1000) }

// happen records an event on every limb and what it changes.
func (t *teller) happen(ctx context.Context, e event, limbs []*worn) error {
	t.clock.Set(t.day(e.ago).Add(-3 * time.Hour))
	for _, w := range limbs {
		record := models.Event{
			LimbID: w.limb.ID, Kind: e.kind, On: t.dateOf(e.ago), What: e.what,
			DoneBy: t.prosthetist.Name, ToldBy: "client", RecordedBy: t.fitter.ID,
		}
		if err := t.store.AddEvent(ctx, &record); err != nil {
			return err
		}
		if err := e.change(ctx, t, w, e.ago); err != nil {
			return err
		}
	}
	return nil
}

// dateOf is the calendar date of a day.
func (t *teller) dateOf(ago int) quantity.Date { return quantity.DateOf(t.day(ago)) }

// answer closes, two days after a check-in, every flag of a client that stands
// open: each by the one who may.
func (t *teller) answer(ctx context.Context, c models.Client, s story, ago int) error {
	flags, err := t.store.FlagsOf(ctx, c.ID)
	if err != nil {
		return err
	}
	t.clock.Set(t.day(ago).AddDate(0, 0, 2))
	reviewed := map[string]bool{}
	for _, f := range flags {
		switch {
		case f.ClosedAt != nil:
		case !prosthetists(f):
			closing := models.Closing{By: t.fitter.ID, Reason: "Looked at with the client; nothing to be done to the cover today."}
			if f.About == "data" {
				closing.Reason = "Measured again next time under the same conditions."
			}
			if err := t.store.CloseFlag(ctx, f.ID, f.Version, closing); err != nil {
				return fmt.Errorf("flag %s: %w", f.Rule, err)
			}
		case !s.outside: // or only a written answer closes it
			reviewed[f.LimbID] = true
		}
	}
	for _, f := range flags {
		if reviewed[f.LimbID] {
			delete(reviewed, f.LimbID)
			if err := t.review(ctx, c.ID, f.LimbID); err != nil {
				return err
			}
		}
	}
	return nil
}

// prosthetists tells whether a flag closes by the prosthetist's signature.
func prosthetists(f models.Flag) bool { return assess.About(f.About).ClosedBy() == assess.Prosthetist }

// review signs a review of a limb that changes nothing and closes every flag
// about limb and skin.
func (t *teller) review(ctx context.Context, clientID, limbID string) error {
	basis, err := followup.LoadReview(ctx, t.store, clientID, limbID)
	if err != nil {
		return err
	}
	_, err = followup.SignReview(ctx, t.store, t.clock.Now(), t.signing(basis, "Seen with the client. Carry on, measure again next time."))
	return err
}

// signing is what the prosthetist signs today: no change, and every flag that is
// theirs closed for the reason that is noted.
func (t *teller) signing(basis followup.ReviewBasis, note string) followup.Signing {
	s := followup.Signing{
		ClientID: basis.Record.Client.ID, LimbID: basis.Limb.Limb.ID, By: t.prosthetist, On: quantity.DateOf(t.clock.Now().In(t.zone)),
		Shown: basis.Shown(), Decisions: []models.Decision{{Kind: models.NoChangeDecided}}, Note: note, Close: map[string]string{}, MayClose: prosthetists,
	}
	for _, f := range basis.Open() {
		if prosthetists(f) {
			s.Close[f.ID] = note
		}
	}
	return s
}
