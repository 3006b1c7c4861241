package chart_test

import (
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"fairlead/server/chart"
)

var berlin = time.FixedZone("CET", 3600)

// course has five visits: the reference, a usual one, one by another fitter, one
// that can't be compared, and the newest with everything measured.
func course() chart.Course {
	day := func(n int) time.Time { return time.Date(2026, 3, 12, 10, 30, 0, 0, berlin).AddDate(0, 0, n) }
	change := func(p, half float64, words, interval string) *chart.Change {
		return &chart.Change{Percent: p, LoPercent: p - half, HiPercent: p + half, Words: words, IntervalWords: interval}
	}
	reading := func(source int, p, half float64) []chart.Reading {
		return []chart.Reading{{Percent: p, LoPercent: p - half, HiPercent: p + half, Source: source, Lines: []string{"1147 mL"}, Cells: chart.ReadingCells{Volume: "1147"}}}
	}
	return chart.Course{
		Sources: []string{"tape, K. Moor", "tape, A. Elm"},
		Visits: []chart.Visit{
			{At: day(0), DateWords: "12 March", Reference: true, FitterWords: "K. Moor", Residual: change(0, 0, "0.0 %", ""), Readings: reading(0, 0, 0)},
			{At: day(40), DateWords: "21 April", FitterWords: "K. Moor", Residual: change(-2, 2.1, "−2.0 %", "−4.1 to +0.1"), Readings: reading(0, -2, 2.1), Note: "no change beyond measurement"},
			{At: day(90), DateWords: "10 June", FitterWords: "A. Elm", Residual: change(-1, 4.6, "−1.0 %", "−5.6 to +3.6"), Readings: reading(1, -1, 4.6)},
			{At: day(150), DateWords: "9 August", FitterWords: "K. Moor", Note: "not comparable: another landmark"},
			{
				At: day(200), DateWords: "28 September", FitterWords: "K. Moor", Residual: change(-4.9, 2.1, "−4.9 %", "−7.0 to −2.8"), Readings: reading(0, -4.9, 2.1), Note: "smaller",
				Sound:    change(-0.4, 2, "−0.4 %", "−2.4 to +1.6"),
				WeightKG: &chart.Figure{Value: 81.5, Words: "81.5 kg"}, SockMM: &chart.Figure{Value: 2.1, Words: "2.1 mm"}, Comfort: &chart.Figure{Value: 6, Words: "6 of 10"},
			},
		},
		Events: []chart.Event{{At: day(60), DateWords: "11 May", Words: "ill for a week"}},
		Lower:  &chart.Limit{Percent: -5, Words: "limit −5 %, set by R. Alder, prosthetist, 12 March"},
		Upper:  &chart.Limit{Percent: 5, Words: "limit +5 %, starting value"},
		Words: chart.CourseWords{
			Volume: "Volume, %", Weight: "Weight, kg", Socks: "Socks, mm", Comfort: "Comfort", Date: "Date", Change: "Change", Interval: "95 %",
			Round: "Round", MeasuredML: "mL", U: "u", Smooth: "All", Within: "Within", Slip: "Slip",
			Fitter: "Fitter", Note: "Note", SoundChange: "Sound", SoundLimb: "sound", Doubtful: "doubt", Others: "others", Course: "course", Forecast: "forecast",
		},
		Description: "Smaller by 4.9 percent.",
	}
}

// option is as much of an option as the tests read.
type option struct {
	UseUTC    bool
	Animation *bool
	Tooltip   struct{ RenderMode, Formatter string }
	Aria      struct{ Label struct{ Description string } }
	Title     []struct{ Text string }
	Grid      []struct{ Left, Right, Top, Height string }
	XAxis     []struct {
		Type     string
		Min, Max int64
	}
	YAxis  []struct{ Min, Max float64 }
	Series []series
	Media  []struct {
		Query  *struct{ MaxWidth, MinWidth int }
		Option struct {
			Grid   []struct{ Left, Right string }
			Series []struct{ ID string }
		}
	}
}

type series struct {
	ID, Type  string
	Smooth    bool
	Symbol    string
	ItemStyle struct{ Color string }
	AreaStyle struct{ Opacity float64 }

	Stack, StackStrategy string

	Data []struct {
		Name    string
		Value   [2]any
		Tooltip struct{ Formatter string }
	}
	MarkLine struct {
		Silent bool
		Data   []struct {
			Name  string
			XAxis int64
			YAxis float64
			Label struct{ Show bool }
		}
	}
	MarkArea struct {
		Data [][]struct {
			Name  string
			YAxis float64
		}
	}
}

