package models_test

import (
	"slices"
	"testing"

	"fairlead/models"
	"fairlead/models/modelstest"
)

// TestCareTeamChangesAreTold whenever a client is written, with who wrote it.
func TestCareTeamChangesAreTold(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		kit, wren := person(t, s, "kit"), models.Person{Name: "Wren", SignIn: "wren", IsProsthetist: true}
		must(t, s.CreatePerson(ctx, &wren))
		c := models.Client{Code: "K-001", Name: "Rowan", CareTeam: []models.Person{kit}, ChangedBy: kit.ID}
		must(t, s.CreateClient(ctx, &c))
		save := func(deputy *string, team ...models.Person) {
			t.Helper()
			c.CareTeam, c.DeputyID, c.ChangedBy = team, deputy, wren.ID
			must(t, s.UpdateClient(ctx, &c))
		}
		save(nil, kit, wren)
		save(nil, kit, wren) // nothing
		save(&wren.ID, kit)
		save(&kit.ID, kit)
		stale := c
		stale.Version, stale.CareTeam = 1, nil
		wantErr(t, s.UpdateClient(ctx, &stale), models.ErrStale)

		got, err := s.CareTeamChangesOf(ctx, c.ID)
		must(t, err)
		slices.Reverse(got)
		type told struct {
			of     string
			change models.TeamChange
			signs  bool
			by     string
		}
		var all []told
		for _, x := range got {
			all = append(all, told{x.PersonID, x.Change, x.Prosthetist, x.MadeBy})
		}
		want := []told{
			{kit.ID, models.OntoTeam, false, kit.ID}, {wren.ID, models.OntoTeam, true, wren.ID}, {wren.ID, models.OffTeam, true, wren.ID},
			{wren.ID, models.MadeDeputy, true, wren.ID}, {wren.ID, models.NoDeputy, true, wren.ID}, {kit.ID, models.MadeDeputy, false, wren.ID},
		}
		if !slices.Equal(all, want) {
			t.Errorf("got %v, want %v", all, want)
		}
	})
}
