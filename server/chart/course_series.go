package chart

import (
	"slices"
	"strconv"
	"strings"

	"github.com/go-echarts/go-echarts/v2/charts"
	"github.com/go-echarts/go-echarts/v2/opts"
	"github.com/go-echarts/go-echarts/v2/types"
)

// datum is one point: its words, the date on the first line, and time and value.
type datum struct {
	Name    string `json:"name,omitempty"`
	Value   [2]any `json:"value"`
	Tooltip *tip   `json:"tooltip,omitempty"`
}

// tip is the words of a point once more, for the tooltip: the name put in by a
// formatter would show its "&" and "<" as entities.
type tip struct {
	Formatter string `json:"formatter"`
}

// gap ends a line: the next point starts a new one.
const gap = "-"

// at makes a datum of a visit.
func at(v Visit, value any, words ...string) datum {
	return told(wallClock(v.At), value, words...)
}

// told makes a datum of any place, with its words.
func told(across, value any, words ...string) datum {
	d := datum{Name: strings.Join(nonEmpty(words), "\n"), Value: [2]any{across, value}}
	if d.Name != "" {
		// A word joiner after a brace keeps typed braces from being read as a template.
		d.Tooltip = &tip{strings.ReplaceAll(d.Name, "{", "{\u2060")}
	}
	return d
}

func nonEmpty(words []string) []string {
	var kept []string
	for _, w := range words {
		if w != "" {
			kept = append(kept, w)
		}
	}
	return kept
}

// joined is a straight thin line through the points, without symbols of its own.
func joined(id string, panel int, data []datum, color, kind string) charts.SingleSeries {
	return charts.SingleSeries{
		Id: id, Type: types.ChartLine, XAxisIndex: panel, YAxisIndex: panel, Data: data,
		Symbol: "none", ConnectNulls: opts.Bool(false),
		LineStyle: &opts.LineStyle{Color: color, Width: 1, Type: kind},
	}
}

// bars are 95 % intervals: one vertical stroke for each.
func bars(id string, panel int, data []datum, color string, widthPX float32) charts.SingleSeries {
	s := joined(id, panel, data, color, "solid")
	s.LineStyle.Width = widthPX
	return s
}

// bar is one interval of bars.
func bar(v Visit, lo, hi float64) []datum { return []datum{at(v, lo), at(v, hi), at(v, gap)} }

// points are symbols with their words.
func points(id string, panel int, data []datum, symbol string, sizePX int, open bool) charts.SingleSeries {
	fill := ink
	if open {
		fill = paper
	}
	return charts.SingleSeries{
		Id: id, Type: types.ChartScatter, XAxisIndex: panel, YAxisIndex: panel, Data: data,
		Symbol: symbol, SymbolSize: sizePX,
		ItemStyle: &opts.ItemStyle{Color: fill, BorderColor: ink, BorderWidth: 1.6, Opacity: opts.Float(1)},
	}
}

// newest writes the last value beside its point, the figure heavier.
func newest(id string, panel int, d datum) charts.SingleSeries {
	return charts.SingleSeries{
		Id: id, Type: types.ChartScatter, XAxisIndex: panel, YAxisIndex: panel, Data: []datum{d},
		Symbol: "circle", SymbolSize: 1, ItemStyle: &opts.ItemStyle{Color: "transparent", Opacity: opts.Float(1)},
		Label: &opts.Label{
			Show: opts.Bool(true), Position: "right", Formatter: "{b}", Color: ink, FontWeight: "600", FontSize: fontPX,
			LineHeight: linePX,
		},
	}
}

