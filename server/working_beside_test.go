package server

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"fairlead/analytics/assess"
	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/followup"
	"pgregory.net/rapid"
)

// withSound adds the girths of the sound limb to both check-ins of a tapeRecord.
func withSound(record followup.ClientRecord, then, now tapeVisit) followup.ClientRecord {
	for i, at := range []tapeVisit{then, now} {
		seen := record.Limbs[0].Visits[i].Seen
		for j, level := range at.levels {
			for pass, mm := range at.readings[j] {
				seen.Readings = append(seen.Readings, models.Reading{
					Part: quantity.Sound, Level: quantity.FromMM(level), Pass: pass + 1, Girth: quantity.FromMM(mm),
				})
			}
		}
		record.Limbs[0].Visits[i].Seen = seen
		record.Checkins[i].Limbs = []models.CheckinLimb{seen}
		record.Limbs[0].Visits[i].Checkin = record.Checkins[i]
	}
	return record
}

// asideOf is the only step with steps of its own.
func asideOf(t failer, steps []workingStep) (workingStep, *workingAside) {
	t.Helper()
	i := slices.IndexFunc(steps, func(s workingStep) bool { return s.Aside != nil })
	if i < 0 {
		t.Fatalf("no steps of the sound limb among %+v", steps)
	}
	return steps[i], steps[i].Aside
}

// TestSoundLimbByHand has the sound limb's own girths and steps on the page, and
// the difference of the two changes: for series A of limb_geometry_checks.csv 25 mm
// less girth on one side and 5 mm less on the other (−3.189497 %).
func TestSoundLimbByHand(t *testing.T) {
	y := testSayer(t)
	record, _, _ := tapeRecord(t, tapeSeriesA(0, "a"), tapeSeriesA(25, "a"))
	record = withSound(record, tapeSeriesA(0, "a"), tapeSeriesA(5, "a"))
	f := found(t, record, assess.VolumeChange)
	view := y.working(record, "limb", f, "")
	step, aside := asideOf(t, view.Steps)
	byHand(t, aside.Steps, record.Working("limb", f).Volume.Sound.Volume)
	if got := aside.Steps[0].Tables[1].Rows[0]; strings.Join(got, " | ") != "0 | 315.0; 315.0 | 315" {
		t.Errorf("the first girth of the sound limb now is %v", got)
	}
	if own := strings.Join(aside.Steps[2].Lines, "\n"); !strings.Contains(own, "= −3.189"+narrow+"%") {
		t.Errorf("the sound limb's own change: %s", own)
	}
	if !strings.Contains(step.Lines[0], "− (−3.189) = ") || len(step.Lines) != 4 {
		t.Errorf("the difference: %v", step.Lines)
	}
	for i, v := range f.Values {
		if v.Name == "sound-change" {
			f.Values[i].Value++
		}
	}
	if view := y.working(record, "limb", f, ""); view.Missing == "" {
		t.Errorf("another change of the sound limb than that of the finding: %+v", view.Steps)
	}
}

// TestAnySoundLimbByHand works it out again from what is written, whatever was
// read on either side.
func TestAnySoundLimbByHand(t *testing.T) {
	y := testSayer(t)
	rapid.Check(t, func(t *rapid.T) {
		levels := drawLevels(t, "levels")
		then, now := drawTape(t, "then", levels, 600), drawTape(t, "now", levels, 300)
		now.fitter = then.fitter
		record, _, _ := tapeRecord(t, then, now)
		size := float64(rapid.IntRange(150, 700).Draw(t, "sound size"))
		record = withSound(record, drawTape(t, "sound then", levels, size), drawTape(t, "sound now", levels, size))
		findings, err := record.Limbs[0].Assess()
		if err != nil {
			t.Fatalf("assess: %v", err)
		}
		for _, f := range findings {
			if f.Rule != assess.VolumeChange {
				continue
			}
			view := y.working(record, "limb", f, "")
			_, aside := asideOf(t, view.Steps)
			byHand(t, aside.Steps, record.Working("limb", f).Volume.Sound.Volume)
			if n := workOutLines(t, view.Steps); n < 18 {
				t.Errorf("only %d lines are keys of a calculator", n)
			}
		}
	})
}

