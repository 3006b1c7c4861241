package chart

import (
	"math"
	"time"
	"unicode/utf8"
)

// The vertical layout in CSS pixels, from the top: the first panel's heading,
// rows for the words of events, the panels with a heading above each, and the
// dates below the last.
const (
	headingPX  = 28
	eventRowPX = linePX
	eventRows  = 2
	gapPX      = 38 // between panels, with the heading of the lower one
	datesPX    = 30
)

// The heights of the panel of the volume change and of each other, in CSS pixels,
// and those of a course that shares a sheet of paper.
const (
	tallPX, lowPX           = 220, 66
	tallPaperPX, lowPaperPX = 126, 30
)

// The horizontal layout in CSS pixels. The right margin holds the newest value.
const (
	leftPX        = 44
	rightPX       = 108
	narrowLeftPX  = 30
	narrowRightPX = 58
	letterPX      = 6.6 // of an average letter, for placing words of events
)

// The least widths between the margins that words of events are placed for: on
// a phone of 360 pixels, and just above the two breakpoints.
const (
	narrowRoomPX = 328 - narrowLeftPX - narrowRightPX
	wideRoomPX   = narrowPX - leftPX - rightPX
	broadRoomPX  = broadPX - leftPX - rightPX
)

// panel is one of the stacked grids.
type panel struct {
	kind            string // "volume", "weight", "socks" or "comfort"
	heading         string
	topPX, heightPX int
	scale           scale
}

// panels lays out those that have data.
func (c Course) panels() []panel {
	var list []panel
	tall, low := tallPX, lowPX
	if c.OnPaper {
		tall, low = tallPaperPX, lowPaperPX
	}
	add := func(kind, heading string, heightPX int, s scale) {
		top := headingPX + c.eventRowsUsed()*eventRowPX
		if len(list) > 0 {
			above := list[len(list)-1]
			top = above.topPX + above.heightPX + gapPX
		}
		list = append(list, panel{kind, heading, top, heightPX, s})
	}
	if lo, hi, ok := c.changeRange(); ok {
		add("volume", c.Words.Volume, tall, changeScale(lo, hi))
	}
	for _, m := range c.measures() {
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, v := range c.Visits {
			if f := m.of(v); f != nil {
				lo, hi = min(lo, f.Value), max(hi, f.Value)
			}
		}
		if lo <= hi {
			add(m.kind, m.heading, low, m.scale(lo, hi))
		}
	}
	return list
}

// measure is one of the lower panels' quantities.
type measure struct {
	kind, heading string
	of            func(Visit) *Figure
	scale         func(lo, hi float64) scale
}

func (c Course) measures() []measure {
	return []measure{
		{"weight", c.Words.Weight, func(v Visit) *Figure { return v.WeightKG }, weightScale},
		{"socks", c.Words.Socks, func(v Visit) *Figure { return v.SockMM }, func(_, hi float64) scale { return sockScale(hi) }},
		{"comfort", c.Words.Comfort, func(v Visit) *Figure { return v.Comfort }, func(_, _ float64) scale { return comfortScale() }},
	}
}

// changeRange returns what the volume panel must hold; ok is false when there
// is nothing for it but limits.
func (c Course) changeRange() (lo, hi float64, ok bool) {
	for _, v := range c.Visits {
		for _, r := range v.Readings {
			lo, hi, ok = min(lo, r.LoPercent, r.Percent), max(hi, r.HiPercent, r.Percent), true
		}
		if change := v.Sound; change != nil {
			lo, hi, ok = min(lo, change.LoPercent, change.Percent), max(hi, change.HiPercent, change.Percent), true
		}
	}
	for _, s := range c.Smooth {
		lo, hi = min(lo, s.LoPercent), max(hi, s.HiPercent)
	}
	for _, a := range c.Ahead {
		lo, hi = min(lo, a.Lo90), max(hi, a.Hi90)
	}
	// A limit leaves some of its band in sight.
	if c.Lower != nil {
		lo = min(lo, 1.2*c.Lower.Percent)
	}
	if c.Upper != nil {
		hi = max(hi, 1.2*c.Upper.Percent)
	}
	return lo, hi, ok
}

// height is what all panels need.
func height(panels []panel) int {
	last := panels[len(panels)-1]
	return last.topPX + last.heightPX + datesPX
}

// axisEnds returns the ends of the time axis as wall-clock milliseconds: all
// visits and events and Until, with a little room at both sides and at least
// four weeks wide.
func (c Course) axisEnds() (from, to int64) {
	from, to = math.MaxInt64, math.MinInt64
	include := func(t time.Time) { from, to = min(from, wallClock(t)), max(to, wallClock(t)) }
	for _, v := range c.Visits {
		include(v.At)
	}
	for _, e := range c.Events {
		include(e.At)
	}
	if n := len(c.Ahead); n > 0 {
		include(c.Ahead[n-1].At)
	}
	if !c.Until.IsZero() && wallClock(c.Until) > to {
		to = wallClock(c.Until)
	}
	const day = 24 * 60 * 60 * 1000
	room := max((to-from)/40, day)
	if short := 28*day - (to - from); short > 0 {
		room = max(room, short/2)
	}
	return from - room, to + room
}

// eventPlace is where the words of an event stand above the first panel.
type eventPlace struct {
	row   int // counted from the panel upwards; −1 where not even the number fits
	words bool
}

// eventPlaces finds room for the events between the margins, widthPX apart,
// from the left to the right in time: with their words where these fit, with
// their number alone where not. All events are listed below the chart, so
// nothing is lost when a number finds no room.
func (c Course) eventPlaces(widthPX float64, withWords bool) []eventPlace {
	from, to := c.axisEnds()
	free := make([]float64, eventRows) // where each row is free again
	places := make([]eventPlace, len(c.Events))
	for i, e := range c.Events {
		x := widthPX * float64(wallClock(e.At)-from) / float64(to-from)
		words := letterPX * float64(utf8.RuneCountInString(e.Words)+4)
		places[i].row = -1
		for _, try := range []struct {
			width float64
			words bool
		}{{words, true}, {2.5 * letterPX, false}} {
			if try.words && (!withWords || x+try.width > widthPX+rightPX-10) {
				continue
			}
			for row := 0; row < eventRows && places[i].row < 0; row++ {
				if x >= free[row] {
					places[i] = eventPlace{row, try.words}
					free[row] = x + try.width
				}
			}
		}
	}
	return places
}

// eventRowsUsed counts the rows above the first panel.
func (c Course) eventRowsUsed() int {
	used := 0
	for _, places := range [][]eventPlace{
		c.eventPlaces(narrowRoomPX, false), c.eventPlaces(wideRoomPX, true), c.eventPlaces(broadRoomPX, true),
	} {
		for _, p := range places {
			used = max(used, p.row+1)
		}
	}
	return used
}
