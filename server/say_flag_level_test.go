package server

import (
	"encoding/json"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"

	"fairlead/analytics/assess"
	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/followup"
	"pgregory.net/rapid"
)

// TestWhyALevelStays draws sequences of evidence, of check-ins and reports, of any
// rule. Why a flag is more urgent than its newest evidence is said if and only if it
// is, by the newest piece that was as urgent: its day, its figure and its limit.
func TestWhyALevelStays(t *testing.T) {
	teller := testTeller(t, models.FlagsAround{})
	rapid.Check(t, func(t *rapid.T) {
		rule := rapid.SampledFrom(assess.Rules).Draw(t, "rule")
		var record followup.ClientRecord
		flag := models.Flag{ID: "flag", Rule: string(rule)}
		days := map[string]string{} // by id of the evidence
		for i := range rapid.IntRange(1, 6).Draw(t, "pieces") {
			level := rapid.SampledFrom(assess.Levels).Draw(t, "level")
			at := time.Date(2026, 3, 1+i, 9, 0, 0, 0, time.UTC)
			f := example(rule)
			f.Level = level
			f.Words["reported-on"], f.Words["with"] = string(quantity.DateOf(at)), ""
			f.Values = slices.Clone(f.Values)
			for j, v := range f.Values {
				if v.Name == "change" {
					f.Values[j].Value = -10 - float64(i) // to tell the pieces apart
				}
			}
			raw, err := json.Marshal(f)
			if err != nil {
				t.Fatalf("finding: %v", err)
			}
			id := fmt.Sprint("piece ", i)
			e := models.FlagEvidence{ID: id, Level: string(level), Finding: raw, AddedAt: at.AddDate(0, 0, rapid.IntRange(0, 30).Draw(t, "entered later"))}
			if rapid.Bool().Draw(t, "report") {
				e.ReportID = &id
			} else {
				e.CheckinID = &id
				record.Checkins = append(record.Checkins, models.Checkin{ID: id, MeasuredAt: at, Zone: "Europe/Berlin"})
			}
			days[id] = teller.date(quantity.DateOf(at))
			flag.Evidence = append([]models.FlagEvidence{e}, flag.Evidence...)
			if flag.Level == "" || slices.Index(assess.Levels, level) < slices.Index(assess.Levels, assess.Level(flag.Level)) {
				flag.Level = string(level)
			}
		}
		said := teller.stays(flag, record)
		if (said == "") != (flag.Evidence[0].Level == flag.Level) {
			t.Fatalf("level %s over newest evidence of level %s: %q", flag.Level, flag.Evidence[0].Level, said)
		}
		if said == "" {
			return
		}
		i := slices.IndexFunc(flag.Evidence, func(e models.FlagEvidence) bool { return e.Level == flag.Level })
		because := flag.Evidence[i]
		var f assess.Finding
		if err := json.Unmarshal(because.Finding, &f); err != nil {
			t.Fatalf("finding: %v", err)
		}
		want := []string{"Stays " + flag.Level + " because of the ", " of " + days[because.ID] + ": ", teller.claimOf(flag)(because) + ".", teller.findingLimit(f)}
		for _, w := range want {
			if !strings.Contains(said, w) {
				t.Fatalf("%q lacks %q", said, w)
			}
		}
	})
}

// TestLevelOfVolumeStays has the figure and the limit of the earlier day, and what
// made a change within the larger limit as urgent.
func TestLevelOfVolumeStays(t *testing.T) {
	teller := testTeller(t, models.FlagsAround{})
	piece := func(level assess.Level, change float64, words map[string]string) models.FlagEvidence {
		f := example(assess.VolumeChange)
		f.Level, f.Words = level, words
		f.Values[slices.IndexFunc(f.Values, func(v assess.Value) bool { return v.Name == "change" })].Value = change
		f.Limit = &assess.LimitUsed{Value: 10, Unit: assess.Percent, Starting: true}
		if change > -10 {
			f.Limit.Value = 5
		}
		raw, err := json.Marshal(f)
		if err != nil {
			t.Fatal(err)
		}
		return models.FlagEvidence{Level: string(level), Finding: raw, AddedAt: time.Date(2026, 6, 25, 9, 0, 0, 0, time.UTC)}
	}
	since := map[string]string{"since": "2026-03-12", "reported-on": "2026-06-25"}
	with := map[string]string{"since": "2026-03-12", "reported-on": "2026-06-25", "with": "comfort"}
	newest := piece(assess.Watch, -8.1, since)
	for name, tt := range map[string]struct {
		because models.FlagEvidence
		want    []string
	}{
		"size":           {piece(assess.Soon, -12.8, since), []string{"Stays soon because of the report of 25 June 2026: Limb volume −12.8", "limit of −10"}},
		"symptom":        {piece(assess.Soon, -6.2, with), []string{"Limb volume −6.2", "limit of −5", "Comfort is down or pain up by two points or more."}},
		"not to be read": {models.FlagEvidence{Level: "soon", Finding: []byte("-"), AddedAt: newest.AddedAt}, []string{"Stays soon because of the report of 25 June 2026: "}},
	} {
		said := teller.stays(models.Flag{Rule: string(assess.VolumeChange), Level: "soon", Evidence: []models.FlagEvidence{newest, tt.because}}, followup.ClientRecord{})
		for _, want := range tt.want {
			if !strings.Contains(said, want) {
				t.Errorf("%s: %q lacks %q", name, said, want)
			}
		}
	}
	closed := time.Date(2026, 7, 1, 9, 0, 0, 0, time.UTC)
	flag := models.Flag{Rule: string(assess.VolumeChange), Level: "soon", ClosedAt: &closed, Evidence: []models.FlagEvidence{newest, piece(assess.Soon, -12.8, since)}}
	if said := teller.stays(flag, followup.ClientRecord{}); !strings.HasPrefix(said, "Was soon to the end because of the ") {
		t.Errorf("a closed flag says %q", said)
	}
}

// TestLevelStaysOnBothPages: the flag's page and the review say the same.
func TestLevelStaysOnBothPages(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-014")
	fitter := site.As("kit", models.Fitter)
	fitter.Visit(client, "delivery", "33.4", "33.7", "32.1")
	site.clock.Pass(5 * time.Minute)
	fitter.Visit(client, "follow-up", "31.0", "31.3", "29.8")
	site.clock.Pass(5 * time.Minute)
	fitter.Visit(client, "follow-up", "32.2", "32.5", "30.9")
	flags, err := site.store.FlagsOf(t.Context(), client.ID)
	if err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(flags, func(f models.Flag) bool { return f.Rule == string(assess.VolumeChange) })
	if i < 0 || flags[i].Level != "soon" || flags[i].Evidence[0].Level != "watch" {
		t.Fatalf("no flag whose level stands above its newest evidence: %+v", flags)
	}
	const want = "Stays soon because of the check-in of "
	fitter.Get(flagPath(flags[i])).Has(t, http.StatusOK, want)
	wren := site.As("wren", models.Prosthetist)
	person, err := site.store.PersonBySignIn(t.Context(), "wren")
	if err != nil {
		t.Fatal(err)
	}
	site.team(client.Client, nil, person)
	wren.Get(reviewPath(client.Limb)).Has(t, http.StatusOK, want)
}
