package models_test

import (
	"reflect"
	"testing"

	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/models/modelstest"
)

// todayCodes reads the whole list of the day in pages and returns the codes.
func todayCodes(t *testing.T, s *models.Store, f models.TodayFilter) (codes []string) {
	t.Helper()
	for {
		rows, next, err := s.Today(ctx, f)
		must(t, err)
		for _, r := range rows {
			codes = append(codes, r.Client.Code)
		}
		if next == "" {
			return codes
		}
		f.AfterKey = next
	}
}

func TestTodayInOrderOfNeed(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		benches := map[string]workbench{}
		for _, row := range []struct {
			code  string
			next  quantity.Date
			level string
		}{
			{"K-1", "", ""}, {"K-2", "2026-05-01", ""}, {"K-3", "2026-04-01", ""}, {"K-4", "2026-06-01", "watch"},
			{"K-5", "2026-06-01", "now"}, {"K-6", "2026-01-01", "soon"}, {"K-7", "2026-01-01", "soon"},
		} {
			b := bench(t, s, row.code)
			benches[row.code] = b
			c := b.visit(at(0))
			c.NextOn = row.next
			must(t, s.CreateCheckin(ctx, &c))
			if row.level != "" {
				_, err := s.RaiseFlag(ctx, b.flagOn("a", "", row.level), evidence(c, row.level, `{}`))
				must(t, err)
			}
		}
		done, err := s.RaiseFlag(ctx, benches["K-2"].flagOn("b", "", "now"), evidence(benches["K-2"].record(t, s, at(-1)), "now", `{}`))
		must(t, err)
		must(t, s.CloseFlag(ctx, done.ID, done.Version, models.Closing{By: benches["K-2"].fitter.ID, Reason: "trimmed"})) // a closed flag is no need
		client(t, s, "K-8", "never measured")
		client(t, s, "K-9", "archived")
		archived, err := s.ClientByCode(ctx, "K-9")
		must(t, err)
		must(t, s.ArchiveClient(ctx, archived.ID, archived.Version, "moved"))

		want := []string{"K-5", "K-6", "K-7", "K-4", "K-3", "K-2", "K-1", "K-8"}
		for _, limit := range []int{0, 1, 3} {
			if got := todayCodes(t, s, models.TodayFilter{Limit: limit}); !reflect.DeepEqual(got, want) {
				t.Errorf("pages of %d: got %v, want %v", limit, got, want)
			}
		}
		mine := benches["K-4"].client
		mine.CareTeam = []models.Person{benches["K-4"].fitter}
		must(t, s.UpdateClient(ctx, &mine))
		team := benches["K-4"].fitter.ID
		if got := todayCodes(t, s, models.TodayFilter{CareTeamOf: &team, Limit: 1}); !reflect.DeepEqual(got, []string{"K-4"}) {
			t.Errorf("care team: got %v, want K-4", got)
		}
		for _, key := range []string{"*", "WyJ4IiwiYSIsImEiXQ", "WyIxIiwiYSIsImEiXQ"} { // not base64; a rank that is no number; an unknown client
			_, _, err := s.Today(ctx, models.TodayFilter{AfterKey: key})
			wantErr(t, err, models.ErrInvalid)
		}
	})
}

func TestTodayRowHoldsWhatThePageShows(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		second := limb(t, s, b.client.ID)
		b.record(t, s, at(0))
		old := b.record(t, s, at(2))
		latest := b.visit(at(1)) // corrected to an earlier hour, and still the newest
		latest.ReplacesID, latest.Reason = &old.ID, "wrong hour"
		must(t, s.CreateCheckin(ctx, &latest))
		for rule, level := range map[string]string{"a": "watch", "b": "now"} {
			_, err := s.RaiseFlag(ctx, b.flagOn(rule, "", level), evidence(latest, level, `{}`))
			must(t, err)
		}
		rows, next, err := s.Today(ctx, models.TodayFilter{})
		must(t, err)
		if len(rows) != 1 || next != "" {
			t.Fatalf("got %d rows, next %q", len(rows), next)
		}
		r := rows[0]
		if r.Client.ID != b.client.ID || len(r.Limbs) != 2 || r.Limbs[1].ID != second.ID {
			t.Errorf("got client %+v with limbs %+v", r.Client, r.Limbs)
		}
		if r.Latest == nil || r.Latest.ID != latest.ID || !reflect.DeepEqual(r.Latest.Fluid, latest.Fluid) {
			t.Errorf("latest check-in %+v, want %s", r.Latest, latest.ID)
		}
		if len(r.Flags) != 2 || r.Flags[0].Level != "now" {
			t.Errorf("got flags %+v, want the one that is now first", r.Flags)
		}
	})
}

