package chart

import (
	"encoding/json"
	"strconv"
	"strings"

	"github.com/go-echarts/go-echarts/v2/charts"
	"github.com/go-echarts/go-echarts/v2/opts"
)

// option assembles the panels.
func (c Course) option(panels []panel) (json.RawMessage, error) {
	chart := charts.NewLine()
	chart.SetGlobalOptions(
		charts.WithAnimation(false),
		charts.WithLegendOpts(opts.Legend{Show: opts.Bool(false)}),
		charts.WithTooltipOpts(opts.Tooltip{Show: opts.Bool(true), Trigger: "item", Formatter: "{b}"}),
		charts.WithAriaOpts(&opts.Aria{Enabled: opts.Bool(true), Label: &opts.AriaLabel{Description: c.Description}}),
	)
	chart.XAxisList, chart.YAxisList, chart.GridList = nil, nil, nil
	from, to := c.axisEnds()
	for i, p := range panels {
		chart.GridList = append(chart.GridList, grid(p, leftPX, rightPX))
		chart.XAxisList = append(chart.XAxisList, timeAxis(i, from, to, i == len(panels)-1))
		chart.YAxisList = append(chart.YAxisList, opts.YAxis{
			GridIndex: i, Type: "value", Show: opts.Bool(false), Min: p.scale.min, Max: p.scale.max,
			AxisLabel: &opts.AxisLabel{}, SplitLine: &opts.SplitLine{Show: opts.Bool(false)},
		})
		chart.MultiSeries = append(chart.MultiSeries, c.panelSeries(i, p)...)
	}
	return encode(chart, c.layouts(panels))
}

// grid places a panel between two margins.
func grid(p panel, left, right int) opts.Grid {
	return opts.Grid{
		Left: strconv.Itoa(left), Right: strconv.Itoa(right),
		Top: strconv.Itoa(p.topPX), Height: strconv.Itoa(p.heightPX),
		ContainLabel: opts.Bool(false),
	}
}

// timeAxis is the same for every panel; only the lowest names its ticks.
func timeAxis(index int, from, to int64, named bool) opts.XAxis {
	return opts.XAxis{
		GridIndex: index, Type: "time", Min: from, Max: to, SplitNumber: 6,
		AxisLine:  &opts.AxisLine{Show: opts.Bool(true), OnZero: opts.Bool(false), LineStyle: &opts.LineStyle{Color: then}},
		AxisTick:  &opts.AxisTick{Show: opts.Bool(true), LineStyle: &opts.LineStyle{Color: then}},
		AxisLabel: &opts.AxisLabel{Show: opts.Bool(named), Color: soft, FontSize: fontPX, HideOverlap: opts.Bool(true)},
		SplitLine: &opts.SplitLine{Show: opts.Bool(false)},
	}
}

// panelSeries is all that is drawn in one panel, lowest first.
func (c Course) panelSeries(index int, p panel) charts.MultiSeries {
	list := charts.MultiSeries{c.frame(index, p), c.eventLines(index, c.eventPlaces(wideRoomPX, true))}
	if p.kind == "volume" {
		list = append(list, c.volumeSeries()...)
	}
	for _, m := range c.measures() {
		if m.kind == p.kind {
			list = append(list, c.measureSeries(index, m)...)
		}
	}
	if wide, _, ok := c.latest(p.kind); ok {
		list = append(list, newest("newest-"+p.kind, index, wide))
	}
	return list
}

// mark is one line or one corner of an area, which go-echarts has no faithful
// type for.
type mark struct {
	Name      string          `json:"name,omitempty"`
	XAxis     any             `json:"xAxis,omitempty"`
	YAxis     any             `json:"yAxis,omitempty"`
	Label     *markLabel      `json:"label,omitempty"`
	LineStyle *opts.LineStyle `json:"lineStyle,omitempty"`
}

// markLabel is the text of a mark. Width and Overflow break long words of
// limits instead of letting them run out of the chart.
type markLabel struct {
	Show      bool      `json:"show"`
	Position  string    `json:"position,omitempty"`
	Formatter string    `json:"formatter,omitempty"`
	Align     string    `json:"align,omitempty"`
	Color     string    `json:"color,omitempty"`
	FontSize  int       `json:"fontSize,omitempty"`
	Line      int       `json:"lineHeight,omitempty"`
	Distance  int       `json:"distance,omitempty"`
	Offset    []float64 `json:"offset,omitempty"`
	Width     int       `json:"width,omitempty"`
	Overflow  string    `json:"overflow,omitempty"`
}

// frame draws a panel's heading, ticks and limits.
func (c Course) frame(index int, p panel) charts.SingleSeries {
	s := joined("frame-"+p.kind, index, nil, hair, "solid")
	s.MarkLines = &opts.MarkLines{MarkLineStyle: opts.MarkLineStyle{Symbol: []string{"none", "none"}}}
	for _, tick := range p.scale.ticks() {
		color := hair
		if tick == 0 {
			color = then
		}
		s.MarkLines.Data = append(s.MarkLines.Data, mark{
			Name: signed(tick, p.kind == "volume"), YAxis: tick,
			Label:     &markLabel{Show: true, Position: "start", Formatter: "{b}", Color: soft, FontSize: fontPX, Distance: 8},
			LineStyle: &opts.LineStyle{Color: color, Width: 1, Type: "solid"},
		})
	}
	if p.kind == "volume" {
		for _, limit := range []*Limit{c.Lower, c.Upper} {
			if limit != nil {
				s.MarkLines.Data = append(s.MarkLines.Data, mark{
					YAxis: limit.Percent, Label: &markLabel{Show: false},
					LineStyle: &opts.LineStyle{Color: soon, Width: 1, Type: "dashed"},
				})
			}
		}
		s.MarkAreas = c.limitBands(p.scale, wideRoomPX-16)
	}
	return s
}

