package server

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"fairlead/analytics/assess"
	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/followup"
	"pgregory.net/rapid"
)

// drawLimb is any record of a limb, whole or not, that the store would take.
func drawLimb(t *rapid.T) followup.LimbRecord {
	l := followup.LimbRecord{
		Client: models.Client{StillGrowing: rapid.Bool().Draw(t, "growing"), ReducedFeeling: rapid.Bool().Draw(t, "feeling")},
		Limb: models.Limb{
			ID: "limb", Side: rapid.SampledFrom(quantity.Sides).Draw(t, "side"), Level: rapid.SampledFrom(quantity.AmputationLevels).Draw(t, "level"),
			Origin: rapid.SampledFrom(models.Origins).Draw(t, "origin"), OtherSideSound: rapid.Bool().Draw(t, "other side"),
		},
		Plans: []models.MeasuringPlan{
			{ID: "plan-0", Landmark: "a", CapKind: quantity.NoCap},
			{ID: "plan-1", Landmark: "a", CapKind: quantity.SemiEllipsoid, CapDepth: lengthOf(30)},
			{ID: "plan-2", Landmark: "b", CapKind: quantity.ConeCap, CapDepth: lengthOf(30)},
		},
	}
	if rapid.Bool().Draw(t, "prosthesis") {
		l.Prosthesis = &models.Prosthesis{NoSocket: rapid.Bool().Draw(t, "no socket"), SocketAcceptedOn: rapid.SampledFrom([]quantity.Date{"", "2026-01-01", "2026-02-10"}).Draw(t, "accepted")}
	}
	if rapid.Bool().Draw(t, "cover") {
		l.Cover = &models.Cover{ID: "cover", DeliveredOn: rapid.SampledFrom([]quantity.Date{"", "2026-01-05"}).Draw(t, "delivered"), Stations: drawStations(t, l.Limb.Level)}
	}
	for i := range rapid.IntRange(0, 3).Draw(t, "events") {
		l.Events = append(l.Events, models.Event{
			ID: fmt.Sprint(i), Kind: rapid.SampledFrom(models.EventKinds).Draw(t, "event"), What: "what", On: quantity.Date("2026-01-01").AddDays(rapid.IntRange(0, 90).Draw(t, "on")),
		})
	}
	at := time.Date(2026, 1, 1, 9, 0, 0, 0, time.UTC)
	for i := range rapid.IntRange(0, 5).Draw(t, "visits") {
		at = at.AddDate(0, 0, rapid.IntRange(0, 40).Draw(t, "days"))
		l.Visits = append(l.Visits, drawVisit(t, l, i, at))
	}
	return l
}

func lengthOf(mm float64) *quantity.Length {
	l := quantity.FromMM(mm)
	return &l
}

func drawStations(t *rapid.T, level quantity.AmputationLevel) []models.Station {
	var stations []models.Station
	for i := range rapid.IntRange(0, 6).Draw(t, "stations") {
		s := models.Station{
			ID: fmt.Sprint("station-", i), Level: quantity.FromMM(30 * float64(rapid.IntRange(0, 2).Draw(t, "at"))),
			Direction: rapid.SampledFrom(quantity.Directions).Draw(t, "direction"), Posture: rapid.SampledFrom(quantity.PosturesOf(level)).Draw(t, "posture"),
			Neighbour: rapid.SampledFrom(quantity.Neighbours).Draw(t, "neighbour"),
		}
		if rapid.Bool().Draw(t, "accepted gap") {
			s.AsBuilt, s.AsBuiltBy, s.AsBuiltOn = lengthOf(4), "somebody", "2026-01-05"
		}
		stations = append(stations, s)
	}
	return stations
}

