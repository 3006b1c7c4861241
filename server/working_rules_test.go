package server

import (
	"fmt"
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

// gapRecord is a record of one check-in with readings of the gap at one station,
// in tenths of a mm.
func gapRecord(station models.Station, method quantity.ClearanceMethod, tenths ...int) followup.ClientRecord {
	station.ID, station.Direction, station.Posture = "station", quantity.Posterior, quantity.Seated
	seen := models.CheckinLimb{LimbID: "limb"}
	for _, gap := range tenths {
		length := quantity.Length(gap)
		seen.Clearances = append(seen.Clearances, models.ClearanceReading{StationID: "station", Method: method, Gap: &length})
	}
	c := models.Checkin{ID: "now", MeasuredAt: time.Date(2026, 3, 12, 9, 0, 0, 0, time.UTC), Zone: "UTC", Limbs: []models.CheckinLimb{seen}}
	l := followup.LimbRecord{
		Limb: models.Limb{ID: "limb", Level: quantity.Transtibial}, Cover: &models.Cover{Stations: []models.Station{station}},
		Visits: []followup.LimbVisit{{Checkin: c, Seen: seen}},
	}
	return followup.ClientRecord{Limbs: []followup.LimbRecord{l}, Checkins: []models.Checkin{c}}
}

// found is the finding of a rule about the only limb of a record.
func found(t failer, record followup.ClientRecord, rule assess.Rule) assess.Finding {
	t.Helper()
	findings, err := record.Limbs[0].Assess()
	if err != nil {
		t.Fatalf("assess: %v", err)
	}
	i := slices.IndexFunc(findings, func(f assess.Finding) bool { return f.Rule == rule })
	if i < 0 {
		t.Fatalf("no finding of %s among %+v", rule, findings)
	}
	return findings[i]
}

// wantLines fails for each line that the steps lack; $ stands for the narrow
// space.
func wantLines(t *testing.T, view workingView, lines ...string) {
	t.Helper()
	if view.Missing != "" {
		t.Fatalf("missing: %s", view.Missing)
	}
	var all []string
	for _, step := range view.Steps {
		all = append(append(all, step.What), step.Lines...)
		for _, table := range step.Tables {
			for _, row := range append(table.Rows, table.Total) {
				all = append(all, strings.Join(row, " | "))
			}
		}
	}
	for _, want := range lines {
		if !slices.Contains(all, strings.ReplaceAll(want, "$", narrow)) {
			t.Errorf("no line %q among\n%s", want, strings.Join(all, "\n"))
		}
	}
	workOutLines(t, view.Steps)
}

func TestGapByHand(t *testing.T) {
	y := testSayer(t)
	wall := models.Station{Neighbour: quantity.SocketWall} // starting limits 3 and 2 mm
	accepted := quantity.Length(41)
	for _, tt := range []struct {
		rule   assess.Rule
		record followup.ClientRecord
		limit  string
		lines  []string
	}{
		// Row K7: σ = 0.5 mm for a feeler; one-sided 95 %: 1.645.
		{assess.ClearanceBelow, gapRecord(wall, quantity.Feeler, 20, 22), "Limit: 3$mm, starting value, not yet confirmed.", []string{
			"feeler | 2.0 | 0.5", "(2.0 + 2.2) ÷ 2 = 2.1$mm", "u = √(0.5² + 0.5²) ÷ 2 = 0.3536$mm",
			"2.1 + 1.645 × 0.3536 = 2.682$mm, less than 3$mm", "In standard uncertainties: (2.1 − 3) ÷ 0.3536 = −2.5",
		}},
		{assess.ClearanceUnsure, gapRecord(wall, quantity.WitnessMark, 35), "Limit: 3$mm, starting value, not yet confirmed.", []string{
			"u = √(1²) ÷ 1 = 1$mm", "3.5 − 1.645 × 1 = 1.855$mm, less than 3$mm", "3.5 + 1.645 × 1 = 5.145$mm, not less than 3$mm",
		}},
		{assess.AsBuiltDrop, gapRecord(models.Station{Neighbour: quantity.SocketWall, AsBuilt: &accepted, AsBuiltBy: "R. Alder", AsBuiltOn: "2026-01-05"}, quantity.Feeler, 25, 23),
			"Accepted at delivery: 4.1$mm, set by R. Alder on 5 January 2026.", []string{
				"4.1 − 2.4 = 1.7$mm", "u = √(0.5² + 0.3536²) = 0.6124$mm", "1.645 × 0.6124 = 1.007$mm, less than 1.7$mm",
				"In standard uncertainties: 1.7 ÷ 0.6124 = 2.8",
			}},
	} {
		t.Run(string(tt.rule), func(t *testing.T) {
			view := y.working(tt.record, "limb", found(t, tt.record, tt.rule), "")
			wantLines(t, view, tt.lines...)
			if want := strings.ReplaceAll(tt.limit, "$", narrow); view.Limit != want {
				t.Errorf("limit %q, want %q", view.Limit, want)
			}
		})
	}
}

// TestAnyGapByHand works gaps out again from what is written, whatever was read.
func TestAnyGapByHand(t *testing.T) {
	y := testSayer(t)
	rapid.Check(t, func(t *rapid.T) {
		station := models.Station{Neighbour: quantity.SocketWall, LimitBy: "R. Alder", LimitOn: "2026-03-01"}
		warn, act := quantity.Length(rapid.IntRange(200, 400).Draw(t, "warn")), quantity.Length(1)
		station.WarnLimit, station.ActLimit = &warn, &act
		rule := assess.ClearanceBelow
		if rapid.Bool().Draw(t, "accepted") {
			station.AsBuilt, station.AsBuiltOn, rule = &warn, "2026-03-05", assess.AsBuiltDrop
		}
		method := rapid.SampledFrom([]quantity.ClearanceMethod{quantity.Feeler, quantity.WitnessMark}).Draw(t, "method")
		record := gapRecord(station, method, rapid.SliceOfN(rapid.IntRange(2, 150), 1, 9).Draw(t, "gaps")...)
		if n := workOutLines(t, y.working(record, "limb", found(t, record, rule), "").Steps); n < 4 {
			t.Errorf("only %d lines are keys of a calculator", n)
		}
	})
}

func TestPairsByHand(t *testing.T) {
	now := tapeSeriesA(0, "a")
	now.readings[0], now.readings[5] = []float64{320, 325.5}, []float64{250, 253.5}
	record, _, _ := tapeRecord(t, tapeSeriesA(0, "a"), now)
	view := testSayer(t).working(record, "limb", found(t, record, assess.ReadingsDisagree), "")
	// Row M1: max(3 mm, 1.5 % of the mean): 4.84125 and 3.77625 mm.
	wantLines(t, view, "0 | 320.0 | 325.5 | 5.5 | 4.84125")
	if n := len(view.Steps[0].Tables[0].Rows); n != 1 {
		t.Errorf("%d pairs, want the one of 5.5 mm alone", n)
	}
}

func TestSocksByHand(t *testing.T) {
	sock := func(ply int, worn bool) models.Sock {
		return models.Sock{Occasion: models.SocksNow, Ply: ply, Material: "single", Worn: worn}
	}
	then, now := tapeSeriesA(0, "a"), tapeSeriesA(0, "a")
	then.socks = []models.Sock{sock(1, false)}
	now.socks = []models.Sock{sock(1, false), sock(3, true), sock(5, false), sock(5, false)}
	record, _, _ := tapeRecord(t, then, now)
	y := testSayer(t)
	for rule, lines := range map[assess.Rule][]string{
		assess.SocksThick: {"3, and 3 or more is told", "5 ply, one material | 2 | 1.5 | 0.225"},
		assess.SocksPly:   {"1 × 1 + 1 × 3 + 2 × 5 = 14, more than 10"},
		// Sanders et al. 2012: 0.7, 1.2 and 1.5 mm for 1, 3 and 5 ply.
		assess.SockLayers: {
			"4 − 1 = 3, and 2 or more is told", "3 ply, one material, worn thin | 0 | 1 | 1.2 | 0.3499",
			"Then: 0.7 mm, u = 0.105 mm", "Now: 4.9 mm, u = 0.580 mm",
		},
	} {
		t.Run(string(rule), func(t *testing.T) {
			wantLines(t, y.working(record, "limb", found(t, record, rule), ""), lines...)
		})
	}
}

// roomRecord is a record whose room in the socket is judged by a limit that a
// prosthetist set.
func roomRecord(t failer, then, now tapeVisit) followup.ClientRecord {
	t.Helper()
	record, _, _ := tapeRecord(t, then, now)
	room := quantity.FromMM(0.1)
	record.Limbs[0].Prosthesis = &models.Prosthesis{SocketAcceptedOn: "2026-03-12"}
	record.Limbs[0].Limits = []models.LimbLimits{{Number: 1, Room: &room, SetBy: "R. Alder", SetOn: "2026-03-12"}}
	return record
}

func TestRoomByHand(t *testing.T) {
	then, now := tapeSeriesA(0, "a"), tapeSeriesA(25, "a")
	then.liner, now.liner = new(3.0), new(3.5)
	now.socks = []models.Sock{{Occasion: models.SocksNow, Ply: 1, Material: "blended"}}
	record := roomRecord(t, then, now)
	view := testSayer(t).working(record, "limb", found(t, record, assess.RoomChanged), "")
	wantLines(t, view, "Liner: 3.5 − 3 = 0.5$mm; u = 0.7071 mm, of 0.5 mm for each liner that was worn.", "Socks: 0.4 mm, u = 0.1 mm")
	if view.Limit != "Limit: 0.1"+narrow+"mm, set by R. Alder on 12 March 2026." {
		t.Errorf("limit %q", view.Limit)
	}
	// 25 mm less girth everywhere is 25/2π = 3.979 mm less radius (geometry).
	if all := fmt.Sprint(view.Steps); !strings.Contains(all, "= 3.979"+narrow+"mm") || !strings.Contains(all, "3.979 − 0.5 − 0.400 = 3.079"+narrow+"mm") {
		t.Errorf("no limb of 3.979 mm less 0.9 mm in %s", all)
	}
}

// TestAnyRoomByHand works rooms out again from what is written.
func TestAnyRoomByHand(t *testing.T) {
	y := testSayer(t)
	rapid.Check(t, func(t *rapid.T) {
		size := float64(rapid.IntRange(100, 700).Draw(t, "size"))
		levels := drawLevels(t, "levels")
		then := drawTape(t, "then", levels, size*1.5)
		now := drawTape(t, "now", levels, size)
		now.fitter = then.fitter
		record := roomRecord(t, then, now)
		findings, err := record.Limbs[0].Assess()
		if err != nil {
			t.Fatalf("assess: %v", err)
		}
		for _, f := range findings {
			if f.Rule == assess.RoomChanged {
				if n := workOutLines(t, y.working(record, "limb", f, "").Steps); n < 10 {
					t.Errorf("only %d lines are keys of a calculator", n)
				}
			}
		}
	})
}

// TestEveryRuleHasAWorking walks the rules: one that rests on a check-in which
// is not there says so, and all others say what they rest on.
func TestEveryRuleHasAWorking(t *testing.T) {
	y := testSayer(t)
	for _, rule := range assess.Rules {
		view := y.working(followup.ClientRecord{}, "limb", example(rule), "")
		if view.Missing == "" && len(view.Steps) == 0 || view.Source == "" || view.Limit == "" {
			t.Errorf("%s: %+v", rule, view)
		}
		for _, step := range view.Steps {
			if len(step.Lines) == 0 || step.What == "" || strings.Contains(fmt.Sprint(step), "NaN") {
				t.Errorf("%s: step %+v", rule, step)
			}
		}
	}
	fall := y.working(followup.ClientRecord{}, "limb", example(assess.RecentFall), "")
	wantLines(t, fall, "No arithmetic: one answer is enough.", "Pain at worst: 4 − 1 = 3, and 2 or more is told")
	comfort := y.working(followup.ClientRecord{}, "limb", example(assess.ComfortDrop), "")
	wantLines(t, comfort, "Comfort: 8 − 6 = 2, and 2 or more is told")
}
