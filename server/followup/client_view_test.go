package followup_test

import (
	"math"
	"strconv"
	"testing"
	"time"

	"fairlead/analytics/assess"
	"fairlead/analytics/clearance"
	"fairlead/analytics/quantity"
	"fairlead/analytics/volume"
	"fairlead/models"
	"fairlead/server/followup"
)

// taping is one visit of a test: a day, a fitter, and girths in millimetres at
// 0, 30, 60 and 90 mm; none leaves the limb out.
type taping struct {
	day    int
	kind   models.CheckinKind
	fitter string
	plan   string
	cover  string // the id of the one that it names
	girths []float64
	sound  []float64
	socks  []models.Sock
	gaps   map[string]float64 // by station, in mm
	shoe   string
}

var firstDay = time.Date(2026, 3, 12, 9, 0, 0, 0, time.UTC)

// levels are where every taping of these tests measures.
var levels = []float64{0, 30, 60, 90}

func girthsOf(first float64) []float64 { return []float64{first, first - 5, first - 20, first - 40} }

// record makes a transtibial limb with a cover and the visits given.
func record(visits ...taping) followup.LimbRecord {
	l := followup.LimbRecord{
		Limb: models.Limb{ID: "limb", Side: quantity.Left, Level: quantity.Transtibial, OtherSideSound: true},
		Plans: []models.MeasuringPlan{
			{ID: "plan", Number: 1, Landmark: "mid-patellar tendon", CapKind: quantity.SemiEllipsoid, CapDepth: length(40)},
			{ID: "other", Number: 2, Landmark: "fibula head", CapKind: quantity.NoCap},
		},
		Cover: &models.Cover{ID: "cover", DeliveredOn: "2026-03-12"},
	}
	for _, d := range quantity.Directions {
		l.Cover.Stations = append(l.Cover.Stations, models.Station{
			ID: string(d), Level: quantity.FromMM(60), Direction: d, Posture: quantity.Seated, Neighbour: quantity.SocketWall,
		})
	}
	for i, v := range visits {
		l.Visits = append(l.Visits, v.visit(i))
	}
	return l
}

func length(mm float64) *quantity.Length {
	l := quantity.FromMM(mm)
	return &l
}

func (v taping) visit(i int) followup.LimbVisit {
	plan := v.plan
	if plan == "" {
		plan = "plan"
	}
	visit := followup.LimbVisit{
		Checkin: models.Checkin{
			ID: "checkin-" + strconv.Itoa(i), Kind: v.kind, MeasuredAt: firstDay.AddDate(0, 0, v.day), Zone: "Europe/Berlin",
			MeasuredBy: v.fitter, Number: 1,
		},
		Seen: models.CheckinLimb{LimbID: "limb", PlanID: &plan, Socks: v.socks, Shoe: v.shoe},
	}
	if v.cover != "" {
		visit.Seen.CoverID = &v.cover
	}
	for part, girths := range map[quantity.BodyPart][]float64{quantity.Residual: v.girths, quantity.Sound: v.sound} {
		for at, mm := range girths {
			for pass := 1; pass <= 2; pass++ {
				visit.Seen.Readings = append(visit.Seen.Readings, models.Reading{
					Part: part, Level: quantity.FromMM(levels[at]), Pass: pass, Girth: quantity.FromMM(mm),
				})
			}
		}
	}
	for _, d := range quantity.Directions {
		if mm, ok := v.gaps[string(d)]; ok {
			visit.Seen.Clearances = append(visit.Seen.Clearances, models.ClearanceReading{
				StationID: string(d), Method: quantity.Feeler, Gap: length(mm),
			})
		}
	}
	return visit
}