func drawVisit(t *rapid.T, l followup.LimbRecord, i int, at time.Time) followup.LimbVisit {
	plan := fmt.Sprint("plan-", rapid.IntRange(0, 2).Draw(t, "plan"))
	number := func(name string, lo, hi int) *int {
		if !rapid.Bool().Draw(t, name+" asked") {
			return nil
		}
		n := rapid.IntRange(lo, hi).Draw(t, name)
		return &n
	}
	v := followup.LimbVisit{
		Checkin: models.Checkin{
			ID: fmt.Sprint("checkin-", i), Kind: rapid.SampledFrom(models.CheckinKinds).Draw(t, "kind"), MeasuredAt: at, EnteredAt: at, Zone: "Europe/Berlin",
			MeasuredBy: rapid.SampledFrom([]string{"a", "b"}).Draw(t, "fitter"), Number: 1, ComfortAverage: number("comfort", 0, 10),
			ComfortWorst: number("worst", 0, 10), PainWorst: number("pain", 0, 10), Looseness: number("looseness", -5, 5), WeightG: number("weight", 40000, 120000),
		},
		Seen: models.CheckinLimb{
			PlanID: &plan, Shoe: rapid.SampledFrom([]string{"", "flat", "heel"}).Draw(t, "shoe"),
			SocksNotDone: rapid.SampledFrom([]models.NotDone{models.Done, models.NoTime}).Draw(t, "socks not done"),
			SkinNotDone:  rapid.SampledFrom([]models.NotDone{models.Done, models.Declined}).Draw(t, "skin not done"),
		},
	}
	for range rapid.IntRange(0, 3).Draw(t, "socks") {
		v.Seen.Socks = append(v.Seen.Socks, models.Sock{Occasion: models.SocksNow, Ply: rapid.IntRange(0, 6).Draw(t, "ply")})
	}
	for _, part := range []quantity.BodyPart{quantity.Residual, quantity.Sound} {
		for level := range rapid.IntRange(0, 4).Draw(t, "levels") {
			v.Seen.Readings = append(v.Seen.Readings, models.Reading{
				Part: part, Level: quantity.FromMM(30 * float64(level)), Pass: 1, Girth: quantity.FromMM(float64(rapid.IntRange(200, 400).Draw(t, "girth"))),
			})
		}
	}
	if l.Cover != nil {
		for _, s := range l.Cover.Stations {
			v.Seen.Clearances = append(v.Seen.Clearances, drawClearance(t, s)...)
		}
	}
	for _, check := range models.FunctionChecks[:rapid.IntRange(0, len(models.FunctionChecks)).Draw(t, "checks")] {
		v.Seen.Functions = append(v.Seen.Functions, models.FunctionCheck{Check: check, Answer: rapid.SampledFrom(models.CheckAnswers).Draw(t, "answer")})
	}
	for range rapid.IntRange(0, 2).Draw(t, "signs") {
		v.Seen.Skin = append(v.Seen.Skin, models.SkinFinding{
			Moment: models.OnDoffing, Sign: rapid.SampledFrom(models.SkinSigns).Draw(t, "sign"), Place: rapid.SampledFrom([]string{"", "shin"}).Draw(t, "place"),
		})
	}
	return v
}

func drawClearance(t *rapid.T, s models.Station) []models.ClearanceReading {
	c := models.ClearanceReading{StationID: s.ID, Method: quantity.Feeler}
	switch rapid.IntRange(0, 3).Draw(t, "read") {
	case 0:
		return nil
	case 1:
		c.Gap = lengthOf(float64(rapid.IntRange(0, 150).Draw(t, "gap")) / 10)
	case 2:
		c.Method, c.Touch = quantity.WitnessMark, rapid.SampledFrom(quantity.Touches).Draw(t, "touch")
	case 3:
		c.Method = quantity.NotReachable
	}
	return []models.ClearanceReading{c}
}

// makerOf is the sheet of a record with the flags that its newest visit raises.
func makerOf(t testing.TB, l followup.LimbRecord, since followup.Reference, y sayer) sheetMaker {
	view, err := l.View(since)
	if err != nil {
		t.Fatal(err)
	}
	m := sheetMaker{
		sayer: y, client: l.Client, view: view, people: map[string]string{"a": "A", "b": "B"}, today: "2026-11-25", zone: time.UTC,
		lost: func(drawing string, err error) { t.Errorf("%s is lost: %v", drawing, err) },
	}
	if m.standing, err = l.Assess(); err != nil {
		t.Fatal(err)
	}
	for i, f := range m.standing {
		stored, err := json.Marshal(f)
		if err != nil {
			t.Fatal(err)
		}
		m.flags = append(m.flags, models.Flag{
			ID: fmt.Sprint(i), Rule: string(f.Rule), About: string(f.About), Level: string(f.Level),
			Evidence: []models.FlagEvidence{{Level: string(f.Level), Finding: stored}},
		})
	}
	return m
}