// reported is the finding of a rule about what a client sent of the only limb of a
// record.
func reported(t failer, record followup.ClientRecord, rule assess.Rule, r assess.Report) assess.Finding {
	t.Helper()
	h, err := record.Limbs[0].History("")
	if err != nil {
		t.Fatalf("history: %v", err)
	}
	r.ID, r.On = "report", "2026-05-01"
	for _, f := range assess.AssessReport(h, r) {
		if f.Rule == rule {
			return f
		}
	}
	t.Fatalf("no finding of %s", rule)
	return assess.Finding{}
}

var rubAtCalf = assess.Report{What: []string{"rub"}, Areas: []string{"calf.posterior"}}

// TestRubByHand works out the station that a report of a rub is joined with, in
// every state of its gap.
func TestRubByHand(t *testing.T) {
	y := testSayer(t)
	wall := models.Station{Neighbour: quantity.SocketWall} // starting limits 3 and 2 mm
	accepted := quantity.Length(41)
	dropped := models.Station{Neighbour: quantity.SocketWall, AsBuilt: &accepted, AsBuiltBy: "R. Alder", AsBuiltOn: "2026-01-05"}
	polished := gapRecord(wall, quantity.Feeler, 60)
	polished.Limbs[0].Visits[0].Seen.Clearances[0].Touch = quantity.PolishMark
	for name, tt := range map[string]struct {
		record followup.ClientRecord
		limit  string
		lines  []string
	}{
		"below the first limit": {gapRecord(wall, quantity.Feeler, 20, 22), "Limit: 3$mm, starting value, not yet confirmed.", []string{
			"feeler | 2.0 | 0.5", "(2.0 + 2.2) ÷ 2 = 2.1$mm", "u = √(0.5² + 0.5²) ÷ 2 = 0.3536$mm",
			"2.1 + 1.645 × 0.3536 = 2.682$mm, less than 3$mm",
		}},
		"below the second limit": {gapRecord(wall, quantity.Feeler, 8), "Limit: 2$mm, starting value, not yet confirmed.", []string{
			"0.8 + 1.645 × 0.5 = 1.623$mm, less than 2$mm",
		}},
		"not shown to be above": {gapRecord(wall, quantity.WitnessMark, 35), "Limit: 3$mm, starting value, not yet confirmed.", []string{
			"3.5 − 1.645 × 1 = 1.855$mm, less than 3$mm", "3.5 + 1.645 × 1 = 5.145$mm, not less than 3$mm",
		}},
		"above, with a polish mark": {polished, "Limit: 3$mm, starting value, not yet confirmed.", []string{
			"6 − 1.645 × 0.5 = 5.178$mm, not less than 3$mm",
		}},
		"below what was accepted": {gapRecord(dropped, quantity.Feeler, 20, 28), "Accepted at delivery: 4.1$mm, set by R. Alder on 5 January 2026.", []string{
			"4.1 − 2.4 = 1.7$mm", "1.645 × 0.6124 = 1.007$mm, less than 1.7$mm",
		}},
	} {
		t.Run(name, func(t *testing.T) {
			f := reported(t, tt.record, assess.ReportRub, rubAtCalf)
			view := y.working(tt.record, "limb", f, "")
			wantLines(t, view, append(tt.lines, "What was reported takes no arithmetic: one answer is enough. What stands beside it was measured.")...)
			if want := strings.ReplaceAll(tt.limit, "$", narrow); view.Limit != want {
				t.Errorf("limit %q, want %q", view.Limit, want)
			}
			if !strings.Contains(view.Source, "The gap beside it: One-sided 95 %") {
				t.Errorf("source %q", view.Source)
			}
		})
	}
}