func view(t *testing.T, l followup.LimbRecord, since followup.Reference) followup.LimbView {
	t.Helper()
	v, err := l.View(since)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func TestViewInEveryCase(t *testing.T) {
	delivered := taping{kind: models.Delivery, fitter: "a", girths: girthsOf(340), sound: girthsOf(345)}
	tests := []struct {
		name    string
		visits  []taping
		since   followup.Reference
		verdict volume.Verdict // empty: no change
		levels  int            // rows of the comparison
		control bool
		before  bool
	}{
		{"no visit", nil, "", "", 0, false, false},
		{"one visit", []taping{delivered}, "", "", 0, false, false},
		{"smaller, with the sound limb beside it", []taping{delivered, {day: 60, fitter: "a", girths: girthsOf(320), sound: girthsOf(345)}}, "", volume.Smaller, 4, true, false},
		{"larger", []taping{delivered, {day: 60, fitter: "a", girths: girthsOf(360)}}, "", volume.Larger, 4, false, false},
		{"no change", []taping{delivered, {day: 60, fitter: "a", girths: girthsOf(339)}}, "", volume.NoChange, 4, false, false},
		{"another fitter: large and unresolved", []taping{delivered, {day: 60, fitter: "b", girths: girthsOf(328)}}, "", volume.CannotTell, 4, false, false},
		{"another landmark", []taping{delivered, {day: 60, fitter: "a", plan: "other", girths: girthsOf(320)}}, "", volume.NotComparable, 0, false, false},
		{"newest visit not taped", []taping{delivered, {day: 60, fitter: "a", girths: girthsOf(320)}, {day: 90}}, "", volume.Smaller, 4, false, false},
		{"against the visit before", []taping{delivered, {day: 60, fitter: "a", girths: girthsOf(320)}, {day: 90, fitter: "a", girths: girthsOf(321)}}, followup.SincePrevious, volume.NoChange, 4, false, false},
		{"since delivery, with the visit before beside it", []taping{delivered, {day: 60, fitter: "a", girths: girthsOf(320)}, {day: 90, fitter: "a", girths: girthsOf(321)}}, "", volume.Smaller, 4, false, true},
		{"from the newest visit itself", []taping{delivered, {day: 60, fitter: "a", girths: girthsOf(320)}}, "checkin-1", "", 0, false, true},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			v := view(t, record(tt.visits...), tt.since)
			var verdict volume.Verdict
			if v.Taped != nil && v.Taped.Change != nil {
				verdict = v.Taped.Change.Verdict
			}
			if verdict != tt.verdict || len(v.Girths) != tt.levels || (v.Control != nil) != tt.control || (v.Before != nil) != tt.before {
				t.Errorf("verdict %q, %d levels, control %t, before %t; want %q, %d, %t, %t",
					verdict, len(v.Girths), v.Control != nil, v.Before != nil, tt.verdict, tt.levels, tt.control, tt.before)
			}
			if len(v.Visits) != len(tt.visits) {
				t.Errorf("%d visits, want %d", len(v.Visits), len(tt.visits))
			}
		})
	}
}

// TestViewWithoutCone keeps clearances where there is no length to tape.
func TestViewWithoutCone(t *testing.T) {
	l := record(taping{kind: models.Delivery, gaps: map[string]float64{"posterior": 12}})
	l.Limb.Level = quantity.PartialFoot
	v := view(t, l, "")
	if v.Taped != nil || v.NoRoom != assess.NotMeasured {
		t.Errorf("taped %v, room %q; want neither", v.Taped, v.NoRoom)
	}
	if tightest := v.Tightest(); tightest == nil || tightest.Now.GapMM != 12 {
		t.Errorf("tightest = %+v, want the gap of 12 mm", tightest)
	}
}

// TestSegmentsAddUp checks the parts against the whole: the segments of a
// comparison are the frusta that its volumes are the sums of.
func TestSegmentsAddUp(t *testing.T) {
	v := view(t, record(
		taping{kind: models.Delivery, fitter: "a", girths: girthsOf(340)}, taping{day: 60, fitter: "a", girths: girthsOf(320)}), "")
	var then, now, share float64
	for _, s := range v.Segments {
		then, now, share = then+s.ThenML, now+s.NowML, share+s.ShareOfPercent
	}
	change := v.Taped.Change
	for name, pair := range map[string][2]float64{
		"then": {then, change.ReferenceML}, "now": {now, change.NowML}, "share": {share, change.ChangePercent},
	} {
		if math.Abs(pair[0]-pair[1]) > 1e-9*math.Abs(pair[1]) {
			t.Errorf("%s: segments add up to %v, the change has %v", name, pair[0], pair[1])
		}
	}
}