func TestTodayCountAndThoseInNeed(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		for _, row := range []struct {
			code  string
			next  quantity.Date
			level string
		}{
			{"K-1", "", ""}, {"K-2", "2026-05-08", ""}, {"K-3", "2026-04-30", ""}, {"K-4", "2026-04-30", "watch"},
			{"K-5", "2026-06-01", "now"}, {"K-6", "2026-06-01", "soon"}, {"K-7", "2026-05-09", ""}, {"K-8", "2026-05-01", ""},
		} {
			b := bench(t, s, row.code)
			c := b.visit(at(0))
			c.NextOn = row.next
			must(t, s.CreateCheckin(ctx, &c))
			if row.level != "" {
				for _, rule := range []string{"a", "b"} { // two flags, one client
					_, err := s.RaiseFlag(ctx, b.flagOn(rule, "", row.level), evidence(c, row.level, `{}`))
					must(t, err)
				}
			}
		}
		got, err := s.CountToday(ctx, nil, "2026-05-01", "2026-05-08", nil)
		must(t, err)
		want := models.TodayCount{Now: 1, Soon: 1, Watch: 1, Overdue: 1, Due: 2, Rest: 2}
		if got != want || got.Needing() != 6 {
			t.Errorf("got %+v, needing %d; want %+v, needing 6", got, got.Needing(), want)
		}
		inNeed := []string{"K-5", "K-6", "K-4", "K-3", "K-8", "K-2"}
		for _, limit := range []int{0, 1, 4} {
			if codes := todayCodes(t, s, models.TodayFilter{NeedBy: "2026-05-08", Limit: limit}); !reflect.DeepEqual(codes, inNeed) {
				t.Errorf("limit %d: got %v, want %v", limit, codes, inNeed)
			}
		}
		stranger := models.NewID()
		none, err := s.CountToday(ctx, &stranger, "2026-05-01", "2026-05-08", nil)
		must(t, err)
		if none != (models.TodayCount{}) {
			t.Errorf("somebody on no care team counts %+v, want nothing", none)
		}
	})
}

// TestTodayRanksWhatIsAwaited: unseen now first; what was handed over waits until
// the day on which to ask again, unless it is now.
func TestTodayRanksWhatIsAwaited(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		for _, row := range []struct {
			code, level, ask string
			seen             bool
		}{
			{"K-1", "watch", "", false}, {"K-2", "soon", "2026-05-02", true}, {"K-3", "soon", "", false}, {"K-4", "now", "2026-06-01", true},
			{"K-5", "now", "2026-06-01", false}, {"K-6", "watch", "2026-05-01", true}, {"K-7", "soon", "2026-04-30", true}, {"K-8", "", "", false},
		} {
			b := bench(t, s, row.code)
			if row.level == "" {
				continue
			}
			f := b.raised(t, s, "limb", "a", row.level)
			if row.seen {
				must(t, noted(s.SeeFlag(ctx, f.ID, f.Version, b.fitter.ID)))
			}
			_, err := s.Pool().Exec("UPDATE flags SET ask_again_on = '" + row.ask + "' WHERE id = '" + f.ID + "'")
			must(t, err)
			_, err = s.Pool().Exec("UPDATE clients SET next_checkin_on = ''")
			must(t, err)
		}
		for _, limit := range []int{0, 1, 3} {
			want := []string{"K-5", "K-4", "K-3", "K-6", "K-7", "K-1", "K-2", "K-8"}
			if got := todayCodes(t, s, models.TodayFilter{On: "2026-05-01", Limit: limit}); !reflect.DeepEqual(got, want) {
				t.Errorf("pages of %d: got %v, want %v", limit, got, want)
			}
		}
		if got, err := s.CountToday(ctx, nil, "2026-05-01", "2026-05-08", nil); err != nil || got != (models.TodayCount{Now: 2, Soon: 3, Watch: 2, Rest: 1}) {
			t.Errorf("got %+v, %v", got, err)
		}
		rows, _, err := s.Today(ctx, models.TodayFilter{On: "2026-05-01", NeedBy: "2026-05-08"})
		must(t, err)
		var levels []string
		for _, r := range rows {
			levels = append(levels, r.Level)
		}
		if want := []string{"now", "now", "soon", "soon", "soon", "watch", "watch"}; !reflect.DeepEqual(levels, want) {
			t.Errorf("got levels %v, want %v", levels, want)
		}
	})
}

