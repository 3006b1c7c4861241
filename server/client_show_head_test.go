package server

import (
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"

	"fairlead/analytics/assess"
	"fairlead/analytics/quantity"
	"fairlead/analytics/volume"
	"fairlead/models"
	"fairlead/server/followup"
)

// shrunk is a limb that is smaller beyond measurement and beyond the starting
// limit at its newest visit.
func shrunk() followup.LimbRecord {
	return followup.LimbRecord{
		Limb: models.Limb{ID: "limb", Side: quantity.Left, Level: quantity.Transtibial}, Plans: []models.MeasuringPlan{{ID: "plan", Landmark: "a"}},
		Visits: []followup.LimbVisit{taped("one", 0, "a", 340, 335, 320, 300), taped("two", 60, "a", 316, 312, 298, 279)},
	}
}

// TestClosedIsNotInsideTheLimits: closing a flag does not bring a value back
// inside its limits, and the page does not say so.
func TestClosedIsNotInsideTheLimits(t *testing.T) {
	m := makerOf(t, shrunk(), "", testSayer(t))
	if len(m.flags) == 0 {
		t.Fatal("the visit raises no flag")
	}
	at := time.Date(2026, 5, 12, 9, 0, 0, 0, time.UTC)
	for i := range m.flags {
		m.flags[i].ClosedAt, m.flags[i].ClosedBy, m.flags[i].CloseReason = &at, "a", "expected while the limb settles"
	}
	sheet := m.sheet()
	if got := m.finding(); got != "No flag is open, but values lie outside the set limits" {
		t.Errorf("heading %q", got)
	}
	for _, want := range []string{"Limb volume −13.4", "closed on 12 May 2026 by A, because: expected while the limb settles"} {
		if !slices.ContainsFunc(sheet.Standing, func(line string) bool { return strings.Contains(line, want) }) {
			t.Errorf("%q lack %q", sheet.Standing, want)
		}
	}
	m.flags = nil
	if got := m.sheet().Standing; len(got) == 0 || !strings.Contains(got[0], "no flag was opened") {
		t.Errorf("without any flag: %q", got)
	}
	m.standing = nil
	if got := m.finding(); got != "No value outside the set limits" {
		t.Errorf("with nothing outside: %q", got)
	}
}

// TestMostUrgentLimbFirst opens a client of two limbs at the one that is
// waited for, and names the other.
func TestMostUrgentLimbFirst(t *testing.T) {
	s := newSite(t)
	client := s.BenchClient("K-061")
	second := models.Limb{ClientID: client.ID, Side: quantity.Right, Level: quantity.Transtibial, Origin: models.Amputation, AmputatedOn: "2020-03-01"}
	if err := s.store.CreateLimb(t.Context(), &second); err != nil {
		t.Fatal(err)
	}
	b := s.As("fitter", models.Fitter)
	checkin := b.Visit(client, "delivery", "33.4", "33.7", "32.1")
	path := "/clients/" + client.ID
	b.Get(path).Has(t, http.StatusOK, "left transtibial ·", `aria-current="page">Left transtibial`)
	other := client
	other.Limb = second
	s.raise(other, checkin, assess.ClearanceBelow, assess.AboutCover)
	b.Get(path).Has(t, http.StatusOK, `aria-current="page">Right transtibial`, "One place on the cover")
	b.Get(path+"?limb="+client.Limb.ID).Has(t, http.StatusOK, `aria-current="page">Left transtibial`, "No value outside the set limits",
		`</svg>Soon</span> <a href="`+path+"?limb="+second.ID+`">Right transtibial: one open flag</a>`)
}

// TestPlusMinusIsOneThing: ± is half of the 95 % interval wherever it stands.
func TestPlusMinusIsOneThing(t *testing.T) {
	l := shrunk()
	l.Visits = l.Visits[:1]
	m := makerOf(t, l, "", testSayer(t))
	u := m.view.Taped.Volume.UML
	if got, want := m.volumeAnswer().Interval, "± "+m.decimal(volume.Normal975*u, 0)+" (95 %)"; got != want {
		t.Errorf("volume %q, want %q", got, want)
	}
	if got := m.gapWords(assess.Gap{GapMM: 2.4, UMM: 0.5, Readings: 1}); got != "2.4 ± 1.0" {
		t.Errorf("gap %q, want 2.4 ± 1.0", got)
	}
	m = makerOf(t, shrunk(), "", testSayer(t))
	change := m.view.Taped.Change
	if got, want := m.volumeAnswer().Interval, "95 %: "+m.interval(change.LoPercent, change.HiPercent); got != want {
		t.Errorf("interval of a change %q, want %q", got, want)
	}
	said := strings.Join(m.budget().Change, " ")
	if strings.Contains(said, "±") || strings.Count(said, "standard uncertainty") != 2 {
		t.Errorf("the budget says %q", said)
	}
}

