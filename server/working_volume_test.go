package server

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"fairlead/analytics/assess"
	"fairlead/analytics/girth"
	"fairlead/analytics/quantity"
	"fairlead/analytics/volume"
	"fairlead/models"
	"fairlead/server/followup"
	"pgregory.net/rapid"
)

// tapeVisit is one check-in of a test: readings in mm by level, and how long the
// prosthesis was off.
type tapeVisit struct {
	levels   []float64
	readings [][]float64 // by level
	fitter   string
	minutes  *float64
	liner    *float64
	socks    []models.Sock
}

// tapeRecord is a record of two check-ins of one limb, with the change of
// volume that the computation finds between them and as a finding.
func tapeRecord(t failer, then, now tapeVisit) (followup.ClientRecord, volume.Change, assess.Finding) {
	t.Helper()
	plan := "plan"
	l := followup.LimbRecord{
		Limb:  models.Limb{ID: "limb", Level: quantity.Transtibial},
		Plans: []models.MeasuringPlan{{ID: plan, Landmark: "mid-patellar tendon", CapKind: quantity.NoCap}},
	}
	var record followup.ClientRecord
	for i, at := range []tapeVisit{then, now} {
		c := models.Checkin{
			ID: []string{"then", "now"}[i], MeasuredAt: time.Date(2026, 3, 12, 9, 0, 0, 0, time.UTC).AddDate(0, i, 0),
			Zone: "Europe/Berlin", MeasuredBy: at.fitter, Number: 1,
		}
		seen := models.CheckinLimb{LimbID: "limb", PlanID: &plan, MinutesOff: at.minutes, Socks: at.socks}
		if at.liner != nil {
			thick := quantity.FromMM(*at.liner)
			seen.LinerThickness = &thick
		}
		for j, level := range at.levels {
			for pass, mm := range at.readings[j] {
				seen.Readings = append(seen.Readings, models.Reading{
					Part: quantity.Residual, Level: quantity.FromMM(level), Pass: pass + 1, Girth: quantity.FromMM(mm),
				})
			}
		}
		c.Limbs = []models.CheckinLimb{seen}
		l.Visits = append(l.Visits, followup.LimbVisit{Checkin: c, Seen: seen})
		record.Checkins = append(record.Checkins, c)
	}
	record.Limbs = []followup.LimbRecord{l}
	h, err := l.History("then")
	if err != nil {
		t.Fatalf("history: %v", err)
	}
	c := volume.Compare(h.Visits[0].Residual, h.Visits[1].Residual, h.Sigmas)
	f := assess.Finding{
		Rule: assess.VolumeChange, VisitID: "now", AgainstVisitID: "then",
		Limit: &assess.LimitUsed{Value: 5, Unit: assess.Percent, Starting: true},
		Values: []assess.Value{
			{Name: "change", Value: c.ChangePercent, U: &c.UPercent, Lo: &c.LoPercent, Hi: &c.HiPercent, Unit: assess.Percent},
			{Name: "change-volume", Value: c.ChangeML, U: &c.UML, Unit: assess.ML},
			{Name: "then-volume", Value: c.ReferenceML, Unit: assess.ML}, {Name: "now-volume", Value: c.NowML, Unit: assess.ML},
			{Name: "from", Value: c.FromMM, Unit: assess.MM}, {Name: "to", Value: c.ToMM, Unit: assess.MM},
		},
	}
	return record, c, f
}

// drawTape draws a limb of any size as a tape finds it.
func drawTape(t *rapid.T, name string, levels []float64, size float64) tapeVisit {
	v := tapeVisit{levels: levels, fitter: rapid.SampledFrom([]string{"a", "b"}).Draw(t, name+" fitter")}
	if rapid.Bool().Draw(t, name+" clock") {
		v.minutes = new(float64(rapid.IntRange(0, 120).Draw(t, name+" minutes")))
	}
	mm := size
	for range levels {
		var passes []float64
		for range rapid.IntRange(1, 7).Draw(t, name+" passes") {
			passes = append(passes, math.Max(30, mm+float64(rapid.IntRange(-40, 40).Draw(t, name+" reading"))/10))
		}
		v.readings = append(v.readings, passes)
		mm *= 1 + float64(rapid.IntRange(-90, 40).Draw(t, name+" taper"))/1000
	}
	return v
}

