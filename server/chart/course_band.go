package chart

import (
	"time"

	"github.com/go-echarts/go-echarts/v2/charts"
	"github.com/go-echarts/go-echarts/v2/opts"
	"github.com/go-echarts/go-echarts/v2/types"
)

// The opacities of what is drawn behind the points. The forecast is lighter than the
// course; its inner half lies on the outer one.
const (
	bandOpacity = 0.20
	fanOpacity  = 0.10
)

// bandSeries draws the band of the course and the forecast. Nothing where two visits
// alone are compared.
func (c Course) bandSeries() charts.MultiSeries {
	if len(c.Smooth) == 0 {
		return nil
	}
	var list charts.MultiSeries
	if len(c.Ahead) > 0 {
		outer, inner, likely := []span{}, []span{}, []datum{}
		for _, a := range c.Ahead {
			outer, inner = append(outer, span{a.At, a.Lo90, a.Hi90}), append(inner, span{a.At, a.Lo50, a.Hi50})
			d := at(Visit{At: a.At}, a.Percent, a.DateWords, a.Words)
			likely = append(likely, d)
		}
		list = append(list, band("fan-90", outer, fanOpacity, "dashed")...)
		list = append(list, band("fan-50", inner, fanOpacity, "")...)
		line := joined("forecast", 0, likely, trace, "dotted")
		line.LineStyle.Width = 2
		list = append(list, line)
	}
	course := make([]span, len(c.Smooth))
	for i, s := range c.Smooth {
		course[i] = span{s.At, s.LoPercent, s.HiPercent}
	}
	return append(list, band("band", course, bandOpacity, "solid")...)
}

// courseLine is the smoothed course itself.
func (c Course) courseLine() charts.SingleSeries {
	data := make([]datum, len(c.Smooth))
	for i, s := range c.Smooth {
		data[i] = at(Visit{At: s.At}, s.Percent)
	}
	line := joined("course", 0, data, trace, "solid")
	line.LineStyle.Width = 2.4
	return line
}

// span is from where to where a band goes on a day.
type span struct {
	at     time.Time
	lo, hi float64
}

// band fills between two lines: a lower one that isn't filled, and on top of it the
// width. Its edges are drawn in the kind of line given; none where that is empty.
func band(id string, spans []span, opacity float32, edge string) charts.MultiSeries {
	lower, width := make([]datum, len(spans)), make([]datum, len(spans))
	for i, s := range spans {
		lower[i], width[i] = at(Visit{At: s.at}, s.lo), at(Visit{At: s.at}, s.hi-s.lo)
	}
	style := opts.LineStyle{Color: trace, Width: 0.8, Type: edge, Opacity: opts.Float(0.6)}
	if edge == "" {
		style = opts.LineStyle{Width: 0.001, Opacity: opts.Float(0)}
	}
	one := func(id string, data []datum) charts.SingleSeries {
		return charts.SingleSeries{
			Id: id, Type: types.ChartLine, Data: data, Symbol: "none", Stack: id[:len(id)-len("-lower")], LineStyle: &style,
		}
	}
	under, over := one(id+"-lower", lower), one(id+"-width", width)
	over.AreaStyle = &opts.AreaStyle{Color: trace, Opacity: opts.Float(opacity)}
	return charts.MultiSeries{under, over}
}

// latestSmooth is the newest day of the course with its words, wide and narrow. They
// stand at the end of the axis, beyond the forecast.
func (c Course) latestSmooth() (wide, narrow datum, ok bool) {
	n := len(c.Smooth)
	if n == 0 {
		return datum{}, datum{}, false
	}
	s := c.Smooth[n-1]
	_, to := c.axisEnds()
	wide, narrow = at(Visit{At: s.At}, s.Percent, s.Words, s.IntervalWords), at(Visit{At: s.At}, s.Percent, s.Words)
	wide.Value[0], narrow.Value[0] = to, to
	return wide, narrow, true
}
