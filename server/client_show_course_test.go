package server

import (
	"fmt"
	"math"
	"math/rand/v2"
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"

	"fairlead/analytics/assess"
	"fairlead/analytics/quantity"
	"fairlead/analytics/trend"
	"fairlead/models"
	"fairlead/server/followup"
	"pgregory.net/rapid"
)

// followed is a limb that was taped every so many days, each time so many percent of
// volume from the first, read without error.
func followed(days int, fitters string, percents ...float64) followup.LimbRecord {
	l := followup.LimbRecord{
		Limb: models.Limb{ID: "limb", Side: quantity.Left, Level: quantity.Transtibial}, Plans: []models.MeasuringPlan{{ID: "plan", Landmark: "a"}},
	}
	for i, percent := range percents {
		scale := math.Sqrt(1 + percent/100)
		girths := []float64{340 * scale, 335 * scale, 320 * scale, 300 * scale}
		l.Visits = append(l.Visits, taped(fmt.Sprint(i), i*days, string(fitters[i%len(fitters)]), girths...))
	}
	return l
}

// TestHeadingOfTheCourse says every kind of course as it is, and what is missing.
func TestHeadingOfTheCourse(t *testing.T) {
	early := followed(21, "a", 0, -4, -6.5, -8.5, -10, -11)
	early.Limb.AmputatedOn = "2026-01-10"
	growing := followed(30, "a", 0, 0, 0)
	growing.Client.StillGrowing = true
	tests := []struct {
		name  string
		limb  followup.LimbRecord
		code  string
		texts []string // in the heading or beside it
	}{
		{"one visit", followed(30, "a", 0), "none", []string{"One measured visit", "Too little to say of a course by all visits together: two more visits."}},
		{"two visits", followed(30, "a", 0, -2), "two-no-change", []string{"No change beyond measurement", "one more visit."}},
		{"three steady", followed(30, "a", 0, 0.2, -0.2), saidNoChange, []string{
			"by all visits together (", "Too little to say where it goes: one more visit.", "Too little to say whether measurements are steady: three more visits.",
			"These two measurements by themselves, the reference and the newest: −0.2",
		}},
		{"three within a week", followed(3, "a", 0, 0.2, -0.2), saidNoChange, []string{
			"three more visits, the last not before 7 May 2026.", "one more visit, not before 26 March 2026.",
		}},
		{"steady", followed(30, "a", 0, 0.3, -0.3, 0.2, -0.2, 0.1, 0), saidSteady, []string{"Measurements are steady: no change beyond measurement since the first visit"}},
		{"smaller, then steady", followed(30, "a", append(slices.Repeat([]float64{0}, 12), slices.Repeat([]float64{-2.6}, 24)...)...), saidSettled, []string{"Smaller by", "measurements are steady"}},
		{"loss beyond the limit", followed(30, "a", 0, -2, -4, -6, -8), saidPassed, []string{"Smaller by", "beyond the limit of −5", "with a probability of"}},
		{"gain beyond the limit", followed(30, "a", 0, 2, 4, 6, 8), saidPassed, []string{"Larger by", "beyond the limit of +5"}},
		{"told early", followed(60, "a", 0, -1.5, -3, -4.2, -4.2), saidTold, []string{"maller by", "beyond −3\u202f% with a probability of"}},
		{"early limb", early, saidPassed, []string{"it is still changing is expected"}},
		{"closing", followed(20, "a", 0, -0.8, -1.6, -2.4, -3.2, -4, -4.8, -5.6), saidClosing, []string{
			"Smaller by", "and closing towards the limit of −5\u202f%: reached by 17 December 2026 with a probability of",
		}},
		{"in doubt", followed(30, "a", 0, 0, 0.3, -0.2, 0, -12), saidDoubt, []string{"The newest measurement is in doubt, measure again: by all visits together −", "−12.0 % (95 %"}},
		{"growing", growing, saidNoChange, []string{"still changing is expected"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			m := makerOf(t, tt.limb, "", testSayer(t))
			said := m.sayCourse()
			all := said.heading + "\n" + strings.Join(said.beside, "\n")
			if tt.code != "" && said.code != tt.code {
				t.Errorf("%s, want %s", said.code, tt.code)
			}
			for _, text := range tt.texts {
				if !strings.Contains(all, text) {
					t.Errorf("no %q in\n%s", text, all)
				}
			}
			t.Log(all)
		})
	}
}