func TestStationsFollowTheVisits(t *testing.T) {
	v := view(t, record(
		taping{kind: models.Delivery, shoe: "flat", gaps: map[string]float64{"anterior": 5, "lateral": 5, "posterior": 5, "medial": 5}},
		taping{day: 30, shoe: "heel", gaps: map[string]float64{"posterior": 1}},
		taping{day: 60, shoe: "flat", gaps: map[string]float64{"posterior": 1.8}},
	), "")
	tightest := v.Tightest()
	switch {
	case tightest == nil || tightest.Station.ID != "posterior" || tightest.Now.State != clearance.BelowWarn:
		t.Fatalf("tightest = %+v, want posterior below its warn limit", tightest)
	case tightest.Then == nil || tightest.Then.GapMM != 5:
		t.Errorf("then = %+v, want 5 mm: the reading in another shoe is not compared", tightest.Then)
	}
	if n := v.CountStates(); n[clearance.BelowWarn] != 1 || len(n) != 1 {
		t.Errorf("states = %v, want the one station of the newest walk", n)
	}
	for _, s := range v.Stations {
		if current := s.Station.ID == "posterior"; s.Current != current {
			t.Errorf("%s: current %t, want %t", s.Station.ID, s.Current, current)
		}
	}
	if len(v.Sections) != 1 || len(v.Sections[0].Visits) != 3 || len(v.Sections[0].Visits[0].Gaps) != 4 {
		t.Errorf("sections = %+v, want one at three visits, whole at delivery", v.Sections)
	}
}

// TestSectionsOfManyVisits shows the first, one in the middle and the newest.
func TestSectionsOfManyVisits(t *testing.T) {
	var visits []taping
	for i := range 7 {
		visits = append(visits, taping{day: 30 * i, gaps: map[string]float64{"anterior": 5, "posterior": 5 - float64(i)/10}})
	}
	v := view(t, record(visits...), "")
	var days []quantity.Date
	for _, at := range v.Sections[0].Visits {
		days = append(days, at.On)
	}
	if len(days) != 3 || days[0] != v.Visits[0].Assessed.On || days[1] != v.Visits[3].Assessed.On || days[2] != v.Visits[6].Assessed.On {
		t.Errorf("visits of the section = %v, want the first, the fourth and the seventh", days)
	}
}

// TestAcceptedGapsAreNoNews judges a gap that was accepted at delivery by what
// was accepted, as the rules do, and not by the limits of its station.
func TestAcceptedGapsAreNoNews(t *testing.T) {
	tests := []struct {
		name  string
		gapMM float64
		set   func(*models.Station)
		want  clearance.State
	}{
		{"as accepted", 2.4, func(*models.Station) {}, clearance.Clear},
		{"a drop beyond error", 1.0, func(*models.Station) {}, clearance.BelowWarn},
		{"touching", 0, func(*models.Station) {}, clearance.Touching},
		{"below a limit that was set later", 2.4, func(s *models.Station) {
			s.WarnLimit, s.ActLimit, s.LimitBy, s.LimitOn = length(4), length(2), "R. A.", "2026-04-01"
		}, clearance.BelowWarn},
		{"near skin", 2.4, func(s *models.Station) { s.Neighbour = quantity.SkinSurface }, clearance.BelowWarn},
		{"a drop above the limit to skin", 12, func(s *models.Station) {
			s.Neighbour, s.AsBuilt = quantity.SkinSurface, length(16)
		}, clearance.BelowWarn},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			l := record(
				taping{kind: models.Delivery, gaps: map[string]float64{"posterior": 2.4}}, taping{day: 30, gaps: map[string]float64{"posterior": tt.gapMM}})
			for i := range l.Cover.Stations {
				l.Cover.Stations[i].AsBuilt, l.Cover.Stations[i].AsBuiltOn = length(2.4), "2026-03-12"
				tt.set(&l.Cover.Stations[i])
			}
			v := view(t, l, "")
			if n := v.CountStates(); n[tt.want] != 1 {
				t.Errorf("states = %v, want one %s", n, tt.want)
			}
			findings, err := l.Assess()
			if err != nil {
				t.Fatal(err)
			}
			if raised := len(findings) > 0; raised != (tt.want != clearance.Clear) {
				t.Errorf("the rules raise %d findings, the page says %s", len(findings), tt.want)
			}
		})
	}
}