// headings are the sentences at the head of the page and of its sections.
func headings(m sheetMaker) []string {
	sheet := m.sheet()
	all := []string{m.finding(), sheet.Volume.Heading, sheet.Cover.Heading, sheet.Wear.Heading, sheet.Checks.Heading, sheet.History.Heading}
	if len(sheet.Where.Levels) > 0 {
		all = append(all, sheet.Where.Heading)
	}
	if sheet.Map.Map != nil {
		all = append(all, sheet.Map.Heading)
	}
	for _, a := range sheet.Answers {
		all = append(all, a.What, a.Sentence+a.Figure)
	}
	return all
}

// TestSheetOfAnyRecord makes the sheet of any record: it never panics, every
// text is there, no heading is empty, and none joins limb and cover or says a
// figure that is none.
func TestSheetOfAnyRecord(t *testing.T) {
	y := testSayer(t)
	rapid.Check(t, func(rt *rapid.T) {
		l := drawLimb(rt)
		since := followup.Reference(rapid.SampledFrom([]string{"", "delivery", "accepted", "first", "previous", "checkin-1", "nothing"}).Draw(rt, "since"))
		for _, heading := range headings(makerOf(t, l, since, y)) {
			low := strings.ToLower(heading)
			switch {
			case heading == "":
				rt.Fatal("a heading is empty")
			case strings.Contains(low, "nan") || strings.Contains(low, "inf") || strings.Contains(heading, "<no value>"):
				rt.Fatalf("a heading says %q", heading)
			case strings.Contains(low, "limb") && strings.Contains(low, "cover") && !strings.Contains(low, "since this cover was delivered"):
				rt.Fatalf("limb and cover in one sentence: %q", heading)
			}
		}
		if t.Failed() {
			rt.Fatal("a text is missing")
		}
	})
}

func taped(id string, days int, fitter string, girths ...float64) followup.LimbVisit {
	plan := "plan"
	v := followup.LimbVisit{
		Checkin: models.Checkin{ID: id, Kind: models.FollowUp, MeasuredAt: time.Date(2026, 3, 12+days, 9, 0, 0, 0, time.UTC), Zone: "UTC", MeasuredBy: fitter},
		Seen:    models.CheckinLimb{PlanID: &plan},
	}
	for i, mm := range girths {
		for pass := 1; pass <= 2; pass++ {
			v.Seen.Readings = append(v.Seen.Readings, models.Reading{
				Part: quantity.Residual, Level: quantity.FromMM(30 * float64(i)), Pass: pass, Girth: quantity.FromMM(mm),
			})
		}
	}
	return v
}

func TestHeadings(t *testing.T) {
	first := taped("one", 0, "a", 340, 335, 320, 300)
	tests := []struct {
		name   string
		level  quantity.AmputationLevel
		visits []followup.LimbVisit
		volume string
		where  string
	}{
		{"no visit", quantity.Transtibial, nil, "The limb has not been measured yet", ""},
		{"no cone", quantity.PartialFoot, nil, "Volume does not apply at this level of amputation", ""},
		{"one visit", quantity.Transtibial, []followup.LimbVisit{first}, "One measured visit, 758\u202fmL: too little to say more", "Girths as measured; nothing to compare them with"},
		{"the same again", quantity.Transtibial, []followup.LimbVisit{first, taped("two", 60, "a", 340, 335, 320, 300)},
			"No change beyond measurement since the first visit", "No level changed beyond tape error"},
		{"smaller all over", quantity.Transtibial, []followup.LimbVisit{first, taped("two", 60, "a", 316, 312, 298, 279)},
			"Smaller by 13.4 % since the first visit, beyond measurement; the newest measurement is in doubt: measure again", "Smaller beyond tape error at all four levels"},
		{"smaller at two levels", quantity.Transtibial, []followup.LimbVisit{first, taped("two", 60, "a", 340, 318, 303, 300)},
			"Smaller by 6.8 % since the first visit, beyond measurement", "Smaller at two of four levels beyond tape error, between 3 and 6\u202fcm"},
		{"smaller at one level", quantity.Transtibial, []followup.LimbVisit{first, taped("two", 60, "a", 340, 315, 320, 300)},
			"Smaller by 4.1 % since the first visit, beyond measurement", "Smaller beyond tape error at 3\u202fcm alone"},
		{"smaller at two levels that don't touch", quantity.Transtibial, []followup.LimbVisit{first, taped("two", 60, "a", 318, 335, 299, 300)},
			"Smaller by 6.4 % since the first visit, beyond measurement", "Smaller beyond tape error at two of four levels"},
		{"both ways", quantity.Transtibial, []followup.LimbVisit{first, taped("two", 60, "a", 340, 355, 300, 300)},
			"No change beyond measurement since the first visit", "Beyond tape error: smaller at one of four levels, larger at one"},
		{"unresolved between fitters", quantity.Transtibial, []followup.LimbVisit{first, taped("two", 60, "b", 331, 326, 311, 291)},
			"−15.8 to +4.9 % since the first visit: can't be told from measuring error", "No level changed beyond tape error"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			l := followup.LimbRecord{
				Limb: models.Limb{ID: "limb", Side: quantity.Left, Level: tt.level}, Plans: []models.MeasuringPlan{{ID: "plan", Landmark: "a"}}, Visits: tt.visits,
			}
			sheet := makerOf(t, l, "", testSayer(t)).sheet()
			if sheet.Volume.Heading != tt.volume || sheet.Where.Heading != tt.where {
				t.Errorf("volume %q\nwhere  %q\nwant   %q\nand    %q", sheet.Volume.Heading, sheet.Where.Heading, tt.volume, tt.where)
			}
		})
	}
}