func draw(t *testing.T, c chart.Course) (chart.Chart, option) {
	t.Helper()
	drawn, err := c.Chart()
	if err != nil {
		t.Fatal(err)
	}
	var o option
	if err := json.Unmarshal(drawn.Option, &o); err != nil {
		t.Fatal(err)
	}
	return drawn, o
}

func (o option) find(t *testing.T, id string) series {
	t.Helper()
	for _, s := range o.Series {
		if s.ID == id {
			return s
		}
	}
	t.Fatalf("no series %q", id)
	return series{}
}

func TestPanelsShareOneTimeAxis(t *testing.T) {
	drawn, o := draw(t, course())
	if drawn.Panels != 4 || len(o.Grid) != 4 || len(o.XAxis) != 4 || len(o.YAxis) != 4 || len(o.Title) != 4 {
		t.Fatalf("panels %d, grids %d, x %d, y %d, headings %d, want 4 each", drawn.Panels, len(o.Grid), len(o.XAxis), len(o.YAxis), len(o.Title))
	}
	for i := range o.Grid {
		if o.XAxis[i].Type != "time" || o.XAxis[i].Min != o.XAxis[0].Min || o.XAxis[i].Max != o.XAxis[0].Max {
			t.Errorf("time axis %d = %+v, want that of panel 0, %+v", i, o.XAxis[i], o.XAxis[0])
		}
		if o.Grid[i].Left != o.Grid[0].Left || o.Grid[i].Right != o.Grid[0].Right {
			t.Errorf("margins of panel %d = %+v, want those of panel 0", i, o.Grid[i])
		}
	}
}

func TestPanelsOnlyWithData(t *testing.T) {
	c := course()
	for i := range c.Visits {
		c.Visits[i].WeightKG, c.Visits[i].SockMM, c.Visits[i].Readings, c.Visits[i].Sound = nil, nil, nil, nil
	}
	drawn, o := draw(t, c)
	if drawn.Panels != 1 || o.Title[0].Text != "Comfort" {
		t.Errorf("panels = %d, first %q; want only Comfort", drawn.Panels, o.Title[0].Text)
	}
	c.Visits[4].Comfort = nil
	if _, err := c.Chart(); !errors.Is(err, chart.ErrEmpty) {
		t.Errorf("nothing measured: err = %v, want ErrEmpty", err)
	}
	if _, err := (chart.Course{}).Chart(); !errors.Is(err, chart.ErrEmpty) {
		t.Errorf("no visits: err = %v, want ErrEmpty", err)
	}
}

func TestShapesTellWhoMeasured(t *testing.T) {
	c := course()
	c.Visits[1].Readings[0].Doubtful = true
	_, o := draw(t, c)
	first, second, doubtful, sound := o.find(t, "source-0"), o.find(t, "source-1"), o.find(t, "doubtful-0"), o.find(t, "sound")
	if len(first.Data) != 2 || first.ItemStyle.Color != "--ink" || len(second.Data) != 1 || second.ItemStyle.Color != "--ink" {
		t.Errorf("%d and %d points, %s and %s; want 2 and 1, filled", len(first.Data), len(second.Data), first.ItemStyle.Color, second.ItemStyle.Color)
	}
	if first.Symbol == second.Symbol || !strings.HasPrefix(first.Symbol, "path://") {
		t.Errorf("symbols %q and %q, want two shapes", first.Symbol, second.Symbol)
	}
	if len(doubtful.Data) != 1 || doubtful.Symbol != first.Symbol || doubtful.ItemStyle.Color != "--paper" {
		t.Errorf("in doubt: %d points, %s, %s; want 1 of the same shape, hollow", len(doubtful.Data), doubtful.Symbol, doubtful.ItemStyle.Color)
	}
	if len(sound.Data) != 1 || sound.Symbol != "diamond" || sound.ItemStyle.Color != "--paper" {
		t.Errorf("sound limb: %d points, %s, %s; want 1 open diamond", len(sound.Data), sound.Symbol, sound.ItemStyle.Color)
	}
}

func TestIntervalsAndGaps(t *testing.T) {
	_, o := draw(t, course())
	// Three visits have an interval: lower end, upper end, break. The reference has none.
	bars := o.find(t, "interval")
	if len(bars.Data) != 9 {
		t.Fatalf("interval has %d points, want 9", len(bars.Data))
	}
	if lo, hi, end := bars.Data[6].Value[1], bars.Data[7].Value[1], bars.Data[8].Value[1]; lo != -7.0 || math.Abs(hi.(float64)+2.8) > 1e-9 || end != "-" {
		t.Errorf("newest bar = %v, %v, %v; want −7 to −2.8 and a break", lo, hi, end)
	}
	if course := o.find(t, "course"); course.Data[3].Value[1] != "-" {
		t.Errorf("a visit that can't be compared = %v, want a break in the line", course.Data[3].Value[1])
	}
	for _, s := range o.Series {
		if s.Smooth {
			t.Errorf("series %s is smoothed", s.ID)
		}
	}
}

