package server

import (
	"encoding/json"
	"net/http"
	"strings"
	"testing"
	"time"

	"fairlead/analytics/assess"
	"fairlead/models"
)

// TestEvidenceNamesBothCheckins links the check-in that was compared and the one
// it was compared with, each under its own day.
func TestEvidenceNamesBothCheckins(t *testing.T) {
	site := newSite(t)
	site.clock.Pass(-30 * 24 * time.Hour)
	client := site.BenchClient("K-014")
	b := site.As("kit", models.Fitter)
	first := b.Visit(client, "delivery", "33.4", "33.7", "32.1")
	firstDay := sayDay(site.clock.Now())
	site.clock.Pass(30 * 24 * time.Hour)
	b = site.As("wren", models.Fitter)
	second := b.Visit(client, "follow-up", "30.4", "30.7", "29.1")
	secondDay := sayDay(site.clock.Now())

	f := example(assess.VolumeChange)
	id := func(path string) string { return path[strings.LastIndexByte(path, '/')+1:] }
	f.AgainstVisitID = id(first)
	stored, err := json.Marshal(f)
	if err != nil {
		t.Fatal(err)
	}
	flag, err := site.store.RaiseFlag(t.Context(),
		models.Flag{ClientID: client.ID, LimbID: client.Limb.ID, Rule: string(f.Rule), About: string(assess.AboutCover), Level: string(f.Level)},
		models.FlagEvidence{CheckinID: new(id(second)), RuleVersion: 1, Level: string(f.Level), Finding: stored})
	if err != nil {
		t.Fatal(err)
	}
	b.Get(flagPath(flag)).Has(t, http.StatusOK,
		`<a href="`+second+`">Check-in as recorded<span class="unseen">: Check-in of `+secondDay+`<`,
		`<a href="`+first+`">The check-in it was compared with<span class="unseen">: Check-in of `+firstDay+`<`)
}

// sayDay is a moment's day in Berlin as pages write it.
func sayDay(at time.Time) string {
	zone, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		panic(err)
	}
	return at.In(zone).Format("2 January 2006")
}

// TestReasonOfAFlagIsNotLost types a reason for a flag that can no longer be
// closed: somebody else closed it, or the client is archived.
func TestReasonOfAFlagIsNotLost(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-014")
	b := site.As("kit", models.Fitter)
	checkin := b.Visit(client, "delivery", "33.4", "33.7", "32.1")
	closed := site.raise(client, checkin, assess.ReadingsDisagree, assess.AboutData)
	b.Post(closed+"/close", "version", "1", "reason", "measured").Has(t, http.StatusSeeOther)
	b.Post(closed+"/close", "version", "1", "reason", "third reading").Has(t, http.StatusConflict, "Somebody else closed", "<dd>third reading</dd>")

	open := site.raise(client, checkin, assess.ReadingsDisagree, assess.AboutData)
	now, err := site.store.ClientByID(t.Context(), client.ID)
	if err != nil {
		t.Fatal(err)
	}
	if err := site.store.ArchiveClient(t.Context(), client.ID, now.Version, "moved away"); err != nil {
		t.Fatal(err)
	}
	b.Post(open+"/close", "version", "1", "reason", "read again").Has(t, http.StatusConflict, "This client is archived", "<dd>read again</dd>")
	b.Get(open).Has(t, http.StatusOK, "Open since")
}

// TestLevelsSayWhatLiesBeyondTheTape says at each level whether its change can
// be told from the error of the tape: in words beside a shape, not in bold
// alone.
func TestLevelsSayWhatLiesBeyondTheTape(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-014")
	b := site.As("kit", models.Fitter)
	b.Visit(client, "delivery", "33.4", "33.7", "32.1")
	site.clock.Pass(10 * time.Minute)
	b.Visit(client, "follow-up", "33.4", "30.7", "32.1")
	body := b.Get("/clients/" + client.ID).Body
	_, table, _ := strings.Cut(body, `<div class="limbrows">`)
	table, _, _ = strings.Cut(table, "</table>")
	if got := strings.Count(table, `</svg>beyond tape error</span>`); got != 1 {
		t.Errorf("%d levels say that they lie beyond tape error, want 1\n%s", got, table)
	}
	if got := strings.Count(table, "within tape error"); got != 2 {
		t.Errorf("%d levels say that they lie within tape error, want 2\n%s", got, table)
	}
}