// TestRubAlone has no arithmetic where nothing is joined or the cover touches, and
// keeps what was reported where the record leads to another gap.
func TestRubAlone(t *testing.T) {
	y := testSayer(t)
	wall := models.Station{Neighbour: quantity.SocketWall}
	for name, record := range map[string]followup.ClientRecord{
		"clear": gapRecord(wall, quantity.Feeler, 90), "touching": gapRecord(wall, quantity.Feeler, 0),
	} {
		view := y.working(record, "limb", reported(t, record, assess.ReportRub, rubAtCalf), "")
		if len(view.Steps) != 1 || view.Missing != "" || !strings.Contains(view.Steps[0].What, "No arithmetic") {
			t.Errorf("%s: %+v", name, view)
		}
	}
	record := gapRecord(wall, quantity.Feeler, 20)
	f := reported(t, record, assess.ReportRub, rubAtCalf)
	record.Limbs[0].Cover = nil
	if view := y.working(record, "limb", f, ""); view.Missing == "" || len(view.Steps) != 1 {
		t.Errorf("the station is gone: %+v", view)
	}
}

// TestAnyRubByHand finds the station among others, and its lines come to what is
// written.
func TestAnyRubByHand(t *testing.T) {
	y := testSayer(t)
	rapid.Check(t, func(t *rapid.T) {
		record := gapRecord(models.Station{Neighbour: quantity.SocketWall}, quantity.Feeler,
			rapid.SliceOfN(rapid.IntRange(1, 34), 1, 4).Draw(t, "gaps")...)
		cover := record.Limbs[0].Cover
		for i := range rapid.IntRange(0, 3).Draw(t, "other stations") {
			other := cover.Stations[0]
			other.ID, other.Level = fmt.Sprint("other ", i), quantity.FromMM(float64(10*i))
			cover.Stations = append([]models.Station{other}, cover.Stations...)
		}
		f := reported(t, record, assess.ReportRub, rubAtCalf)
		w := record.Working("limb", f)
		if w.Gap == nil {
			t.Fatalf("no gap: %+v", w)
		}
		if n := workOutLines(t, y.working(record, "limb", f, "").Steps); n < 4 {
			t.Errorf("only %d lines are keys of a calculator", n)
		}
	})
}

// TestFitByHand works out the change of volume that makes a report of a loose
// socket soon, from the version of the day that it was counted from.
func TestFitByHand(t *testing.T) {
	y := testSayer(t)
	record, _, _ := tapeRecord(t, tapeSeriesA(0, "a"), tapeSeriesA(25, "a"))
	loose := assess.Report{What: []string{"loose"}}
	f := reported(t, record, assess.ReportFit, loose)
	view := y.working(record, "limb", f, "")
	byHand(t, view.Steps[1:], *record.Working("limb", f).Volume)
	wantLines(t, view, "No limit is compared: a change beyond measuring error beside what was reported makes it soon and not watch.")
	if workOutLines(t, view.Steps) < 7 || view.Limit != "" || view.Steps[0].Lines[0] == "" {
		t.Errorf("view %+v", view)
	}

	old := record.Checkins[0]
	corrected := old
	corrected.ID, corrected.ReplacesID = "corrected", &old.ID
	corrected.Limbs = record.Checkins[1].Limbs
	record.Checkins, record.Superseded = []models.Checkin{corrected, record.Checkins[1]}, []models.Checkin{old}
	if w := record.Working("limb", f); w.Volume == nil || w.Volume.Then.Visit.Checkin.ID != "then" {
		t.Errorf("the version that it was counted from: %+v", w)
	}
	record.Superseded = nil
	if view := y.working(record, "limb", f, ""); view.Missing == "" || len(view.Steps) != 1 {
		t.Errorf("no such version: %+v", view)
	}
	same, _, _ := tapeRecord(t, tapeSeriesA(0, "a"), tapeSeriesA(0, "a"))
	if view := y.working(same, "limb", reported(t, same, assess.ReportFit, loose), ""); view.Missing != "" || len(view.Steps) != 1 {
		t.Errorf("nothing beside it: %+v", view)
	}
}