func TestLimitsAreLabelledBands(t *testing.T) {
	_, o := draw(t, course())
	bands := o.find(t, "frame-volume").MarkArea.Data
	if len(bands) != 2 || bands[0][0].YAxis != -5 || bands[0][1].YAxis != -8 || bands[1][0].YAxis != 5 || bands[1][1].YAxis != 8 {
		t.Fatalf("bands = %+v, want −5 to −8 and 5 to 8", bands)
	}
	if want := "limit −5 %, set by R. Alder, prosthetist, 12 March"; bands[0][0].Name != want {
		t.Errorf("label = %q, want %q", bands[0][0].Name, want)
	}
}

func TestEventsAreNumberedAndListed(t *testing.T) {
	drawn, o := draw(t, course())
	if got, want := drawn.Events[0], (chart.EventNote{Number: 1, DateWords: "11 May", Words: "ill for a week"}); got != want {
		t.Errorf("note = %+v, want %+v", got, want)
	}
	for i, shown := range []bool{true, false, false, false} {
		mark := o.find(t, "events-"+string(rune('0'+i))).MarkLine
		if !mark.Silent || len(mark.Data) != 1 || mark.Data[0].Label.Show != shown {
			t.Errorf("panel %d: %+v, want one silent line with label %v", i, mark, shown)
		}
	}
}

func TestManyEventsNeverOverlap(t *testing.T) {
	c := course()
	c.Events = nil
	for i := range 40 {
		c.Events = append(c.Events, chart.Event{At: c.Visits[0].At.AddDate(0, 0, 5*i), Words: "socket adjusted by the prosthetist"})
	}
	drawn, o := draw(t, c)
	if len(drawn.Events) != 40 || len(o.find(t, "events-0").MarkLine.Data) != 40 {
		t.Errorf("%d notes, %d lines, want 40", len(drawn.Events), len(o.find(t, "events-0").MarkLine.Data))
	}
	last := map[bool]int{}
	for _, m := range o.find(t, "events-0").MarkLine.Data {
		last[m.Label.Show]++
	}
	if last[true] == 0 || last[true] == 40 {
		t.Errorf("%d of 40 events are labelled, want some and not all", last[true])
	}
}

func TestTimesAreTheWallClockOfThePlace(t *testing.T) {
	_, o := draw(t, course())
	got := time.UnixMilli(int64(o.find(t, "source-0").Data[0].Value[0].(float64))).UTC()
	if want := "2026-03-12 10:30"; !o.UseUTC || got.Format("2006-01-02 15:04") != want {
		t.Errorf("first visit at %v, UTC %v; want %s shown in UTC", got, o.UseUTC, want)
	}
	c := course()
	c.Until = c.Visits[4].At.AddDate(1, 0, 0)
	if _, later := draw(t, c); later.XAxis[0].Max <= c.Until.UnixMilli() {
		t.Error("the axis ends before Until: a long silence must show")
	}
}

func TestNarrowLayoutIsLaidOutAnew(t *testing.T) {
	_, o := draw(t, course())
	if len(o.Media) != 3 || o.Media[0].Query == nil || o.Media[1].Query == nil || o.Media[2].Query != nil {
		t.Fatalf("media = %+v, want a narrow one, a broad one and one for all else", o.Media)
	}
	if o.Media[0].Query.MaxWidth >= o.Media[1].Query.MinWidth {
		t.Errorf("narrow to %d and broad from %d overlap", o.Media[0].Query.MaxWidth, o.Media[1].Query.MinWidth)
	}
	if o.Media[0].Option.Grid[0].Right == o.Media[2].Option.Grid[0].Right {
		t.Error("narrow and wide have the same right margin")
	}
}

func TestDescriptionAndTooltip(t *testing.T) {
	drawn, o := draw(t, course())
	if o.Aria.Label.Description != "Smaller by 4.9 percent." || drawn.Description != o.Aria.Label.Description {
		t.Errorf("description = %q", o.Aria.Label.Description)
	}
	if o.Tooltip.RenderMode != "richText" || o.Animation == nil || *o.Animation {
		t.Errorf("tooltip %q, animation %v; want richText and none", o.Tooltip.RenderMode, o.Animation)
	}
	point := o.find(t, "source-0").Data[2]
	if want := "28 September\n1147 mL\nK. Moor\nsmaller"; point.Name != want || point.Tooltip.Formatter != want {
		t.Errorf("words = %q and %q, want %q", point.Name, point.Tooltip.Formatter, want)
	}
}

