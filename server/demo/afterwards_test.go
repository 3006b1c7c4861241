package demo

import (
	"encoding/json"
	"testing"

	"fairlead/analytics/assess"
	"fairlead/analytics/quantity"
	"fairlead/models"
)

// of finds a client of the workshop by name.
func of(t *testing.T, store *models.Store, name string) models.Client {
	t.Helper()
	for _, c := range clients(t, store) {
		if c.Name == name {
			return c
		}
	}
	t.Fatalf("there is no client %s", name)
	return models.Client{}
}

// openFlag is the open flag of a rule with its newest finding.
func openFlag(t *testing.T, store *models.Store, name string, rule assess.Rule) (models.Flag, assess.Finding) {
	t.Helper()
	flags, err := store.FlagsOf(t.Context(), of(t, store, name).ID)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range flags {
		if f.Rule != string(rule) || f.ClosedAt != nil {
			continue
		}
		var finding assess.Finding
		if err := json.Unmarshal(f.Evidence[0].Finding, &finding); err != nil {
			t.Fatal(err)
		}
		return f, finding
	}
	t.Fatalf("%s has no open flag of rule %s", name, rule)
	return models.Flag{}, assess.Finding{}
}

// TestAReportOfLastNightIsUnread: the safety flag waits for somebody to see it.
func TestAReportOfLastNightIsUnread(t *testing.T) {
	store := filled(t, aWednesday)
	if f, _ := openFlag(t, store, "Nettle, R.", assess.ReportSafety); f.SeenAt != nil || f.Level != string(assess.Now) {
		t.Errorf("the safety flag is %s, seen %v; want now and unseen", f.Level, f.SeenAt)
	}
	reports, err := store.ReportsOf(t.Context(), of(t, store, "Nettle, R.").ID)
	if err != nil || len(reports) != 1 || reports[0].SeenAt != nil {
		t.Errorf("reports %+v, error %v; want one that nobody has read", reports, err)
	}
}

// TestARubIsJoinedWithItsTightStation: where the client says that it rubs, the
// cover was read close to its limit.
func TestARubIsJoinedWithItsTightStation(t *testing.T) {
	_, found := openFlag(t, filled(t, aWednesday), "Rowan, M.", assess.ReportRub)
	if _, ok := found.Value("gap"); !ok || found.Words["direction"] != "posterior" || found.Limit == nil {
		t.Errorf("got %+v, want the gap of the posterior station and its limit", found)
	}
}

// TestAnAnswerIsOverdue: what was handed over by letter awaits an answer since
// before today.
func TestAnAnswerIsOverdue(t *testing.T) {
	f, _ := openFlag(t, filled(t, aWednesday), "Sallow, H.", assess.VolumeChange)
	if f.HandoverID == nil || f.AskAgainOn == "" || f.AskAgainOn >= quantity.DateOf(aWednesday) {
		t.Errorf("handover %v, ask again on %q; want one whose day has passed", f.HandoverID, f.AskAgainOn)
	}
}

// TestAReviewSetsLimits: a signed review has changed the limits of a limb.
func TestAReviewSetsLimits(t *testing.T) {
	store := filled(t, aWednesday)
	limbs, err := store.LimbsOf(t.Context(), of(t, store, "Rush, K.").ID)
	if err != nil {
		t.Fatal(err)
	}
	limits, err := store.LimitsOfMany(t.Context(), []string{limbs[0].ID})
	if err != nil {
		t.Fatal(err)
	}
	set := limits[limbs[0].ID]
	if len(set) != 1 || set[0].LossPercent != 8 || set[0].ReviewID == nil {
		t.Fatalf("limits %+v, want one of 8 %% set by a review", set)
	}
	review, err := store.ReviewByID(t.Context(), *set[0].ReviewID)
	if err != nil || review.LookAgainOn == "" {
		t.Errorf("review %+v, error %v; want one that asks to look again", review, err)
	}
}