// drawLevels draws the levels of a plan in tenths of a mm.
func drawLevels(t *rapid.T, name string) []float64 {
	at, step := rapid.IntRange(-200, 200).Draw(t, name+" from"), rapid.IntRange(150, 500).Draw(t, name+" step")
	var levels []float64
	for range rapid.IntRange(3, 9).Draw(t, name+" levels") {
		levels = append(levels, float64(at)/10)
		at += step
	}
	return levels
}

// TestVolumeByHand works a change of volume out again with nothing but what is
// written, for limbs of any size and two plans as well as one.
func TestVolumeByHand(t *testing.T) {
	y := testSayer(t)
	rapid.Check(t, func(t *rapid.T) {
		size := float64(rapid.IntRange(100, 700).Draw(t, "size"))
		first := drawLevels(t, "first")
		second := first
		if rapid.Bool().Draw(t, "two plans") {
			second = drawLevels(t, "second")
		}
		then := drawTape(t, "then", first, size)
		record, c, f := tapeRecord(t, then, drawTape(t, "now", second, size*1.01))
		if !c.Comparable {
			t.Skip("no shared span")
		}
		w := record.Working("limb", f)
		if w.Volume == nil {
			t.Fatalf("no working: %+v", w)
		}
		view := y.working(record, "limb", f, "")
		if n := workOutLines(t, view.Steps); n < 7 {
			t.Errorf("only %d lines are keys of a calculator", n)
		}
		byHand(t, view.Steps, *w.Volume)
	})
}

// byHand works the tables of a change of volume out again from their cells.
func byHand(t failer, steps []workingStep, w followup.VolumeWorking) {
	t.Helper()
	girths := [2][]string{}
	for side, table := range steps[0].Tables {
		for _, row := range table.Rows {
			girths[side] = append(girths[side], row[2])
			if row[1] != "by the curve" {
				within(t, "girth at "+row[0], joined(t, row[1]), row[2])
			}
		}
	}
	frusta, sums := steps[1].Tables[0], [2]float64{}
	for i, row := range frusta.Rows {
		for side := range girths {
			a, _ := read(t, girths[side][i])
			b, _ := read(t, girths[side][i+1])
			h, _ := read(t, row[1])
			within(t, "frustum "+row[0], h*(a*a+a*b+b*b)/(12*math.Pi)/1000, row[2+side])
			v, _ := read(t, row[2+side])
			sums[side] += v
		}
	}
	within(t, "sum then", sums[0], frusta.Total[2])
	within(t, "sum now", sums[1], frusta.Total[3])
	parts := steps[3].Tables[2]
	for side := range girths {
		gradient := steps[3].Tables[side]
		if !w.Then.Interpolated() && !w.Now.Interpolated() {
			gradientByHand(t, gradient, girths[side])
		}
		v, _ := read(t, frusta.Total[2+side])
		var reading, level, shift float64
		for _, row := range gradient.Rows {
			k, _ := read(t, row[1])
			g, _ := read(t, row[2])
			slope, _ := read(t, row[3])
			reading += g * g / k
			level += g * slope * g * slope
			shift += g * slope
		}
		terms := []float64{2 * math.Sqrt(reading), 3 * math.Sqrt(level), 3 * math.Abs(shift), 2 * v * w.Sigmas.BiasSameFitter}
		square := 0.0
		for i, term := range terms {
			within(t, parts.Rows[i][0], term, parts.Rows[i][1+side])
			shown, _ := read(t, parts.Rows[i][1+side])
			square += shown * shown
		}
		within(t, "u", math.Sqrt(square), parts.Total[1+side])
	}
}

// joined pools readings as they are written: mean of two, median of more.
func joined(t failer, written string) float64 {
	var mm []float64
	for _, r := range strings.Split(written, "; ") {
		v, _ := read(t, r)
		mm = append(mm, v)
	}
	slices.Sort(mm)
	return (mm[(len(mm)-1)/2] + mm[len(mm)/2]) / 2
}

// gradientByHand works g out from the girths.
func gradientByHand(t failer, table workingTable, girths []string) {
	t.Helper()
	for i, row := range table.Rows {
		c, _ := read(t, girths[i])
		here, _ := read(t, row[0])
		g := 0.0
		for _, j := range []int{i - 1, i + 1} {
			if j < 0 || j >= len(girths) {
				continue
			}
			next, _ := read(t, girths[j])
			there, _ := read(t, table.Rows[j][0])
			g += math.Abs(there-here) * (2*c + next) / (12 * math.Pi) / 1000
		}
		within(t, "g at "+row[0], g, row[2])
	}
}

// seriesA are the girths in mm of the reference limb of testdata/reference
// (limb_geometry_checks.csv, series A): every 30 mm.
var seriesA = []float64{320, 335, 330, 310, 285, 250}