func TestTableHoldsEveryVisitNewestFirst(t *testing.T) {
	drawn, _ := draw(t, course())
	if got, want := strings.Join(drawn.Table.Columns, "|"), "Date|mL|Change|95 %|Sound|Weight, kg|Socks, mm|Comfort|Fitter|Note"; got != want {
		t.Errorf("columns = %s, want %s", got, want)
	}
	if got, want := strings.Join(drawn.Table.Rows[0], "|"), "28 September|1147|−4.9 %|−7.0 to −2.8|−0.4 %|81.5 kg|2.1 mm|6 of 10|K. Moor|smaller"; got != want {
		t.Errorf("first row = %s, want %s", got, want)
	}
	if got, want := strings.Join(drawn.Table.Rows[1], "|"), "9 August||||||||K. Moor|not comparable: another landmark"; got != want {
		t.Errorf("second row = %s, want %s", got, want)
	}
}

func TestKeyExplainsOnlyWhatIsThere(t *testing.T) {
	drawn, _ := draw(t, course())
	if len(drawn.Key) != 3 { // two fitters and the sound limb
		t.Errorf("key = %v, want three symbols", drawn.Key)
	}
	c := course()
	c.Visits = c.Visits[:2]
	drawn, _ = draw(t, c)
	if len(drawn.Key) != 1 || drawn.Key[0].Kind != "point" || drawn.Key[0].Words != "tape, K. Moor" {
		t.Errorf("key = %v, want the first fitter alone", drawn.Key)
	}
}

func TestHostileTextStaysText(t *testing.T) {
	c := course()
	worse := evil + `{b}{a|x}" onload='x'`
	c.Events[0].Words, c.Lower.Words, c.Words.Volume, c.Description = worse, worse, worse, worse
	c.Visits[4].FitterWords, c.Visits[4].Note = worse, worse
	drawn, o := draw(t, c)
	if raw := string(drawn.Option); strings.ContainsAny(raw, "<>&") || strings.Contains(raw, "function") {
		t.Error("the option holds markup or a function")
	}
	if o.Title[0].Text != worse {
		t.Errorf("heading = %q, want it unchanged", o.Title[0].Text)
	}
	if tip := o.find(t, "source-0").Data[2].Tooltip.Formatter; strings.Contains(tip, "{b}") || strings.Contains(tip, "{a|") {
		t.Errorf("tooltip %q would be read as a template", tip)
	}
}

func TestWhatCantBeDrawn(t *testing.T) {
	for _, test := range []struct {
		name  string
		spoil func(*chart.Course)
		want  string
	}{
		{"order", func(c *chart.Course) { c.Visits[2].At = c.Visits[0].At }, "visit 3 of 5 is earlier"},
		{"not a number", func(c *chart.Course) { c.Visits[1].Residual.Percent = math.NaN() }, "visit 2 of 5: volume change is not"},
		{"a reading that is none", func(c *chart.Course) { c.Visits[1].Readings[0].HiPercent = math.NaN() }, "visit 2 of 5: reading 1"},
		{"a reading of nobody", func(c *chart.Course) { c.Visits[1].Readings[0].Source = 2 }, "visit 2 of 5: reading 1"},
		{"a course that is none", func(c *chart.Course) { *c = together(); c.Smooth[1].Percent = math.Inf(1) }, "day 2 of 4 of the course"},
		{"a day twice", func(c *chart.Course) { *c = together(); c.Smooth[1].At = c.Smooth[0].At }, "day 2 of 4 of the course"},
		{"a forecast that is none", func(c *chart.Course) { *c = together(); c.Ahead[1].Lo50 = math.NaN() }, "day 2 of 3 of the forecast"},
		{"a forecast of nothing", func(c *chart.Course) { *c = together(); c.Smooth = nil }, "day 1 of 3 of the forecast"},
		{"infinite end", func(c *chart.Course) { c.Visits[4].Sound.HiPercent = math.Inf(1) }, "visit 5 of 5: sound limb change, upper end"},
		{"infinite weight", func(c *chart.Course) { c.Visits[4].WeightKG.Value = math.Inf(-1) }, "visit 5 of 5: weight"},
		{"lower limit above zero", func(c *chart.Course) { c.Lower.Percent = 5 }, "lower limit 5 %"},
		{"upper limit below zero", func(c *chart.Course) { c.Upper.Percent = -5 }, "upper limit -5 %"},
		{"limit not a number", func(c *chart.Course) { c.Upper.Percent = math.NaN() }, "upper limit NaN %"},
	} {
		t.Run(test.name, func(t *testing.T) {
			c := course()
			test.spoil(&c)
			if _, err := c.Chart(); err == nil || !strings.Contains(err.Error(), test.want) {
				t.Errorf("err = %v, want %q", err, test.want)
			}
		})
	}
}
