package models_test

import (
	"fmt"
	"reflect"
	"testing"

	"fairlead/models"
	"fairlead/models/modelstest"
)

func TestClientWithPeopleAround(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		fitter, deputy := person(t, s, "ada"), person(t, s, "zoe")
		c := models.Client{
			Code: " K-014 ", Name: "Ödön Ärmel", StillGrowing: true, DeputyID: &deputy.ID, ClinicPhone: "0301",
			Contacts: []models.Contact{{Name: "Mother", Relation: "mother", Phone: "0302"}, {Name: "Clinic"}},
			CareTeam: []models.Person{{ID: fitter.ID}},
		}
		must(t, s.CreateClient(ctx, &c))
		got, err := s.ClientByID(ctx, c.ID)
		must(t, err)
		c.CareTeam = []models.Person{fitter}
		if !reflect.DeepEqual(got, c) {
			t.Errorf("stored\n%+v\nread\n%+v", c, got)
		}
		byCode, err := s.ClientByCode(ctx, "K-014")
		must(t, err)
		if byCode.ID != c.ID || len(byCode.Contacts) != 2 {
			t.Errorf("by code: got %+v", byCode)
		}
		_, err = s.ClientByID(ctx, models.NewID())
		wantErr(t, err, models.ErrNotFound)
		_, err = s.ClientByCode(ctx, "K-999")
		wantErr(t, err, models.ErrNotFound)
		wantErr(t, s.CreateClient(ctx, &models.Client{Code: "K-014", Name: "Other"}), models.ErrConflict)
		nobody := models.Client{Code: "K-015", Name: "Other", CareTeam: []models.Person{{ID: "nobody"}}}
		wantErr(t, s.CreateClient(ctx, &nobody), models.ErrInUse)
		if _, err := s.ClientByCode(ctx, "K-015"); err == nil {
			t.Error("a client whose care team was refused is there all the same")
		}
	})
}

func TestUpdateClientReplacesPeopleAndKeepsTheRest(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		c, err := s.ClientByID(ctx, b.client.ID)
		must(t, err)
		stale := c
		b.record(t, s, at(0)) // sets the next date after the form was read
		c.Name, c.ReducedFeeling, c.ConsentRecord = "New Name", true, false
		c.Contacts = []models.Contact{{Name: "Sister"}}
		c.CareTeam = []models.Person{b.fitter}
		must(t, s.UpdateClient(ctx, &c))
		got, err := s.ClientByID(ctx, c.ID)
		must(t, err)
		if got.Name != "New Name" || got.NameKey != "new name" || !got.ReducedFeeling || got.ConsentRecord || got.Version != 2 {
			t.Errorf("got %+v", got)
		}
		if got.NextCheckinOn != "2026-06-01" {
			t.Errorf("next date is %q, want the one of the check-in", got.NextCheckinOn)
		}
		if len(got.Contacts) != 1 || got.Contacts[0].Name != "Sister" || len(got.CareTeam) != 1 {
			t.Errorf("got contacts %+v and care team %+v", got.Contacts, got.CareTeam)
		}
		stale.CareTeam = nil
		wantErr(t, s.UpdateClient(ctx, &stale), models.ErrStale)
		if got, err := s.ClientByID(ctx, c.ID); err != nil || len(got.CareTeam) != 1 {
			t.Errorf("a refused update left care team %+v, %v", got.CareTeam, err)
		}
	})
}

func TestArchiveClient(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		c := b.client
		must(t, s.ArchiveClient(ctx, c.ID, c.Version, "moved away"))
		wantErr(t, s.ArchiveClient(ctx, c.ID, c.Version, "twice"), models.ErrStale)
		wantErr(t, s.ArchiveClient(ctx, "nobody", 1, "why"), models.ErrNotFound)
		visit := b.visit(at(0))
		wantErr(t, s.CreateCheckin(ctx, &visit), models.ErrArchived)
		got, err := s.ClientByID(ctx, c.ID)
		must(t, err)
		if got.ArchivedAt == nil || got.ArchivedWhy != "moved away" {
			t.Errorf("got %+v, want archived", got)
		}
		for name, f := range map[string]models.ClientFilter{"all": {}, "by part of name": {Query: "k-001"}} {
			if list, _, err := s.Clients(ctx, f); err != nil || len(list) != 0 {
				t.Errorf("%s: the list holds %d clients, %v; want none", name, len(list), err)
			}
		}
		if list, _, err := s.Clients(ctx, models.ClientFilter{IncludeArchived: true}); err != nil || len(list) != 1 {
			t.Errorf("the whole list holds %d clients, %v; want 1", len(list), err)
		}
		must(t, s.UnarchiveClient(ctx, c.ID, got.Version))
		must(t, s.CreateCheckin(ctx, &visit))
	})
}