// volumeSeries draws the residual limb and the sound limb in panel 0: the forecast
// and the band of the course behind, the points in front.
func (c Course) volumeSeries() charts.MultiSeries {
	list := c.bandSeries()
	list = append(list, c.soundSeries()...)
	var intervals, joint []datum
	solid, hollow := map[int][]datum{}, map[int][]datum{}
	for _, v := range c.Visits {
		if len(v.Readings) == 0 {
			joint = append(joint, at(v, gap))
		}
		for _, r := range v.Readings {
			if r.LoPercent < r.HiPercent {
				intervals = append(intervals, bar(v, r.LoPercent, r.HiPercent)...)
			}
			joint = append(joint, at(v, r.Percent))
			d := at(v, r.Percent, slices.Concat([]string{v.DateWords}, r.Lines, []string{v.FitterWords, v.Note})...)
			if place := shapeOf(r.Source); r.Doubtful {
				hollow[place] = append(hollow[place], d)
			} else {
				solid[place] = append(solid[place], d)
			}
		}
	}
	list = append(list, bars("interval", 0, intervals, ink, c.barPX()))
	if len(c.Smooth) == 0 {
		list = append(list, joined("course", 0, joint, then, "solid"))
	} else {
		list = append(list, c.courseLine())
	}
	for place, shape := range shapes {
		if data := solid[place]; len(data) > 0 {
			list = append(list, points("source-"+strconv.Itoa(place), 0, data, drawn+shape, c.pointPX(), false))
		}
		if data := hollow[place]; len(data) > 0 {
			list = append(list, points("doubtful-"+strconv.Itoa(place), 0, data, drawn+shape, c.pointPX()+1, true))
		}
	}
	return list
}

// soundSeries draws the sound limb; nothing where it was not measured.
func (c Course) soundSeries() charts.MultiSeries {
	var diamonds, control, intervals []datum
	for _, v := range c.Visits {
		change := v.Sound
		if change == nil {
			control = append(control, at(v, gap))
			continue
		}
		diamonds = append(diamonds, at(v, change.Percent, v.DateWords, c.Words.SoundLimb, figureWords(v, change)))
		control = append(control, at(v, change.Percent))
		if !v.Reference {
			intervals = append(intervals, bar(v, change.LoPercent, change.HiPercent)...)
		}
	}
	if len(diamonds) == 0 {
		return nil
	}
	return charts.MultiSeries{
		bars("sound-interval", 0, intervals, hair, 6),
		joined("sound-course", 0, control, then, "dashed"),
		points("sound", 0, diamonds, "diamond", 11, true),
	}
}

// figureWords are a change and its interval in words; the reference has none.
func figureWords(v Visit, change *Change) string {
	if v.Reference || change.IntervalWords == "" {
		return change.Words
	}
	return change.Words + ", " + change.IntervalWords
}

// measureSeries draws one of the lower panels: points joined where visits
// follow one another without a gap.
func (c Course) measureSeries(index int, m measure) charts.MultiSeries {
	var course, dots []datum
	for _, v := range c.Visits {
		f := m.of(v)
		if f == nil {
			course = append(course, at(v, gap))
			continue
		}
		course = append(course, at(v, f.Value))
		dots = append(dots, at(v, f.Value, v.DateWords, m.heading, f.Words))
	}
	return charts.MultiSeries{
		joined(m.kind+"-course", index, course, then, "solid"),
		points(m.kind, index, dots, "circle", 6, false),
	}
}

// latest returns the newest value of a panel with its words, wide and narrow.
func (c Course) latest(kind string) (wide, narrow datum, ok bool) {
	for i := len(c.Visits) - 1; i >= 0; i-- {
		v := c.Visits[i]
		if kind == "volume" {
			if wide, narrow, ok := c.latestSmooth(); ok {
				return wide, narrow, true
			}
			if change := v.Residual; change != nil {
				wide = at(v, change.Percent, change.Words)
				narrow = wide
				if !v.Reference {
					wide = at(v, change.Percent, change.Words, change.IntervalWords)
				}
				return wide, narrow, true
			}
			continue
		}
		for _, m := range c.measures() {
			if f := m.of(v); m.kind == kind && f != nil {
				d := at(v, f.Value, f.Words)
				return d, d, true
			}
		}
	}
	return datum{}, datum{}, false
}

// eventNotes numbers the events in the order given.
func (c Course) eventNotes() []EventNote {
	var notes []EventNote
	for i, e := range c.Events {
		notes = append(notes, EventNote{i + 1, e.DateWords, e.Words})
	}
	return notes
}

// eventName is what stands above an event's line.
func (c Course) eventName(i int, place eventPlace) string {
	switch {
	case place.row < 0:
		return ""
	case place.words:
		return strconv.Itoa(i+1) + "  " + c.Events[i].Words
	}
	return strconv.Itoa(i + 1)
}