// drawCourse is a limb of any course: drifting, noisy, with slips, rounds measured
// twice, two fitters, other plans and visits without a tape.
func drawCourse(t *rapid.T) followup.LimbRecord {
	l := followup.LimbRecord{
		Client: models.Client{StillGrowing: rapid.Bool().Draw(t, "growing")},
		Limb:   models.Limb{ID: "limb", Side: quantity.Left, Level: quantity.Transtibial},
		Plans:  []models.MeasuringPlan{{ID: "plan", Landmark: "a"}, {ID: "other", Landmark: "b"}},
	}
	if rapid.Bool().Draw(t, "early") {
		l.Limb.AmputatedOn = "2026-01-01"
	}
	random := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
	slope, noise := rapid.Float64Range(-3, 3).Draw(t, "slope"), rapid.Float64Range(0, 3).Draw(t, "noise")
	day := 0
	for i := range rapid.IntRange(0, 12).Draw(t, "visits") {
		day += rapid.IntRange(0, 60).Draw(t, "days")
		percent := max(slope*float64(day)/30+noise*random.NormFloat64(), -60)
		if rapid.IntRange(0, 9).Draw(t, "slip") == 0 {
			percent += rapid.SampledFrom([]float64{-40, -12, 12, 60}).Draw(t, "size")
		}
		scale := math.Sqrt(1 + percent/100)
		v := taped(fmt.Sprintf("%02d", i), day, rapid.SampledFrom([]string{"a", "a", "b"}).Draw(t, "fitter"), 340*scale, 335*scale, 320*scale, 300*scale)
		switch rapid.IntRange(0, 11).Draw(t, "kind") {
		case 0:
			v.Seen.Readings = nil
		case 1:
			other := "other"
			v.Seen.PlanID = &other
		case 2, 3:
			for _, r := range v.Seen.Readings {
				r.Pass += quantity.PassesPerRound
				v.Seen.Readings = append(v.Seen.Readings, r)
			}
		}
		l.Visits = append(l.Visits, v)
	}
	return l
}

// TestHeadingAgreesWithTheRules: whatever the history, the heading says what the rules
// find in it, never that it is steady beside anything found or open, and every open
// flag is told beside a heading that says something else.
func TestHeadingAgreesWithTheRules(t *testing.T) {
	y := testSayer(t)
	rapid.Check(t, func(rt *rapid.T) {
		l := drawCourse(rt)
		since := followup.Reference(rapid.SampledFrom([]string{"", "", "first", "previous", "01", "03"}).Draw(rt, "since"))
		m := makerOf(t, l, since, y)
		if rapid.IntRange(0, 4).Draw(rt, "older flag") == 0 {
			m.flags = append(m.flags, models.Flag{ID: "older", Rule: string(assess.VolumeClosing), About: "limb", Level: "watch"})
		}
		said, section := m.sayCourse(), m.volume()
		all := said.heading + "\n" + strings.Join(said.beside, "\n")
		for _, bad := range []string{"NaN", "Inf", "<no value>", "%!"} {
			if strings.Contains(all, bad) || section.Computed != nil && strings.Contains(fmt.Sprint(*section.Computed), bad) {
				rt.Fatalf("%q in %s", bad, all)
			}
		}
		if section.Heading != said.heading || m.volumeAnswer().Sentence == "" {
			rt.Fatal("the section has another heading, or the answer none")
		}
		agrees(rt, m, said)
		if t.Failed() {
			rt.Fatal("a text or a drawing is missing")
		}
	})
}

// agrees holds a heading against what the rules found.
func agrees(rt *rapid.T, m sheetMaker, said courseSaid) {
	heading := strings.ToLower(said.heading)
	if strings.Contains(heading, "steady") {
		if m.view.Course.Result.Steadiness.Verdict != trend.Steady || len(m.view.Course.Found) > 0 || len(m.openVolume()) > 0 {
			rt.Fatalf("steady beside %v and %d open flags: %s", m.view.Course.Found, len(m.openVolume()), said.heading)
		}
	}
	if m.volumeFound(assess.MeasureAgainRule) != nil && !strings.Contains(heading, "measure again") {
		rt.Fatalf("the newest is in doubt: %s", said.heading)
	}
	if f := m.volumeFound(assess.VolumeChange); f != nil {
		change, _ := f.Value("change")
		way := "larger by"
		if change.Value < 0 {
			way = "smaller by"
		}
		if !strings.Contains(heading, way) {
			rt.Fatalf("%s found of %.1f %%: %s", f.Rule, change.Value, said.heading)
		}
		if byCourse(*f) != strings.Contains(heading, "by all visits together (") {
			rt.Fatalf("by the course or not is not said: %s", said.heading)
		}
	}
	if m.view.Course != nil {
		for _, f := range m.view.Course.Found {
			claim := m.claim(f)
			told := slices.Contains(headingRules(said.code), f.Rule) && f.AgainstVisitID == m.view.Reference.Assessed.ID
			if !told && !slices.ContainsFunc(said.beside, func(s string) bool { return strings.Contains(s, claim) }) && !m.isOpen(f) {
				rt.Fatalf("%q is found and not told: %s", claim, said.heading)
			}
		}
	}
	for _, f := range m.openVolume() {
		claim := m.flag(f).Claim
		found := m.volumeFound(assess.Rule(f.Rule))
		if (found == nil || m.claim(*found) != claim) && !slices.ContainsFunc(said.beside, func(s string) bool { return strings.Contains(s, claim) }) {
			rt.Fatalf("the open flag %q is not told beside %q", claim, said.heading)
		}
	}
}