func TestClientsSearch(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		fitter := person(t, s, "ada")
		mine := models.Client{Code: "K-001", Name: "Zita ÖZ", CareTeam: []models.Person{fitter}}
		must(t, s.CreateClient(ctx, &mine))
		client(t, s, "K-002", "anna 100%")
		client(t, s, "K-003", "Berta_B")
		tests := []struct {
			name   string
			filter models.ClientFilter
			want   []string
		}{
			{"all, by name in any case", models.ClientFilter{}, []string{"K-002", "K-003", "K-001"}},
			{"part of a name, letters beyond ASCII", models.ClientFilter{Query: "öz"}, []string{"K-001"}},
			{"part of a code", models.ClientFilter{Query: "k-00"}, []string{"K-002", "K-003", "K-001"}},
			{"percent sign is itself", models.ClientFilter{Query: "%"}, []string{"K-002"}},
			{"underscore is itself", models.ClientFilter{Query: "_"}, []string{"K-003"}},
			{"backslash is itself", models.ClientFilter{Query: `\`}, nil},
			{"care team", models.ClientFilter{CareTeamOf: &fitter.ID}, []string{"K-001"}},
			{"care team and query", models.ClientFilter{CareTeamOf: &fitter.ID, Query: "k-002"}, nil},
		}
		for _, tt := range tests {
			list, next, err := s.Clients(ctx, tt.filter)
			var got []string
			for _, c := range list {
				got = append(got, c.Code)
			}
			if err != nil || next != "" || !reflect.DeepEqual(got, tt.want) {
				t.Errorf("%s: got %v, next %q, %v; want %v", tt.name, got, next, err, tt.want)
			}
		}
	})
}

func TestClientsInPages(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		const all = 500
		for i := range all {
			client(t, s, numbered("K", i), fmt.Sprintf("Client %d", i%7)) // many of the same name
		}
		seen := map[string]bool{}
		pages, key := 0, ""
		for {
			list, next, err := s.Clients(ctx, models.ClientFilter{AfterKey: key, Limit: 64})
			must(t, err)
			pages++
			for _, c := range list {
				if seen[c.ID] {
					t.Fatalf("client %s comes twice", c.Code)
				}
				seen[c.ID] = true
			}
			if key = next; key == "" {
				break
			}
		}
		if len(seen) != all || pages != 8 {
			t.Errorf("got %d clients in %d pages, want %d in 8", len(seen), pages, all)
		}
		if list, next, err := s.Clients(ctx, models.ClientFilter{Limit: all}); err != nil || len(list) != all || next != "" {
			t.Errorf("one page: got %d clients, next %q, %v", len(list), next, err)
		}
		for _, key := range []string{"*", "bm90", "WyJhIl0"} { // not base64, not JSON, one part only
			_, _, err := s.Clients(ctx, models.ClientFilter{AfterKey: key})
			wantErr(t, err, models.ErrInvalid)
		}
		if code, err := s.NextClientCode(ctx); err != nil || code != "K-500" {
			t.Errorf("next code %q, %v; want K-500", code, err)
		}
	})
}

func TestNextClientCode(t *testing.T) {
	s := modelstest.SQLite(t)
	for _, tt := range []struct{ add, want string }{
		{"", "K-001"}, {"K-009", "K-010"}, {"K-x", "K-010"}, {"other", "K-010"}, {"K-1200", "K-1201"}, {"K-004", "K-1201"},
	} {
		if tt.add != "" {
			client(t, s, tt.add, "Client")
		}
		if got, err := s.NextClientCode(ctx); err != nil || got != tt.want {
			t.Errorf("after %q: got %q, %v; want %q", tt.add, got, err, tt.want)
		}
	}
}
