package models_test

import (
	"reflect"
	"testing"

	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/models/modelstest"
)

func TestPeople(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		if n, err := s.CountPeople(ctx); err != nil || n != 0 {
			t.Fatalf("got %d people, %v; want none", n, err)
		}
		p := models.Person{Name: "Ada Fitter", SignIn: " Ada ", IsOwner: true, DecimalComma: true}
		must(t, s.CreatePerson(ctx, &p))
		if p.ID == "" || p.SignIn != "ada" || p.Version != 1 || p.LengthUnit != quantity.Centimetre {
			t.Errorf("got %+v; want an id, sign-in name ada, version 1, centimetres", p)
		}
		byID, err := s.PersonByID(ctx, p.ID)
		must(t, err)
		byName, err := s.PersonBySignIn(ctx, "ADA")
		must(t, err)
		if !reflect.DeepEqual(byID, p) || !reflect.DeepEqual(byName, p) {
			t.Errorf("stored\n%+v\nread\n%+v\n%+v", p, byID, byName)
		}
		person(t, s, "zoe")
		people, err := s.People(ctx)
		must(t, err)
		if len(people) != 2 || people[0].ID != p.ID {
			t.Errorf("got %d people, want ada then zoe", len(people))
		}
		_, err = s.PersonByID(ctx, models.NewID())
		wantErr(t, err, models.ErrNotFound)
		_, err = s.PersonBySignIn(ctx, "nobody")
		wantErr(t, err, models.ErrNotFound)
		wantErr(t, s.CreatePerson(ctx, &models.Person{Name: "Other", SignIn: "ADA"}), models.ErrConflict)
		wantErr(t, s.CreatePerson(ctx, &models.Person{Name: "Other", SignIn: ""}), models.ErrInvalid)
	})
}

func TestUpdatePersonUnderVersion(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		p := person(t, s, "ada")
		other := person(t, s, "zoe")
		stale := p
		p.IsFitter, p.IsProsthetist, p.DisabledAt, p.SessionEpoch = false, true, pointer(at(1)), 1
		must(t, s.UpdatePerson(ctx, &p))
		got, err := s.PersonByID(ctx, p.ID)
		must(t, err)
		if got.IsFitter || !got.IsProsthetist || got.Version != 2 || got.DisabledAt == nil || got.SessionEpoch != 1 {
			t.Errorf("got %+v; want a disabled prosthetist at version 2, session epoch 1", got)
		}
		stale.Name = "Late"
		wantErr(t, s.UpdatePerson(ctx, &stale), models.ErrStale)
		if stale.Version != 1 {
			t.Errorf("a refused update raised the version to %d", stale.Version)
		}
		unknown := models.Person{ID: models.NewID(), Name: "No one", SignIn: "none", LengthUnit: quantity.Inch, Version: 1}
		wantErr(t, s.UpdatePerson(ctx, &unknown), models.ErrNotFound)
		other.SignIn = "ada"
		wantErr(t, s.UpdatePerson(ctx, &other), models.ErrConflict)
	})
}

func TestWorkshop(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		_, err := s.Workshop(ctx)
		wantErr(t, err, models.ErrNotFound)
		w := models.Workshop{Name: "Invented workshop", Zone: "Europe/Berlin", Invented: true}
		must(t, s.SaveWorkshop(ctx, &w))
		wantErr(t, s.SaveWorkshop(ctx, &models.Workshop{Name: "Second", Zone: "UTC"}), models.ErrConflict)
		stale := w
		w.Zone, w.Invented = "Europe/Lisbon", false
		must(t, s.SaveWorkshop(ctx, &w))
		wantErr(t, s.SaveWorkshop(ctx, &stale), models.ErrStale)
		got, err := s.Workshop(ctx)
		must(t, err)
		if !reflect.DeepEqual(got, w) || got.Zone != "Europe/Lisbon" || got.Invented || got.Version != 2 {
			t.Errorf("got %+v, want %+v", got, w)
		}
	})
}

func TestOneTimeLinkUsedByManyAtOnce(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		p := person(t, s, "ada")
		zoe := person(t, s, "zoe")
		must(t, s.CreateOneTimeLink(ctx, &models.OneTimeLink{TokenHash: "good", PersonID: p.ID, ExpiresAt: at(1)}))
		must(t, s.CreateOneTimeLink(ctx, &models.OneTimeLink{TokenHash: "old", PersonID: zoe.ID, ExpiresAt: at(0)}))
		wantErr(t, s.CreateOneTimeLink(ctx, &models.OneTimeLink{TokenHash: "no one's", PersonID: "nobody", ExpiresAt: at(1)}), models.ErrNotFound)
		_, err := s.UseOneTimeLink(ctx, "old")
		wantErr(t, err, models.ErrNotFound)
		_, err = s.UseOneTimeLink(ctx, "unknown")
		wantErr(t, err, models.ErrNotFound)

		const callers = 8
		results := make(chan error, callers)
		for range callers {
			go func() {
				got, err := s.UseOneTimeLink(ctx, "good")
				if err == nil && got.ID != p.ID {
					t.Errorf("the link named person %q, want %q", got.ID, p.ID)
				}
				results <- err
			}()
		}
		used := 0
		for range callers {
			if err := <-results; err == nil {
				used++
			} else {
				wantErr(t, err, models.ErrNotFound)
			}
		}
		if used != 1 {
			t.Errorf("the link worked %d times, want once", used)
		}
		link, err := s.OneTimeLinkByHash(ctx, "good")
		must(t, err)
		if link.UsedAt == nil || !link.UsedAt.Equal(at(0)) || !link.ExpiresAt.Equal(at(1)) {
			t.Errorf("got %+v, want used at %v", link, at(0))
		}
		_, err = s.OneTimeLinkByHash(ctx, "unknown")
		wantErr(t, err, models.ErrNotFound)
	})
}

// A person has one link that works: the newest, until any is used.
func TestNewestLinkEndsTheOthers(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		ada, zoe := person(t, s, "ada"), person(t, s, "zoe")
		must(t, s.CreateOneTimeLink(ctx, &models.OneTimeLink{TokenHash: "zoe's", PersonID: zoe.ID, ExpiresAt: at(1)}))
		for _, token := range []string{"first", "second"} {
			must(t, s.CreateOneTimeLink(ctx, &models.OneTimeLink{TokenHash: token, PersonID: ada.ID, ExpiresAt: at(1)}))
		}
		_, err := s.UseOneTimeLink(ctx, "first")
		wantErr(t, err, models.ErrNotFound)
		_, err = s.UseOneTimeLink(ctx, "second")
		must(t, err)
		_, err = s.UseOneTimeLink(ctx, "zoe's")
		must(t, err)
	})
}

func TestSessions(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		sessions := s.Sessions()
		must(t, sessions.Commit("a", []byte{0, 1, 255}, at(1)))
		must(t, sessions.Commit("a", []byte("new"), at(2)))
		must(t, sessions.Commit("gone", []byte("x"), at(0)))
		data, found, err := sessions.Find("a")
		if err != nil || !found || string(data) != "new" {
			t.Errorf("got %q, %v, %v; want the newest data", data, found, err)
		}
		for _, token := range []string{"gone", "unknown"} {
			if data, found, err := sessions.Find(token); err != nil || found || data != nil {
				t.Errorf("%s: got %q, %v, %v; want nothing and no error", token, data, found, err)
			}
		}
		must(t, sessions.Delete("a"))
		must(t, sessions.Delete("a"))
		if _, found, err := sessions.Find("a"); found || err != nil {
			t.Errorf("got %v, %v for a deleted session", found, err)
		}
	})
}