// limitBands shades what lies beyond the limits.
func (c Course) limitBands(s scale, widthPX int) *opts.MarkAreas {
	areas := &opts.MarkAreas{MarkAreaStyle: opts.MarkAreaStyle{ItemStyle: &opts.ItemStyle{Color: wash}}}
	band := func(limit *Limit, end float64, position string) {
		if limit == nil {
			return
		}
		label := &markLabel{
			Show: true, Position: position, Formatter: "{b}", Color: soft, FontSize: fontPX,
			Width: widthPX, Overflow: "break", Align: "left", Line: 15, Distance: 2, // two lines fit the least band
		}
		areas.Data = append(areas.Data, []mark{{Name: limit.Words, YAxis: limit.Percent, Label: label}, {YAxis: end}})
	}
	band(c.Lower, s.min, "insideBottomLeft")
	band(c.Upper, s.max, "insideTopLeft")
	return areas
}

// eventLines draws the events through a panel, with their words above the first.
func (c Course) eventLines(index int, places []eventPlace) charts.SingleSeries {
	s := joined("events-"+strconv.Itoa(index), index, nil, line, "dotted")
	s.MarkLines = &opts.MarkLines{
		Data:          c.eventMarks(index, places),
		MarkLineStyle: opts.MarkLineStyle{Symbol: []string{"none", "none"}},
	}
	return s
}

func (c Course) eventMarks(index int, places []eventPlace) []any {
	marks := []any{}
	for i, e := range c.Events {
		label := &markLabel{}
		if index == 0 && places[i].row >= 0 {
			label = &markLabel{
				Show: true, Position: "end", Formatter: "{b}", Align: "left", Color: soft, FontSize: fontPX,
				Distance: 3 + eventRowPX*places[i].row, Offset: []float64{-3, 0},
			}
		}
		marks = append(marks, mark{
			Name: c.eventName(i, places[i]), XAxis: wallClock(e.At), Label: label,
			LineStyle: &opts.LineStyle{Color: line, Width: 1, Type: "dotted"},
		})
	}
	return marks
}

// signed writes a tick with a real minus sign, and with a plus where plus says
// that a zero lies between.
func signed(v float64, plus bool) string {
	text := strconv.FormatFloat(v, 'f', -1, 64)
	if strings.HasPrefix(text, "-") {
		return "−" + text[1:]
	}
	if plus && v > 0 {
		return "+" + text
	}
	return text
}

// layouts returns what changes with the width: margins, the number of dates,
// and how much is written beside points and lines.
func (c Course) layouts(panels []panel) house {
	layout := func(left, right, dates int, places []eventPlace, limitPX int, short bool) map[string]any {
		var grids []opts.Grid
		var axes, series []any
		for i, p := range panels {
			grids = append(grids, grid(p, left, right))
			axes = append(axes, map[string]any{"splitNumber": dates})
			series = append(series, map[string]any{
				"id": "events-" + strconv.Itoa(i), "markLine": map[string]any{"data": c.eventMarks(i, places)},
			})
			if p.kind == "volume" {
				series = append(series, c.pointSizes(short)...)
				series = append(series, map[string]any{"id": "frame-volume", "markArea": c.limitBands(p.scale, limitPX)})
			}
			if wide, narrow, ok := c.latest(p.kind); ok {
				d := wide
				if short {
					d = narrow
				}
				series = append(series, map[string]any{"id": "newest-" + p.kind, "data": []datum{d}})
			}
		}
		return map[string]any{"grid": grids, "xAxis": axes, "series": series}
	}
	var headings []any
	for i, p := range panels {
		headings = append(headings, heading(p, i))
	}
	return house{
		headings: headings, crowded: c.readings() > crowd,
		narrow: layout(narrowLeftPX, narrowRightPX, 3, c.eventPlaces(narrowRoomPX, false), narrowRoomPX-16, true),
		wide:   layout(leftPX, rightPX, 6, c.eventPlaces(wideRoomPX, true), wideRoomPX-16, false),
		broad:  layout(leftPX, rightPX, 6, c.eventPlaces(broadRoomPX, true), broadRoomPX-16, false),
	}
}

// pointSizes are those of the points, by source, on a phone or wider.
func (c Course) pointSizes(short bool) []any {
	size := c.pointPX()
	if short {
		size = c.narrowPointPX()
	}
	var list []any
	for _, s := range c.volumeSeries() {
		switch {
		case strings.HasPrefix(s.Id, "source-"):
			list = append(list, map[string]any{"id": s.Id, "symbolSize": size})
		case strings.HasPrefix(s.Id, "doubtful-"):
			list = append(list, map[string]any{"id": s.Id, "symbolSize": size + 1})
		}
	}
	return list
}

// heading names a panel with its unit, at the left edge above it; in the first
// panel above the words of the events.
func heading(p panel, index int) map[string]any {
	top := p.topPX - headingPX
	if index == 0 {
		top = 4
	}
	return map[string]any{
		"text": p.heading, "left": 0, "top": top, "padding": 0,
		"textStyle": map[string]any{"fontSize": fontPX, "fontWeight": 600, "color": ink, "fontFamily": sans},
	}
}
