package followup_test

import (
	"crypto/sha256"
	"encoding/json"
	"errors"
	"sync"
	"testing"
	"time"

	"fairlead/analytics/assess"
	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/models/modelstest"
	"fairlead/server/followup"
)

// linked gives the bench what a link needs, and a link.
func (b *bench) linked() {
	b.t.Helper()
	b.must(b.store.SaveWorkshop(b.t.Context(), &models.Workshop{
		Name: "Invented workshop", Zone: "Europe/Berlin", Phone: "0100 1", EmergencyPhone: "112", ReadsReportsAt: "08:00",
		ReadsReportsOn: []string{"monday"},
	}))
	client, err := b.store.ClientByID(b.t.Context(), b.limb.ClientID)
	b.must(err)
	client.ClinicPhone, client.OutOfHoursPhone, client.EmergencyPhone = "0100 2", "0100 3", "112"
	b.must(b.store.UpdateClient(b.t.Context(), &client))
	b.must(b.store.CreateReportLink(b.t.Context(), &models.ReportLink{
		TokenHash: "token", ClientID: b.limb.ClientID, MadeBy: b.fitter.ID, ExpiresAt: modelstest.Start.Add(time.Hour), MostReports: 10,
	}))
}

// draft begins a report.
func (b *bench) draft() string {
	b.t.Helper()
	d, err := b.store.BeginReport(b.t.Context(), models.ReportStart{TokenHash: "token", KeyHash: models.NewID(), AddressHash: models.NewID()})
	b.must(err)
	return d.ID
}

// report sends what a client said.
func (b *bench) report(said models.Said, limbID *string) models.Report {
	b.t.Helper()
	r, err := followup.ReceiveReport(b.t.Context(), b.store, modelstest.Start, models.Report{DraftID: b.draft(), LimbID: limbID, Said: said}, b.lost)
	b.must(err)
	return r
}

// A report of a rub stands beside the tight station of the newest walk, its
// evidence names the report, and what was measured stays as it was.
func TestReportRaisesFlags(t *testing.T) {
	b := newBench(t)
	b.linked()
	station := models.Station{CoverID: b.cover.ID, Level: quantity.FromMM(60), Direction: quantity.Posterior, Posture: quantity.Seated, Neighbour: quantity.SocketWall}
	b.cover.Stations = []models.Station{station}
	b.must(b.store.UpdateCover(b.t.Context(), &b.cover))
	c := b.checkin(taping{girths: girthsOf(330)})
	c.Limbs[0].Clearances = []models.ClearanceReading{{StationID: b.cover.Stations[0].ID, Posture: quantity.Seated, Method: quantity.Feeler, Gap: length(1)}}
	b.record(c)
	before := b.measured()
	open := b.openFlags()

	r := b.report(models.Said{Safety: []string{"open-skin"}, What: []string{"rub"}, Areas: []string{"calf.posterior"}}, &b.limb.ID)
	if r.Number == "" || r.ClientID != b.limb.ClientID {
		t.Errorf("report %+v", r)
	}
	if b.measured() != before {
		t.Error("a report changed what was measured")
	}
	if now := b.openFlags(); len(now) != len(open)+2 {
		t.Errorf("%d open flags, want the %d of before and two", len(now), len(open))
	} else {
		for id := range open {
			if !now[id] {
				t.Errorf("the report closed flag %s", id)
			}
		}
	}
	safety := b.flags(assess.ReportSafety)[0]
	if safety.Level != "now" || safety.About != "skin" || *safety.Evidence[0].ReportID != r.ID || safety.Evidence[0].CheckinID != nil {
		t.Errorf("flag %+v", safety)
	}
	var f assess.Finding
	b.must(json.Unmarshal(b.flags(assess.ReportRub)[0].Evidence[0].Finding, &f))
	if gap, ok := f.Value("gap"); !ok || gap.Value != 1 || f.Words["walk-on"] == "" || f.Words["reported-on"] != "2026-03-02" {
		t.Errorf("finding %+v, want the tight station", f)
	}
}

// measured is a hash of every check-in of the bench's client.
func (b *bench) measured() [sha256.Size]byte {
	b.t.Helper()
	checkins, err := b.store.CheckinsOf(b.t.Context(), b.limb.ClientID)
	b.must(err)
	text, err := json.Marshal(checkins)
	b.must(err)
	return sha256.Sum256(text)
}

func (b *bench) openFlags() map[string]bool {
	b.t.Helper()
	flags, err := b.store.FlagsOf(b.t.Context(), b.limb.ClientID)
	b.must(err)
	open := map[string]bool{}
	for _, f := range flags {
		if f.ClosedAt == nil {
			open[f.ID] = true
		}
	}
	return open
}

