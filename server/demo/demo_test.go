package demo

import (
	"math"
	"slices"
	"testing"
	"time"

	"fairlead/analytics/cohort"
	"fairlead/analytics/girth"
	"fairlead/analytics/quantity"
	"fairlead/analytics/volume"
	"fairlead/models"
	"fairlead/models/modelstest"
	"fairlead/server/followup"
)

// aWednesday is a day on which the workshop is told.
var aWednesday = time.Date(2026, 11, 25, 10, 30, 0, 0, time.UTC)

// filled is the workshop as told on a day.
func filled(t *testing.T, today time.Time) *models.Store {
	t.Helper()
	clock := &Clock{}
	clock.Set(today)
	store := modelstest.SQLiteAt(t, clock.Now)
	if err := Fill(t.Context(), store, clock, today, unhashed); err != nil {
		t.Fatal(err)
	}
	return store
}

func unhashed(password string) (string, error) { return "hash of " + password, nil }

func clients(t *testing.T, store *models.Store) []models.Client {
	t.Helper()
	all, _, err := store.Clients(t.Context(), models.ClientFilter{IncludeArchived: true, Limit: 1000})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

func TestWorkshopHoldsEveryKindOfClient(t *testing.T) {
	store := filled(t, aWednesday)
	w, err := store.Workshop(t.Context())
	if err != nil || !w.Invented {
		t.Errorf("workshop %+v, error %v; want one that is marked as invented", w, err)
	}
	all := clients(t, store)
	if len(all) < 24 {
		t.Errorf("%d clients, want 24 or more", len(all))
	}
	levels, sides, atBirth, twoSided := map[quantity.AmputationLevel]bool{}, map[quantity.Side]bool{}, 0, 0
	for _, c := range all {
		limbs, err := store.LimbsOf(t.Context(), c.ID)
		if err != nil {
			t.Fatal(err)
		}
		if len(limbs) > 1 {
			twoSided++
		}
		for _, l := range limbs {
			levels[l.Level], sides[l.Side] = true, true
			if l.Origin == models.PresentAtBirth {
				atBirth++
			}
		}
	}
	for _, level := range quantity.AmputationLevels {
		if !levels[level] {
			t.Errorf("no limb at level %s", level)
		}
	}
	if len(sides) != 2 || atBirth == 0 || twoSided == 0 {
		t.Errorf("sides %v, present at birth %d, two-sided %d; want all of them", sides, atBirth, twoSided)
	}
	growing := slices.ContainsFunc(all, func(c models.Client) bool { return c.StillGrowing })
	archived := slices.ContainsFunc(all, func(c models.Client) bool { return c.ArchivedAt != nil })
	overdue := slices.ContainsFunc(all, func(c models.Client) bool {
		return c.NextCheckinOn != "" && c.NextCheckinOn < quantity.DateOf(aWednesday)
	})
	if !growing || !archived || !overdue {
		t.Errorf("growing %v, archived %v, overdue %v; want all of them", growing, archived, overdue)
	}
}

// TestRulesFindWhatTheStoriesTell looks for the flag that each story is there
// to show. None is written by the stories; all come from the rules.
func TestRulesFindWhatTheStoriesTell(t *testing.T) {
	cases := []struct{ name, rule, level string }{
		{"Birch, M.", "volume-change", "soon"},
		{"Hazel, B.", "volume-fast", "now"},
		{"Hazel, B.", "volume-change", "now"},
		{"Rowan, M.", "clearance-below", "soon"},
		{"Rowan, M.", "rub-evidence", "watch"},
		{"Aspen, J.", "sock-layers", "watch"},
		{"Larch, T.", "skin-sign", "now"},
		{"Maple, D.", "volume-change", "soon"},
		{"Sorrel, F.", "volume-unresolved", "watch"},
		{"Poplar, W.", "clearance-below", "soon"},
		{"Bramble, T.", "function-no", "now"},
		{"Bramble, T.", "attachment", "soon"},
		{"Rowan, M.", "report-rub", "soon"},
		{"Nettle, R.", "report-safety", "now"},
		{"Sallow, H.", "volume-change", "soon"},
	}
	quiet := []string{
		"Alder, A.", "Willow, S.", "Juniper, L.", "Sedge, O.", "Heath, R.", "Clover, D.", "Cedar, I.", "Linden, G.",
		"Rush, K.", "Spruce, Q.", "Ivy, Z.", "Myrtle, J.", "Teasel, Y.",
	}
	for _, day := range []time.Time{aWednesday, aWednesday.AddDate(0, 0, 3), aWednesday.AddDate(0, 0, 5)} {
		t.Run(day.Weekday().String(), func(t *testing.T) {
			store := filled(t, day)
			open := map[string]map[string]string{}
			for _, c := range clients(t, store) {
				flags, err := store.FlagsOf(t.Context(), c.ID)
				if err != nil {
					t.Fatal(err)
				}
				open[c.Name] = map[string]string{}
				for _, f := range flags {
					if f.ClosedAt == nil {
						open[c.Name][f.Rule] = f.Level
					}
				}
			}
			for _, c := range cases {
				if got := open[c.name][c.rule]; got != c.level {
					t.Errorf("%s: flag %s is %q, want %q", c.name, c.rule, got, c.level)
				}
			}
			for _, name := range quiet {
				if len(open[name]) != 0 {
					t.Errorf("%s: open flags %v, want none", name, open[name])
				}
			}
		})
	}
}

// readingsOf lists all girths in the order of clients and visits.
func readingsOf(t *testing.T, store *models.Store) []models.Reading {
	t.Helper()
	var all []models.Reading
	for _, c := range clients(t, store) {
		checkins, err := store.CheckinsOf(t.Context(), c.ID)
		if err != nil {
			t.Fatal(err)
		}
		for _, checkin := range checkins {
			for _, l := range checkin.Limbs {
				all = append(all, l.Readings...)
			}
		}
	}
	return all
}

func TestSameReadingsOnEveryDay(t *testing.T) {
	first, later := readingsOf(t, filled(t, aWednesday)), readingsOf(t, filled(t, aWednesday.AddDate(0, 1, 4)))
	if len(first) != len(later) {
		t.Fatalf("%d readings on one day, %d on another", len(first), len(later))
	}
	for i := range first {
		if a, b := first[i], later[i]; a.Girth != b.Girth || a.Level != b.Level || a.Pass != b.Pass || a.Part != b.Part {
			t.Fatalf("reading %d is %+v on one day and %+v on another", i, a, b)
		}
	}
}

// TestReadingsFollowTheErrorModel estimates the error of one reading from the
// differences of first and second passes: √(2² + 1²/12) mm by V0 and the
// rounding of each to a millimetre.
func TestReadingsFollowTheErrorModel(t *testing.T) {
	all := readingsOf(t, filled(t, aWednesday))
	var squares float64
	pairs, thirds, wanted := 0, 0, 0
	for i := 1; i < len(all); i++ {
		switch a, b := all[i-1], all[i]; {
		case b.Pass == 2:
			d := (b.Girth - a.Girth).MM()
			squares += d * d
			pairs++
			if girth.NeedsReread(a.Girth.MM(), b.Girth.MM()) {
				wanted++
			}
		case b.Pass == 3:
			thirds++
		}
	}
	got, want := math.Sqrt(squares/float64(2*pairs)), math.Hypot(cohort.DefaultTape.ReadingMM, math.Sqrt(1.0/12))
	if math.Abs(got/want-1) > 4/math.Sqrt(float64(2*pairs)) {
		t.Errorf("error of a reading from %d pairs is %.3f mm, want %.3f", pairs, got, want)
	}
	if thirds != wanted || thirds == 0 {
		t.Errorf("%d third readings, want one for each of the %d pairs that lie apart", thirds, wanted)
	}
}

func TestNothingIsKeptOfAWorkshopThatCannotBeWhole(t *testing.T) {
	clock := &Clock{}
	clock.Set(aWednesday)
	store := modelstest.SQLiteAt(t, clock.Now)
	if err := store.CreateClient(t.Context(), &models.Client{Code: "K-020", Name: "Already here"}); err != nil {
		t.Fatal(err)
	}
	if err := Fill(t.Context(), store, clock, aWednesday, unhashed); err == nil {
		t.Fatal("a record that holds a client already was filled")
	}
	if _, err := store.Workshop(t.Context()); err == nil {
		t.Error("a workshop was kept of what could not be whole")
	}
	if n := len(clients(t, store)); n != 1 {
		t.Errorf("%d clients were kept, want the one that was there", n)
	}
}

// TestWorkshopHasAStudyToLookAt: it can be taken into use, and is not.
func TestWorkshopHasAStudyToLookAt(t *testing.T) {
	store := filled(t, aWednesday)
	studies, err := store.Studies(t.Context())
	if err != nil || len(studies) != 1 {
		t.Fatalf("%d studies, %v; want one", len(studies), err)
	}
	result := followup.ResultOf(studies[0], studies)
	if studies[0].Frozen() || result.NotYet != "" || result.Estimate.Limbs != 10 || result.Estimate.Fitters != 2 {
		t.Errorf("result %+v of %+v", result, studies[0].Uses)
	}
	if usual := volume.DefaultSigmas; result.Estimate.Sigmas.ReadingMM >= usual.ReadingMM || result.Sees.SameFitterPercent >= 4 {
		t.Errorf("%+v, want a workshop that measures better than the defaults", result.Estimate.Sigmas)
	}
}