// TestHeadOfPage says what is most urgent, and never that all is well.
func TestHeadOfPage(t *testing.T) {
	flag := func(level assess.Level, about assess.About) models.Flag {
		return models.Flag{Level: string(level), About: string(about)}
	}
	closed := time.Now()
	tests := []struct {
		name  string
		flags []models.Flag
		want  string
	}{
		{"nothing open", nil, "No value outside the set limits"},
		{"closed", []models.Flag{{Level: "now", About: "limb", ClosedAt: &closed}}, "No value outside the set limits"},
		{"now before soon", []models.Flag{flag("now", "skin"), flag("soon", "cover")}, "One thing needs a person today"},
		{"one place", []models.Flag{flag("soon", "cover"), flag("watch", "limb")}, "One place on the cover needs a look within days"},
		{"mixed", []models.Flag{flag("soon", "cover"), flag("soon", "limb")}, "Two things need someone within days"},
		{"watch", []models.Flag{flag("watch", "data")}, "One thing about the readings to look at"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			m := sheetMaker{sayer: testSayer(t), view: followup.LimbView{Last: &followup.VisitView{}}, flags: tt.flags}
			if got := m.finding(); got != tt.want {
				t.Errorf("got %q, want %q", got, tt.want)
			}
		})
	}
	for _, level := range []assess.Level{assess.Soon, assess.Watch} {
		for _, about := range []assess.About{assess.AboutSkin, assess.AboutLimb, assess.AboutCover, assess.AboutData, "mixed"} {
			m := sheetMaker{sayer: testSayer(t), view: followup.LimbView{Last: &followup.VisitView{}}, flags: []models.Flag{flag(level, about)}}
			if m.finding() == "" {
				t.Errorf("%s about %s has no heading", level, about)
			}
		}
	}
}

// TestSheetStaysCalm keeps what is in sight short with 60 visits and 20 flags.
func TestSheetStaysCalm(t *testing.T) {
	l := followup.LimbRecord{Limb: models.Limb{ID: "limb", Side: quantity.Left, Level: quantity.Transtibial}, Plans: []models.MeasuringPlan{{ID: "plan"}}}
	for i := range 60 {
		l.Visits = append(l.Visits, taped(fmt.Sprint(i), 7*i, "a", 340, 335, 320, 300))
	}
	m := makerOf(t, l, "", testSayer(t))
	for i := range 20 {
		m.flags = append(m.flags, models.Flag{ID: fmt.Sprint(i), Level: "watch", About: "data", Rule: "readings-disagree"})
	}
	sheet := m.sheet()
	if n := len(sheet.Open.First); n != flagsInSight || len(sheet.Open.More) != 20-flagsInSight {
		t.Errorf("%d flags in sight, %d behind a step", n, len(sheet.Open.More))
	}
	if len(sheet.Wear.First) != rowsInSight || len(sheet.History.First) != linesInSight || len(sheet.Map.Map.Visits) != followup.GirthVisits {
		t.Errorf("%d rows, %d lines, %d columns in sight", len(sheet.Wear.First), len(sheet.History.First), len(sheet.Map.Map.Visits))
	}
	if len(sheet.Wear.More) != 60-rowsInSight {
		t.Errorf("%d rows behind a step: some are lost", len(sheet.Wear.More))
	}
}
