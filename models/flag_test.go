package models_test

import (
	"encoding/json"
	"testing"

	"fairlead/models"
	"fairlead/models/modelstest"
)

// flagOn is a flag of the workbench that has not been raised.
func (b workbench) flagOn(rule, place, level string) models.Flag {
	return models.Flag{ClientID: b.client.ID, LimbID: b.limb.ID, Rule: rule, Place: place, About: "cover", Level: level}
}

// evidence is a finding of a check-in.
func evidence(c models.Checkin, level, finding string) models.FlagEvidence {
	return models.FlagEvidence{CheckinID: &c.ID, RuleVersion: 1, Level: level, Finding: json.RawMessage(finding)}
}

func TestOneOpenFlagPerRuleAndPlace(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		c := b.record(t, s, at(0))
		first, err := s.RaiseFlag(ctx, b.flagOn("clearance-below", "front", "watch"), evidence(c, "watch", `{"gap_mm":1.4}`))
		must(t, err)
		for _, step := range []struct{ level, want string }{{"soon", "soon"}, {"watch", "soon"}, {"now", "now"}} {
			got, err := s.RaiseFlag(ctx, b.flagOn("clearance-below", "front", step.level), evidence(c, step.level, `{"gap_mm":1}`))
			must(t, err)
			if got.ID != first.ID || got.Level != step.want {
				t.Errorf("evidence %s: got flag %s at %s, want %s at %s", step.level, got.ID, got.Level, first.ID, step.want)
			}
		}
		elsewhere, err := s.RaiseFlag(ctx, b.flagOn("clearance-below", "back", "soon"), evidence(c, "soon", `{}`))
		must(t, err)
		if elsewhere.ID == first.ID {
			t.Error("another place got the same flag")
		}
		open, err := s.OpenFlagFor(ctx, b.limb.ID, "clearance-below", "front")
		must(t, err)
		if open.ID != first.ID || open.Version != 4 || len(open.Evidence) != 4 || open.Evidence[0].Level != "now" {
			t.Errorf("got version %d with evidence %+v", open.Version, open.Evidence)
		}
		if got := string(open.Evidence[3].Finding); got != `{"gap_mm":1.4}` {
			t.Errorf("the first finding reads %s", got)
		}

		wantErr(t, s.CloseFlag(ctx, first.ID, 1, models.Closing{By: b.fitter.ID, Reason: "trimmed"}), models.ErrStale)
		wantErr(t, s.CloseFlag(ctx, first.ID, 4, models.Closing{By: b.fitter.ID, Reason: ""}), models.ErrInvalid)
		wantErr(t, s.CloseFlag(ctx, "nothing", 1, models.Closing{By: b.fitter.ID, Reason: "trimmed"}), models.ErrNotFound)
		must(t, s.CloseFlag(ctx, first.ID, 4, models.Closing{By: b.fitter.ID, Reason: "trimmed"}))
		wantErr(t, s.CloseFlag(ctx, first.ID, 5, models.Closing{By: b.fitter.ID, Reason: "twice"}), models.ErrStale)
		_, err = s.OpenFlagFor(ctx, b.limb.ID, "clearance-below", "front")
		wantErr(t, err, models.ErrNotFound)
		closed, err := s.FlagByID(ctx, first.ID)
		must(t, err)
		if closed.ClosedAt == nil || closed.ClosedBy != b.fitter.ID || closed.CloseReason != "trimmed" {
			t.Errorf("got %+v, want closed", closed)
		}
		again, err := s.RaiseFlag(ctx, b.flagOn("clearance-below", "front", "watch"), evidence(c, "watch", `{}`))
		must(t, err)
		if again.ID == first.ID || again.Level != "watch" || len(again.Evidence) != 1 {
			t.Errorf("after closing: got %+v, want a new flag", again)
		}
		all, err := s.FlagsOf(ctx, b.client.ID)
		must(t, err)
		if len(all) != 3 || all[0].ID != elsewhere.ID || all[1].ID != again.ID || all[2].ID != first.ID || len(all[2].Evidence) != 4 {
			t.Errorf("got %+v; want soon, watch, closed", all)
		}
	})
}

func TestFlagRaisedByManyAtOnceIsOne(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		c := b.record(t, s, at(0))
		const many = 12
		results := make(chan error, many)
		for range many {
			go func() {
				_, err := s.RaiseFlag(ctx, b.flagOn("volume-change", "", "soon"), evidence(c, "soon", `{}`))
				results <- err
			}()
		}
		for range many {
			must(t, <-results)
		}
		flags, err := s.FlagsOf(ctx, b.client.ID)
		must(t, err)
		if len(flags) != 1 || len(flags[0].Evidence) != many {
			t.Errorf("got %d flags, want 1 with %d pieces of evidence", len(flags), many)
		}
	})
}

func TestFlagRefusals(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		c := b.record(t, s, at(0))
		_, err := s.RaiseFlag(ctx, b.flagOn("r", "", "soon"), evidence(c, "soon", `{broken`))
		wantErr(t, err, models.ErrInvalid)
		_, err = s.RaiseFlag(ctx, b.flagOn("r", "", "some day"), evidence(c, "soon", `{}`))
		wantErr(t, err, models.ErrInvalid)
		_, err = s.RaiseFlag(ctx, b.flagOn("r", "", "soon"), models.FlagEvidence{CheckinID: new("nothing"), Level: "soon", Finding: []byte(`{}`)})
		wantErr(t, err, models.ErrInUse)
		if n := rowCount(t, s, "flags"); n != 0 {
			t.Errorf("%d flags are left without evidence", n)
		}
	})
}

func TestOpenFlagsByCareTeam(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		mine, other, gone := bench(t, s, "K-001"), bench(t, s, "K-002"), bench(t, s, "K-003")
		mine.client.CareTeam = []models.Person{mine.fitter}
		must(t, s.UpdateClient(ctx, &mine.client))
		for b, level := range map[*workbench]string{&mine: "watch", &other: "now", &gone: "soon"} {
			_, err := s.RaiseFlag(ctx, b.flagOn("r", "", level), evidence(b.record(t, s, at(0)), level, `{}`))
			must(t, err)
		}
		must(t, s.ArchiveClient(ctx, gone.client.ID, gone.client.Version, "moved"))
		all, err := s.OpenFlags(ctx, nil)
		must(t, err)
		if len(all) != 2 || all[0].ClientID != other.client.ID || all[1].ClientID != mine.client.ID {
			t.Errorf("got %+v; want the other's first, none of the archived client", all)
		}
		team, err := s.OpenFlags(ctx, &mine.fitter.ID)
		must(t, err)
		if len(team) != 1 || team[0].ClientID != mine.client.ID {
			t.Errorf("got %+v, want the one of the care team", team)
		}
	})
}
