package chart_test

import (
	"slices"
	"strings"
	"testing"

	"fairlead/server/chart"
)

// TestSeventhSourceSharesAShape: six sources have a shape of their own; with more than
// seven, all from the seventh on are the others.
func TestSeventhSourceSharesAShape(t *testing.T) {
	c := course()
	c.Visits, c.Sources = c.Visits[:1], nil
	base := c.Visits[0]
	for i := range 9 {
		v := base
		v.At = base.At.AddDate(0, 0, i)
		v.Readings = []chart.Reading{{Percent: 1, Source: i}}
		c.Visits = append(c.Visits[:i:i], v)
		c.Sources = append(c.Sources, "fitter "+string(rune('a'+i)))
	}
	drawn, o := draw(t, c)
	shapes := map[string]bool{}
	for i, key := range drawn.Key[:6] {
		if key.Words != c.Sources[i] {
			t.Errorf("key %d = %q, want %q", i, key.Words, c.Sources[i])
		}
		shapes[key.Path] = true
	}
	if last := drawn.Key[6]; len(drawn.Key) != 7 || last.Words != "others" || shapes[last.Path] || len(shapes) != 6 {
		t.Errorf("key = %+v, want six shapes and one more for the others", drawn.Key)
	}
	if got := len(o.find(t, "source-6").Data); got != 3 {
		t.Errorf("%d points of the others, want 3", got)
	}
}

// TestSecondRoundIsASecondPoint: both rounds of a visit are points of its day and rows
// of the table; what is of the visit stands once.
func TestSecondRoundIsASecondPoint(t *testing.T) {
	c := course()
	again := c.Visits[4].Readings[0]
	again.Percent, again.Cells.Round = -3, "2 of 2"
	c.Visits[4].Readings[0].Cells.Round = "1 of 2"
	c.Visits[4].Readings = append(c.Visits[4].Readings, again)
	drawn, o := draw(t, c)
	points := o.find(t, "source-0").Data
	if n := len(points); n != 4 || points[2].Value[0] != points[3].Value[0] || points[2].Value[1] == points[3].Value[1] {
		t.Errorf("points = %+v, want two of the newest day", points)
	}
	rows := drawn.Table.Rows
	if len(rows) != 6 || rows[0][1] != "2 of 2" || rows[1][1] != "1 of 2" || !strings.Contains(strings.Join(rows[0], "|"), "81.5 kg") || strings.Contains(strings.Join(rows[1], "|"), "81.5 kg") {
		t.Errorf("rows = %q", rows[:2])
	}
}

// together is the course with what all visits together say, and where it may go.
func together() chart.Course {
	c := course()
	for _, i := range []int{0, 1, 2, 4} {
		percent := -float64(i)
		c.Smooth = append(c.Smooth, chart.Smooth{
			At: c.Visits[i].At, Percent: percent, LoPercent: 1.5 * percent, HiPercent: 0.5 * percent, Words: "−4.0 %", IntervalWords: "−6.0 to −2.0",
		})
	}
	for i := range 3 {
		a := chart.Ahead{At: c.Visits[4].At.AddDate(0, 0, 30*i), Percent: -4, Lo90: -6, Hi90: -2, Lo50: -5, Hi50: -3}
		if i == 2 {
			a.DateWords, a.Words = "27 November", "forecast −4.0 %"
		}
		c.Ahead = append(c.Ahead, a)
	}
	return c
}

// TestCourseAndForecast: the band begins without a width at the reference, the fan
// stands on it, and the axis holds it.
func TestCourseAndForecast(t *testing.T) {
	c := together()
	drawn, o := draw(t, c)
	lower, width := o.find(t, "band-lower"), o.find(t, "band-width")
	if lower.Stack == "" || lower.Stack != width.Stack || width.StackStrategy != "all" || width.AreaStyle.Opacity == 0 || lower.AreaStyle.Opacity != 0 {
		t.Errorf("band: %q on %q by %q, filled %v and %v", width.Stack, lower.Stack, width.StackStrategy, width.AreaStyle.Opacity, lower.AreaStyle.Opacity)
	}
	if first, last := width.Data[0].Value[1], width.Data[3].Value[1]; first != 0.0 || last != 4.0 || lower.Data[3].Value[1] != -6.0 {
		t.Errorf("width of the band %v to %v on %v, want none to 4 on −6", first, last, lower.Data[3].Value[1])
	}
	outer, inner, forecast := o.find(t, "fan-90-width"), o.find(t, "fan-50-width"), o.find(t, "forecast")
	if outer.Data[2].Value[1] != 4.0 || inner.Data[2].Value[1] != 2.0 || outer.AreaStyle.Opacity >= width.AreaStyle.Opacity {
		t.Errorf("fan %v and %v wide, opacity %v; want 4 and 2, lighter than the band", outer.Data[2].Value[1], inner.Data[2].Value[1], outer.AreaStyle.Opacity)
	}
	if want := "27 November\nforecast −4.0 %"; forecast.Data[2].Name != want || forecast.Data[0].Name != "" {
		t.Errorf("forecast says %q and %q, want %q at its end alone", forecast.Data[0].Name, forecast.Data[2].Name, want)
	}
	end := c.Ahead[2].At.UnixMilli()
	if o.XAxis[0].Max <= end {
		t.Errorf("the axis ends at %d, before the forecast at %d", o.XAxis[0].Max, end)
	}
	newest := o.find(t, "newest-volume")
	if newest.Data[0].Name != "−4.0 %\n−6.0 to −2.0" || int64(newest.Data[0].Value[0].(float64)) != o.XAxis[0].Max {
		t.Errorf("newest = %+v, want that of the course at the end of the axis", newest.Data[0])
	}
	if n := len(drawn.Key); drawn.Key[n-2].Kind != "course" || drawn.Key[n-1].Kind != "fan" {
		t.Errorf("key = %+v, want course and fan last", drawn.Key)
	}
	c.Ahead = nil
	if drawn, o = draw(t, c); drawn.Key[len(drawn.Key)-1].Kind != "course" || slices.ContainsFunc(o.Series, func(s series) bool { return strings.HasPrefix(s.ID, "fan") }) {
		t.Error("without a forecast there is a fan")
	}
}
