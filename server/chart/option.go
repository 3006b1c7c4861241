// Package chart builds the option data of the program's charts. It is the only
// package that knows go-echarts, and uses it as a typed builder of options: an
// option leaves as JSON for a data block of the page and is drawn by a static
// script, so that no markup, style or script is ever made from data. Options
// hold no functions; colours and the font are names of the page's custom
// properties ("--ink"), which the script resolves for the scheme in use.
//
// All words come in already translated. Times are shown as the wall clock of
// the zone they carry, whatever the reader's zone.
package chart

import (
	"encoding/json"
	"fmt"
	"time"

	"github.com/go-echarts/go-echarts/v2/charts"
	"github.com/go-echarts/go-echarts/v2/opts"
	"github.com/go-echarts/go-echarts/v2/types"
)

// Tokens of the page's style sheet that charts use.
const (
	ink   = "--ink"
	soft  = "--soft"
	hair  = "--hair"
	paper = "--paper"
	sheet = "--sheet"
	then  = "--then"
	soon  = "--soon"
	wash  = "--soon-wash"
	line  = "--limb-line"
	sans  = "--sans"
	trace = "--accent" // of the course and its forecast
)

// fontPX is the size of every text in a chart. It doesn't shrink with the
// chart: a narrow one gets fewer and shorter words instead.
const fontPX = 13

// linePX is from one line of text to the next.
const linePX = 17

// The widest chart that is laid out for a phone, and the least wide one that
// has room for more words.
const (
	narrowPX = 560
	broadPX  = 900
)

// house applies the site's rules to a chart on its way to JSON and adds what
// go-echarts has no field for.
type house struct {
	charts.BaseConfigurationVisitor
	headings            []any          // of the panels: go-echarts knows one title only
	crowded             bool           // so many points that the course is drawn over them
	narrow, wide, broad map[string]any // what differs between the layouts
}

// VisitTooltipOpt draws tooltips as part of the picture: the default ones carry
// style attributes, which the content security policy blocks.
func (house) VisitTooltipOpt(t opts.Tooltip) any {
	return struct {
		opts.Tooltip
		RenderMode string         `json:"renderMode"`
		Confine    bool           `json:"confine"`
		Background string         `json:"backgroundColor"`
		Border     string         `json:"borderColor"`
		TextStyle  map[string]any `json:"textStyle"`
	}{t, "richText", true, sheet, hair, map[string]any{"color": ink}}
}

// VisitSeriesOpt stacks limits, ticks and events, lines, points from the back to
// the front, and keeps what isn't a point out of the pointer's way.
func (h house) VisitSeriesOpt(list charts.MultiSeries) any {
	type lines struct {
		*opts.MarkLines
		Silent bool `json:"silent"`
		Z      int  `json:"z"`
	}
	type areas struct {
		*opts.MarkAreas
		Silent bool `json:"silent"`
		Z      int  `json:"z"`
	}
	type haloed struct {
		*opts.Label
		Halo   string `json:"textBorderColor"`
		HaloPX int    `json:"textBorderWidth"`
	}
	type series struct {
		charts.SingleSeries
		Words    *haloed `json:"label,omitempty"`
		Z        int     `json:"z"`
		Stacking string  `json:"stackStrategy,omitempty"`
		Silent   bool    `json:"silent,omitempty"`
		Lines    *lines  `json:"markLine,omitempty"`
		Areas    *areas  `json:"markArea,omitempty"`
	}
	out := make([]series, len(list))
	for i, s := range list {
		out[i].SingleSeries = s
		out[i].Z = 2
		if s.Type == types.ChartScatter && s.Id != "sound" { // which stays behind
			out[i].Z = 3
		}
		if s.Id == "course" && h.crowded {
			out[i].Z = 4
		}
		if s.Stack != "" { // a band: its lower end and its width, whatever the signs
			out[i].Z, out[i].Stacking, out[i].Silent = 1, "all", true
		}
		if s.Label != nil {
			out[i].Words = &haloed{s.Label, paper, 3} // keeps words readable on a limit's line
		}
		if s.MarkLines != nil {
			out[i].Lines = &lines{s.MarkLines, true, 1}
		}
		if s.MarkAreas != nil {
			out[i].Areas = &areas{s.MarkAreas, true, 0}
		}
	}
	return out
}

// VisitXAxis gives the time axis its date formats; the months are named by the
// script's locale.
func (house) VisitXAxis(list []opts.XAxis) any {
	type label struct {
		*opts.AxisLabel
		Formatter map[string]string `json:"formatter"`
	}
	type axis struct {
		opts.XAxis
		Label label `json:"axisLabel"`
	}
	out := make([]any, len(list))
	for i, x := range list {
		if x.Type != "time" {
			out[i] = x
			continue
		}
		out[i] = axis{x, label{x.AxisLabel, map[string]string{
			"year": "{yyyy}", "month": "{MMM}", "day": "{d} {MMM}", "hour": "{HH}:{mm}", "minute": "{HH}:{mm}",
		}}}
	}
	return out
}

// Visit completes the option as a whole.
func (h house) Visit(option map[string]any) {
	option["useUTC"] = true // see wallClock
	option["title"] = h.headings
	option["textStyle"] = map[string]any{"fontFamily": sans, "fontSize": fontPX, "color": ink}
	option["color"] = []string{ink}
	option["media"] = []any{
		map[string]any{"query": map[string]any{"maxWidth": narrowPX}, "option": h.narrow},
		map[string]any{"query": map[string]any{"minWidth": broadPX}, "option": h.broad},
		map[string]any{"option": h.wide}, // when neither fits
	}
	delete(option, "toolbox")
}

// encode marshals a chart under the rules of the house.
func encode(c *charts.Line, h house) (json.RawMessage, error) {
	c.Accept(h)
	c.Validate()
	data, err := json.Marshal(c.JSON())
	if err != nil {
		return nil, fmt.Errorf("chart: encode option: %w", err)
	}
	return data, nil
}

// wallClock returns the milliseconds since 1970 of the clock on the wall at t's
// place, as if that clock showed UTC. Charts are drawn in UTC, so a reader
// elsewhere sees the date and hour at which the measurement was made.
func wallClock(t time.Time) int64 {
	_, offset := t.Zone()
	return t.UnixMilli() + int64(offset)*1000
}