// A report that names no limb is about every limb, and says so.
func TestReportWithoutASide(t *testing.T) {
	b := newBench(t)
	b.linked()
	other := models.Limb{ClientID: b.limb.ClientID, Side: quantity.Right, Level: quantity.Transfemoral, Origin: models.Amputation}
	b.must(b.store.CreateLimb(t.Context(), &other))
	b.report(models.Said{Safety: []string{"not-sure"}}, nil)
	flags := b.flags(assess.ReportSafety)
	if len(flags) != 2 || flags[0].LimbID == flags[1].LimbID {
		t.Fatalf("flags %+v, want one of each limb", flags)
	}
	for _, flag := range flags {
		var f assess.Finding
		b.must(json.Unmarshal(flag.Evidence[0].Finding, &f))
		if f.Words["side-unsaid"] != "yes" {
			t.Errorf("finding %+v does not say that the side is open", f)
		}
	}
	b.report(models.Said{What: []string{"other"}}, &other.ID)
	if flags := b.flags(assess.ReportOther); len(flags) != 1 || flags[0].LimbID != other.ID {
		t.Errorf("flags %+v, want one of the limb that was named", flags)
	}
}

// lost fails the test for a record that could not be read.
func (b *bench) lost(err error) { b.t.Errorf("a report was judged alone: %v", err) }

// A record that can't be read holds no report up: it is judged alone, and told.
func TestReportBesideABrokenRecord(t *testing.T) {
	store, damage := modelstest.Breakable(t)
	b := benchIn(t, store)
	b.linked()
	b.report(models.Said{What: []string{"noise"}}, nil)
	damage("UPDATE reports SET said = '{torn'")
	told := 0
	_, err := followup.ReceiveReport(t.Context(), b.store, modelstest.Start,
		models.Report{DraftID: b.draft(), Said: models.Said{Safety: []string{"breathless"}}}, func(error) { told++ })
	b.must(err)
	if flags := b.flags(assess.ReportSafety); len(flags) != 1 || flags[0].Level != string(assess.Now) || told != 1 {
		t.Errorf("flags %+v, told %d times; want one of level now and once", flags, told)
	}
}

// A second report joins the open flag, and asks for another look.
func TestReportJoinsAnOpenFlag(t *testing.T) {
	b := newBench(t)
	b.linked()
	b.report(models.Said{Safety: []string{"open-skin"}}, nil)
	safety := b.flags(assess.ReportSafety)[0]
	_, err := b.store.SeeFlag(t.Context(), safety.ID, safety.Version, b.fitter.ID)
	b.must(err)
	b.report(models.Said{Safety: []string{"spreading"}}, nil)
	if flags := b.flags(assess.ReportSafety); len(flags) != 1 || len(flags[0].Evidence) != 2 || flags[0].SeenAt != nil {
		t.Errorf("flags %+v, want one that is to be seen again", flags)
	}
}

// Of 50 who send one form at once all get the one report that it makes.
func TestManySendsAtOnceMakeOneReport(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, store *models.Store) {
		b := benchIn(t, store)
		b.linked()
		draft := b.draft()
		said := models.Said{Safety: []string{"open-skin"}, Looseness: pointerTo(-3)}
		ids := make([]string, 50)
		var all sync.WaitGroup
		for i := range ids {
			all.Go(func() {
				r, err := followup.ReceiveReport(t.Context(), store, modelstest.Start, models.Report{DraftID: draft, Said: said}, b.lost)
				if err != nil {
					t.Error(err)
				}
				ids[i] = r.ID
			})
		}
		all.Wait()
		for _, id := range ids {
			if id == "" || id != ids[0] {
				t.Fatalf("reports %v, want one", ids)
			}
		}
		if n, m := b.evidence(assess.ReportSafety), b.evidence(assess.ReportFit); n != 1 || m != 1 {
			t.Errorf("%d and %d pieces of evidence, want one each", n, m)
		}
	})
}

func pointerTo(n int) *int { return &n }

// What can't be sent raises nothing.
func TestRefusedReportRaisesNothing(t *testing.T) {
	b := newBench(t)
	b.linked()
	_, err := followup.ReceiveReport(t.Context(), b.store, modelstest.Start, models.Report{DraftID: models.NewID(), Said: models.Said{Safety: []string{"open-skin"}}}, b.lost)
	if !errors.Is(err, models.ErrNotFound) || len(b.openFlags()) != 0 {
		t.Errorf("error %v and %d flags, want ErrNotFound and none", err, len(b.openFlags()))
	}
}