// TestTodayRanksWhatCameAfterAHandover by its own level: nobody has handed that
// over.
func TestTodayRanksWhatCameAfterAHandover(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		more := func(b workbench, f models.Flag, level string) {
			f.Level = level
			_, err := s.RaiseFlag(ctx, f, evidence(b.record(t, s, at(1)), level, `{}`))
			must(t, err)
		}
		for _, row := range []struct{ code, opened, since string }{
			{"K-1", "soon", ""}, {"K-2", "soon", "soon"}, {"K-3", "soon", "watch"}, {"K-4", "watch", "soon"}, {"K-5", "watch", "watch"},
			{"K-6", "watch", "now"},
		} {
			b := bench(t, s, row.code)
			f := b.raised(t, s, "limb", "a", row.opened)
			b.handed(t, s, f)
			if row.since == "" {
				continue
			}
			_, err := s.Pool().Exec("UPDATE flag_evidence SET added_at = '2020-01-01 00:00:00+00:00' WHERE flag_id = '" + f.ID + "'")
			must(t, err)
			_, err = s.Pool().Exec("UPDATE handovers SET recorded_at = '2020-01-02 00:00:00+00:00' WHERE client_id = '" + b.client.ID + "'")
			must(t, err)
			more(b, f, row.since)
		}
		_, err := s.Pool().Exec("UPDATE clients SET next_checkin_on = ''")
		must(t, err)
		for _, limit := range []int{0, 1, 2} {
			want := []string{"K-6", "K-2", "K-4", "K-1", "K-3", "K-5"}
			if got := todayCodes(t, s, models.TodayFilter{On: "2026-03-10", Limit: limit}); !reflect.DeepEqual(got, want) {
				t.Errorf("pages of %d: got %v, want %v", limit, got, want)
			}
		}
		if got, err := s.CountToday(ctx, nil, "2026-03-10", "2026-03-17", nil); err != nil || got != (models.TodayCount{Now: 1, Soon: 2, Watch: 3}) {
			t.Errorf("got %+v, %v", got, err)
		}
	})
}

// TestTodayRanksThoseHeldBack among the soon ones, whatever is open, but below now.
func TestTodayRanksThoseHeldBack(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		var held []string
		for code, level := range map[string]string{"K-1": "", "K-2": "watch", "K-3": "now", "K-4": "", "K-5": "watch"} {
			b := bench(t, s, code)
			if level != "" {
				b.raised(t, s, "limb", "a", level)
			}
			if code < "K-4" {
				held = append(held, b.client.ID)
			}
		}
		_, err := s.Pool().Exec("UPDATE clients SET next_checkin_on = ''")
		must(t, err)
		for _, limit := range []int{0, 1, 2} {
			want := []string{"K-3", "K-1", "K-2", "K-5"}
			if got := todayCodes(t, s, models.TodayFilter{On: "2026-05-01", NeedBy: "2026-05-08", HeldBack: held, Limit: limit}); !reflect.DeepEqual(got, want) {
				t.Errorf("pages of %d: got %v, want %v", limit, got, want)
			}
		}
		if got, err := s.CountToday(ctx, nil, "2026-05-01", "2026-05-08", held); err != nil || got != (models.TodayCount{Now: 1, Soon: 2, Watch: 1, Rest: 1}) {
			t.Errorf("got %+v, %v", got, err)
		}
	})
}

// TestTodayFlagsInOrderOfNeed within a client, and the care team with them.
func TestTodayFlagsInOrderOfNeed(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		b.client.CareTeam = []models.Person{b.fitter}
		must(t, s.UpdateClient(ctx, &b.client))
		seen := b.raised(t, s, "limb", "seen", "now")
		must(t, noted(s.SeeFlag(ctx, seen.ID, seen.Version, b.fitter.ID)))
		b.raised(t, s, "limb", "soon", "soon")
		b.raised(t, s, "skin", "unseen", "now")
		rows, _, err := s.Today(ctx, models.TodayFilter{On: "2026-05-01"})
		must(t, err)
		var rules []string
		for _, f := range rows[0].Flags {
			rules = append(rules, f.Rule)
		}
		if want := []string{"unseen", "seen", "soon"}; !reflect.DeepEqual(rules, want) {
			t.Errorf("got %v, want %v", rules, want)
		}
		if team := rows[0].Client.CareTeam; len(team) != 1 || team[0].Name != b.fitter.Name {
			t.Errorf("got care team %+v", team)
		}
	})
}
