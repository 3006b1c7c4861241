package models_test

import (
	"testing"
	"time"

	"fairlead/models"
	"fairlead/models/modelstest"
)

func TestTidy(t *testing.T) {
	now := at(0)
	s := modelstest.SQLiteAt(t, func() time.Time { return now })
	ada, zoe := person(t, s, "ada"), person(t, s, "zoe")
	must(t, s.Sessions().Commit("short", []byte("x"), at(1)))
	must(t, s.Sessions().Commit("long", []byte("x"), at(24*30)))
	must(t, s.CreateOneTimeLink(ctx, &models.OneTimeLink{TokenHash: "used", PersonID: ada.ID, ExpiresAt: at(24 * 30)}))
	_, err := s.UseOneTimeLink(ctx, "used")
	must(t, err)
	must(t, s.CreateOneTimeLink(ctx, &models.OneTimeLink{TokenHash: "expired", PersonID: ada.ID, ExpiresAt: at(1)}))
	must(t, s.CreateOneTimeLink(ctx, &models.OneTimeLink{TokenHash: "works", PersonID: zoe.ID, ExpiresAt: at(24 * 30)}))
	begin(t, s, slowed("ada"))
	b := bench(t, s, "K-001")
	b.ready(t, s)
	b.linked(t, s, "token")
	sent(t, s, "token")
	started(t, s, "token")

	steps := []struct {
		name string
		now  time.Time
		want models.Tidied
	}{
		{"at once", at(0), models.Tidied{}},
		{"when a session has expired", at(1), models.Tidied{Sessions: 1}},
		{"a day after a failure", at(24), models.Tidied{}},
		{"more than that", at(25), models.Tidied{SignInFailures: 1}},
		{"a week after a link was used", at(7 * 24), models.Tidied{}},
		{"more than that, and after a report was left", at(7*24 + 1), models.Tidied{Links: 1, ReportDrafts: 1}},
		{"a week after another expired", at(7*24 + 2), models.Tidied{Links: 1}},
		{"again", at(7*24 + 2), models.Tidied{}},
	}
	for _, step := range steps {
		now = step.now
		if got, err := s.Tidy(ctx); err != nil || got != step.want {
			t.Errorf("%s: removed %+v, %v; want %+v", step.name, got, err, step.want)
		}
	}
	if _, found, err := s.Sessions().Find("long"); err != nil || !found {
		t.Errorf("the session that goes on is gone, %v", err)
	}
	if _, err := s.UseOneTimeLink(ctx, "works"); err != nil {
		t.Errorf("the link that works is gone: %v", err)
	}
}

func TestTidyOnBoth(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		must(t, s.Sessions().Commit("gone", []byte("x"), at(0)))
		must(t, s.CreateOneTimeLink(ctx, &models.OneTimeLink{TokenHash: "gone", PersonID: person(t, s, "ada").ID, ExpiresAt: at(-24 * 8)}))
		begin(t, s, slowed("ada"))
		b := bench(t, s, "K-001")
		b.ready(t, s)
		b.linked(t, s, "token")
		started(t, s, "token")
		if got, err := s.Tidy(ctx); err != nil || got != (models.Tidied{Sessions: 1, Links: 1}) {
			t.Errorf("removed %+v, %v; want one session and one link", got, err)
		}
	})
}