func tapeSeriesA(lessMM float64, fitter string) tapeVisit {
	v := tapeVisit{fitter: fitter}
	for i, mm := range seriesA {
		v.levels = append(v.levels, float64(30*i))
		v.readings = append(v.readings, []float64{mm - lessMM, mm - lessMM})
	}
	return v
}

// TestVolumeOfSeriesAByHand has the figures of limb_geometry_checks.csv on the
// page (series A: 1147.069464 mL, and 5 mm less girth everywhere 1110.483721 mL,
// −3.189497 %), and the standard uncertainty that its error model comes to: 1.44 %
// for one fitter, 3.84 % between two.
func TestVolumeOfSeriesAByHand(t *testing.T) {
	y := testSayer(t)
	for _, tt := range []struct {
		fitter   string
		uPercent float64 // of one volume
	}{{"a", 1.443}, {"b", 3.84}} {
		record, _, f := tapeRecord(t, tapeSeriesA(0, "a"), tapeSeriesA(5, tt.fitter))
		view := y.working(record, "limb", f, "")
		byHand(t, view.Steps, *record.Working("limb", f).Volume)
		frusta := view.Steps[1].Tables[0]
		if frusta.Total[2] != "1147.069" || frusta.Total[3] != "1110.484" || frusta.Rows[0][2] != "256.1002" {
			t.Errorf("frusta %v, sums %v", frusta.Rows, frusta.Total)
		}
		change := strings.Join(view.Steps[2].Lines, "\n")
		if !strings.Contains(change, "= −36.586"+narrow+"mL") || !strings.Contains(change, "= −3.189"+narrow+"%") {
			t.Errorf("change: %s", change)
		}
		u, _ := read(t, view.Steps[3].Tables[2].Total[1])
		if got := 100 * u / 1147.069464; math.Abs(got-tt.uPercent) > 0.005 {
			t.Errorf("fitter %s: u of the volume is %.3f %%, want %.3f %%", tt.fitter, got, tt.uPercent)
		}
	}
}

// TestWorkingOfACorrectedCheckin keeps to the version that a finding rests on,
// and shows no steps that would end at other figures.
func TestWorkingOfACorrectedCheckin(t *testing.T) {
	y := testSayer(t)
	record, _, f := tapeRecord(t, tapeSeriesA(0, "a"), tapeSeriesA(15, "a"))
	old := record.Checkins[1]
	corrected := old
	corrected.ID, corrected.ReplacesID = "corrected", &old.ID
	record.Checkins, record.Superseded = []models.Checkin{record.Checkins[0], corrected}, []models.Checkin{old}
	if view := y.working(record, "limb", f, ""); view.Missing != "" || len(view.Steps) < 6 {
		t.Errorf("the version that the finding names: %q, %d steps", view.Missing, len(view.Steps))
	}
	record.Superseded = nil
	if view := y.working(record, "limb", f, ""); !strings.Contains(view.Missing, "not in the record") || view.Steps != nil {
		t.Errorf("no such check-in: %q, %d steps", view.Missing, len(view.Steps))
	}
	f.VisitID = "corrected"
	f.Values[0].Value += 0.01
	if view := y.working(record, "limb", f, ""); !strings.Contains(view.Missing, "other figures") || view.Steps != nil {
		t.Errorf("other figures: %q, %d steps", view.Missing, len(view.Steps))
	}
}

// TestCurveIsSaid says which girths were interpolated, where two plans differ.
func TestCurveIsSaid(t *testing.T) {
	now := tapeSeriesA(15, "a")
	now.levels, now.readings = slices.Delete(now.levels, 2, 3), slices.Delete(now.readings, 2, 3)
	record, _, f := tapeRecord(t, tapeSeriesA(0, "a"), now)
	view := testSayer(t).working(record, "limb", f, "")
	row := view.Steps[0].Tables[1].Rows[2]
	profile := girth.Profile{}
	for i, level := range now.levels {
		profile = append(profile, girth.Pooled{LevelMM: level, GirthMM: now.readings[i][0]})
	}
	want, err := profile.GirthAt(60)
	if err != nil {
		t.Fatal(err)
	}
	if row[1] != "by the curve" {
		t.Errorf("row %v does not say that it is by the curve", row)
	}
	within(t, "girth by the curve", want, row[2])
	if !strings.Contains(strings.Join(view.Steps[0].Lines, " "), "take it as it stands") {
		t.Errorf("lines: %v", view.Steps[0].Lines)
	}
}