// isOpen tells whether there is an open flag of a finding's rule and place.
func (m sheetMaker) isOpen(f assess.Finding) bool {
	return slices.ContainsFunc(m.openVolume(), func(open models.Flag) bool { return open.Rule == string(f.Rule) && open.Place == f.Place })
}

// TestVolumesFollowedByTheCommand downloads the volumes of a page and follows them as
// the command "fairlead trend" does: it says what the page says.
func TestVolumesFollowedByTheCommand(t *testing.T) {
	s := newSite(t)
	client := s.BenchClient("K-071")
	kit, sam := s.As("kit", models.Fitter), s.As("sam", models.Fitter)
	const month = 30 * 24 * time.Hour
	s.clock.Pass(-5 * month) // sessions end by the clock of the machine
	for i, girths := range [][]string{{"33.4", "33.7", "32.1"}, {"33.3", "33.5", "32.0"}, {"33.2", "33.4", "31.8"}, {"33.0", "33.3", "31.7"}, {"32.9", "33.1", "31.5"}} {
		b := kit
		if i == 2 {
			b = sam
		}
		b.Visit(client, "follow-up", girths...)
		s.clock.Pass(month)
	}
	page := kit.Get("/clients/" + client.ID)
	page.Has(t, http.StatusOK, "by all visits together (")
	file := kit.Get("/clients/" + client.ID + "/limbs/" + client.Limb.ID + "/volume.csv?since=first")
	file.Has(t, http.StatusOK)
	sheet, err := trend.DecodeCSV(strings.NewReader(file.Body), quantity.DateOf(s.clock.Now()))
	if err != nil {
		t.Fatalf("%v\n%s", err, file.Body)
	}
	series := sheet.Series[0]
	result, err := trend.Run(series.Visits, trend.Options{WeeksSinceAmputation: series.WeeksSinceAmputation})
	if err != nil || len(sheet.Series) != 1 || len(series.Visits) != 5 || series.Visits[2].Source == series.Visits[1].Source {
		t.Fatalf("%v, %+v", err, sheet)
	}
	y := testSayer(t)
	page.Has(t, http.StatusOK, y.percentChange(result.Change.Estimate), y.interval(result.Change.Lo, result.Change.Hi), y.percentChange(result.Slope.Estimate)+" a month")
}

// TestVolumeRowsHoldEveryVisit: a visit without a tape, one that can't be compared and
// both rounds of another are rows of the file, which trend reads.
func TestVolumeRowsHoldEveryVisit(t *testing.T) {
	l := followed(30, "aab", 0, -1, -2, -3, -4)
	l.Visits[1].Seen.Readings = nil
	other := "other"
	l.Plans = append(l.Plans, models.MeasuringPlan{ID: other, Landmark: "b"})
	l.Visits[3].Seen.PlanID = &other
	for _, r := range l.Visits[2].Seen.Readings {
		r.Pass += quantity.PassesPerRound
		l.Visits[2].Seen.Readings = append(l.Visits[2].Seen.Readings, r)
	}
	m := makerOf(t, l, "", testSayer(t))
	table := volumeCSV(m.view, map[string]string{"a": "A", "b": "=B"})
	if len(table) != 7 {
		t.Fatalf("%d rows, want a heading, five visits and a second round", len(table))
	}
	text := ""
	for _, row := range table {
		if len(row) != len(table[0]) {
			t.Errorf("%d cells, want %d: %q", len(row), len(table[0]), row)
		}
		text += strings.Join(row, ",") + "\n"
	}
	sheet, err := trend.DecodeCSV(strings.NewReader(text), "2026-11-25")
	if err != nil || len(sheet.Series) != 1 || len(sheet.Series[0].Visits) != 4 {
		t.Fatalf("%v, %+v", err, sheet)
	}
	for i, v := range sheet.Series[0].Visits {
		if want := m.view.Course.Volumes[i]; v.VolumeML != want.VolumeML || v.UML != want.UML || v.Date != want.On {
			t.Errorf("visit %d: %+v, want %+v", i, v, want)
		}
	}
}
