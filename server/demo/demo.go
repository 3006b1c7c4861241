package demo

import (
	"context"
	"fmt"
	"time"

	"fairlead/analytics/quantity"
	"fairlead/models"
)

// Name is the name of the invented workshop.
const Name = "Workshop of the Invented Shore"

// zone is where the workshop stands.
const zone = "Europe/Berlin"

// SignIn is a person of the workshop who can sign in; Password is the
// demonstration's own.
type SignIn struct {
	Who, SignIn, Password string
	models.Role
}

// SignIns are the people whose passwords are shown openly.
var SignIns = []SignIn{
	{"Fitter", "fitter", "sail needle and beeswax", models.Fitter},
	{"Prosthetist", "prosthetist", "lantern over slack water", models.Prosthetist},
	{"Owner", "owner", "keys on the third hook", models.Owner},
}

// LinkClient is the code of the client whose private link is shown openly.
const LinkClient = "K-006"

// Clock is the time of a record that is being invented: the store reads it, so
// that everything carries the time at which it would have been entered.
type Clock struct{ now time.Time }

// Now returns the time that was set last.
func (c *Clock) Now() time.Time { return c.now }

// Set sets the time.
func (c *Clock) Set(t time.Time) { c.now = t }

// Fill writes the workshop into an empty store, whole or not at all, as if the
// people in it had typed it over the two years before today. The store must
// read its time from clock, which is left at today. hash makes the stored form
// of a password.
func Fill(ctx context.Context, store *models.Store, clock *Clock, today time.Time, hash func(string) (string, error)) error {
	place, err := time.LoadLocation(zone)
	if err != nil {
		return fmt.Errorf("zone of the invented workshop: %w", err)
	}
	defer clock.Set(today)
	return store.InTx(ctx, func(tx *models.Store) error {
		t := teller{store: tx, clock: clock, today: today.In(place), zone: place}
		t.clock.Set(t.day(730))
		w := models.Workshop{
			ID: models.WorkshopID, Name: Name, Zone: zone, Invented: true, Phone: phone(900), EmergencyPhone: "112",
			Address:        "Invented lane 1\n00000 Nowhere (invented)",
			ReadsReportsAt: "08:00", ReadsReportsOn: []string{"monday", "tuesday", "wednesday", "thursday", "friday"},
		}
		if err := tx.SaveWorkshop(ctx, &w); err != nil {
			return err
		}
		if err := t.hire(ctx, hash); err != nil {
			return err
		}
		for i := range stories {
			if err := t.tell(ctx, i+1, stories[i]); err != nil {
				return fmt.Errorf("invented client %s: %w", stories[i].name, err)
			}
		}
		return t.study(ctx)
	})
}

// teller writes stories into the store.
type teller struct {
	store       *models.Store
	clock       *Clock
	today       time.Time // in the workshop's zone
	zone        *time.Location
	fitter      models.Person
	prosthetist models.Person
	partner     models.Person // the second fitter, of a partner clinic, who reads inches
}

// day returns noon of the day so many days ago, or of the Friday before where
// that is a weekend.
func (t *teller) day(ago int) time.Time {
	y, m, d := t.today.Date()
	noon := time.Date(y, m, d-ago, 12, 0, 0, 0, t.zone)
	switch noon.Weekday() {
	case time.Saturday:
		return noon.AddDate(0, 0, -1)
	case time.Sunday:
		return noon.AddDate(0, 0, -2)
	}
	return noon
}

// hire makes the people of the workshop.
func (t *teller) hire(ctx context.Context, hash func(string) (string, error)) error {
	for _, s := range SignIns {
		phc, err := hash(s.Password)
		if err != nil {
			return err
		}
		now := t.clock.Now()
		p := models.Person{
			PasswordChosenAt: &now, Name: "Invented " + string(s.Role), SignIn: s.SignIn, PasswordHash: phc, LengthUnit: quantity.Centimetre,
			IsFitter: s.Role == models.Fitter, IsProsthetist: s.Role == models.Prosthetist, IsOwner: s.Role == models.Owner,
		}
		if !p.IsOwner {
			p.PasswordLinkBy = "Invented " + string(models.Owner)
		}
		if err := t.store.CreatePerson(ctx, &p); err != nil {
			return err
		}
		switch s.Role {
		case models.Fitter:
			t.fitter = p
		case models.Prosthetist:
			t.prosthetist = p
		}
	}
	t.partner = models.Person{Name: "Invented partner clinic", SignIn: "partner", IsFitter: true, LengthUnit: quantity.Inch}
	return t.store.CreatePerson(ctx, &t.partner)
}