// TestMeasureAgainIsForTheBench: on a page that is read days later there is no
// client to keep.
func TestMeasureAgainIsForTheBench(t *testing.T) {
	y := testSayer(t)
	const bench = "before the client leaves"
	if said := y.verdict(volume.CannotTell); strings.Contains(said, bench) {
		t.Errorf("the verdict says %q", said)
	}
	f := example(assess.VolumeUnresolved)
	if said := y.finding(f); strings.Contains(said.Why, bench) || !strings.Contains(said.Why, "Measure again at the next visit.") {
		t.Errorf("a flag says %q", said.Why)
	}
	y.atCheckin = true
	if said := y.finding(f); !strings.Contains(said.Why, bench) {
		t.Errorf("the check-in's own result says %q", said.Why)
	}
}

// TestSinceAccepted says which day it is where the limb was not taped on the day
// on which the socket was accepted.
func TestSinceAccepted(t *testing.T) {
	for accepted, want := range map[quantity.Date]string{
		"2026-03-12": "since this socket was accepted", "2026-03-01": "since the first visit after this socket was accepted",
	} {
		l := shrunk()
		l.Prosthesis = &models.Prosthesis{SocketAcceptedOn: accepted}
		m := makerOf(t, l, followup.SinceAccepted, testSayer(t))
		if got := m.since(); got != want {
			t.Errorf("accepted on %s: %q, want %q", accepted, got, want)
		}
	}
}

// TestCheckinSaysSinceWhen does the same on a check-in's own page.
func TestCheckinSaysSinceWhen(t *testing.T) {
	s := newSite(t)
	client := s.BenchClient("K-071")
	p, err := s.store.ProsthesisOf(t.Context(), client.Limb.ID)
	if err != nil {
		t.Fatal(err)
	}
	p.SocketAcceptedOn = "2026-01-02"
	if err := s.store.SaveProsthesis(t.Context(), &p); err != nil {
		t.Fatal(err)
	}
	b := s.As("kit", models.Fitter)
	b.Visit(client, "follow-up", "33.4", "33.7", "32.1")
	s.clock.Pass(10 * time.Minute)
	where := b.Visit(client, "follow-up", "33.4", "33.7", "32.1")
	b.Get(where).Has(t, http.StatusOK, "Since the first visit after this socket was accepted (")
}

// TestVolumesAsShown downloads the changes that the page shows, with what they
// are counted from.
func TestVolumesAsShown(t *testing.T) {
	l := shrunk()
	m := makerOf(t, l, "two", testSayer(t))
	if got := m.volume().CSV; !strings.HasSuffix(got, "/volume.csv?since=two") {
		t.Errorf("link %q", got)
	}
	table := volumeCSV(m.view, nil)
	at := slices.Index(table[0], "reference_on")
	if at < 0 || table[1][at] != "2026-05-11" {
		t.Fatalf("table %q, want a column reference_on of 2026-05-11", table)
	}
	if change := slices.Index(table[0], "change_percent"); table[1][change] == "" || len(table[1]) != len(table[0]) {
		t.Errorf("row %q", table[1])
	}
}

// TestLostDrawingIsTold keeps the page and tells that a drawing is missing.
func TestLostDrawingIsTold(t *testing.T) {
	m := makerOf(t, shrunk(), "", testSayer(t))
	var lost []string
	m.lost = func(drawing string, err error) { lost = append(lost, drawing) }
	m.view.Visits[0].Local = m.view.Visits[1].Local.Add(time.Hour) // out of order
	m.view.Taped.Assessed.Residual.Series.CapDepthMM = -1
	m.view.Taped.Assessed.Residual.Series.CapKind = quantity.ConeCap
	sheet := m.sheet()
	if len(sheet.Where.Levels) == 0 || sheet.Where.Limb != nil || sheet.Volume.Chart != nil {
		t.Error("the figures are lost with the drawings, or there are drawings")
	}
	if !slices.Equal(lost, []string{"limb", "course"}) {
		t.Errorf("told of %q, want limb and course", lost)
	}
}
