package chart

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"slices"
	"time"
)

// ErrEmpty says that no visit holds anything that can be drawn. The page then
// says so in words instead of showing empty axes.
var ErrEmpty = errors.New("chart: no visit holds anything to draw")

// Figure is a value and the words that show it in the reader's language.
type Figure struct {
	Value float64
	Words string // such as "81.5 kg"
}

// Change is a volume change since the reference with its central 95 % interval,
// in percent of the reference, and the words that show both.
type Change struct {
	Percent, LoPercent, HiPercent float64
	Words                         string // such as "−4.9 %"
	IntervalWords                 string // such as "−7.0 to −2.8"
}

// Visit is what one check-in adds to the course. Whatever was not measured, or
// can't be compared, is nil and leaves a gap.
type Visit struct {
	At          time.Time // in the zone of the place of measurement: the axis shows its wall clock
	DateWords   string
	Reference   bool // changes are counted from this visit
	FitterWords string
	Readings    []Reading // of the residual limb, one for each round
	Residual    *Change   // by this visit and the reference alone, for the table
	Note        string    // the verdict, or why there is no change
	Sound       *Change
	WeightKG    *Figure
	SockMM      *Figure // thickness of the socks worn now
	Comfort     *Figure // 0 to 10
}

// Reading is one point: a volume of the residual limb in percent of that at the
// reference, with its central 95 % interval.
type Reading struct {
	Percent, LoPercent, HiPercent float64
	Source                        int      // place in Course.Sources
	Doubtful                      bool     // more likely a slip than not
	Lines                         []string // what is told of it: round, volume, what the course makes of it, doubt
	Cells                         ReadingCells
}

// ReadingCells are what the table says of a reading.
type ReadingCells struct {
	Round          string // of a visit with two
	Volume, U      string
	Smooth, Within string // the change by all visits together and its interval
	Slip           string
}

// Smooth is what all visits together say of one day, in percent of the level at the
// reference.
type Smooth struct {
	At                            time.Time
	Percent, LoPercent, HiPercent float64
	Words, IntervalWords          string
}

// Ahead is the forecast for one day: the change in percent with its central 90 % and
// 50 %. Words are told of it where there are any.
type Ahead struct {
	At                  time.Time
	Percent, Lo90, Hi90 float64
	Lo50, Hi50          float64
	DateWords, Words    string
}

// Event is a dated event of the limb, the prosthesis or the cover.
type Event struct {
	At               time.Time
	DateWords, Words string
}

// Limit is a limit on the volume change in percent, with the words that say
// who set it and when.
type Limit struct {
	Percent float64
	Words   string
}

// CourseWords are the fixed words of the course in the reader's language. The
// panel headings carry their unit.
type CourseWords struct {
	Volume, Weight, Socks, Comfort string // panel headings, such as "Volume since delivery, %"
	Date, Change, Interval         string // column headings of the table
	Round, MeasuredML, U, Slip     string
	Smooth, Within                 string
	Fitter, Note, SoundChange      string
	SoundLimb, Doubtful, Others    string // key to the symbols
	Course, Forecast               string
	Events                         string // heading of the numbered events
}

// Course is everything that is shown on one time axis: visits in ascending
// time, events, the limits on the volume change, and the moment up to which
// the axis runs when that is later than the last visit (today, so that a long
// silence shows as one).
type Course struct {
	Visits       []Visit
	Sources      []string // who measured how: each has a shape of its own, up to six
	Smooth       []Smooth // by day; none where two visits alone are compared
	Ahead        []Ahead  // from the last of Smooth on; none where there is no forecast
	Events       []Event
	Lower, Upper *Limit // below and above zero; nil where none is set
	Until        time.Time
	Words        CourseWords
	Description  string // one paragraph made from the data, for those who can't see the chart
	OnPaper      bool   // lower, to share a sheet with what is written about it
}

// EventNote is an event as numbered in the chart, to be listed below it.
type EventNote struct {
	Number           int
	DateWords, Words string
}

// KeyEntry explains one symbol. Kind is "point", "hollow", "sound", "course" or
// "fan"; Path is the outline of a point in a box of 12 by 12.
type KeyEntry struct{ Kind, Path, Words string }

// Table is the chart in figures, one row per reading and one for a visit without any,
// newest first. Every row has as many cells as there are columns; a cell without a value is empty.
type Table struct {
	Columns []string
	Rows    [][]string
}

// Chart is a drawn course, ready for the page.
type Chart struct {
	Option      json.RawMessage // for a data block, drawn by the static script
	Description string
	Panels      int // stacked panels, 1 to 4
	HeightPX    int // the height that the panels are laid out for, in CSS pixels
	Events      []EventNote
	Key         []KeyEntry // only the symbols that occur
	Table       Table
}

// Chart lays the course out: volume change, body weight, sock thickness and
// comfort as stacked panels with one time axis, each only if it has data.
// The error wraps ErrEmpty when there is nothing to draw; visits out of order,
// a limit on the wrong side of zero and figures that are not finite are errors
// that say where.
func (c Course) Chart() (Chart, error) {
	if err := c.check(); err != nil {
		return Chart{}, err
	}
	panels := c.panels()
	if len(panels) == 0 {
		return Chart{}, ErrEmpty
	}
	option, err := c.option(panels)
	if err != nil {
		return Chart{}, err
	}
	return Chart{
		Option: option, Description: c.Description,
		Panels: len(panels), HeightPX: height(panels),
		Events: c.eventNotes(), Key: c.key(), Table: c.table(),
	}, nil
}

// check refuses what can't be drawn truthfully.
func (c Course) check() error {
	if c.Lower != nil && !(c.Lower.Percent < 0 && c.Lower.Percent >= -100) {
		return fmt.Errorf("chart: lower limit %v %% is not between -100 and 0", c.Lower.Percent)
	}
	if c.Upper != nil && !(c.Upper.Percent > 0 && c.Upper.Percent <= 1000) {
		return fmt.Errorf("chart: upper limit %v %% is not between 0 and 1000", c.Upper.Percent)
	}
	for i, s := range c.Smooth {
		if i > 0 && wallClock(s.At) <= wallClock(c.Smooth[i-1].At) {
			return fmt.Errorf("chart: day %d of %d of the course is not later than the one before it", i+1, len(c.Smooth))
		}
		if !finite(s.Percent, s.LoPercent, s.HiPercent) {
			return fmt.Errorf("chart: day %d of %d of the course is not a finite number", i+1, len(c.Smooth))
		}
	}
	for i, a := range c.Ahead {
		if len(c.Smooth) == 0 || i > 0 && wallClock(a.At) <= wallClock(c.Ahead[i-1].At) {
			return fmt.Errorf("chart: day %d of %d of the forecast follows none", i+1, len(c.Ahead))
		}
		if !finite(a.Percent, a.Lo90, a.Hi90, a.Lo50, a.Hi50) {
			return fmt.Errorf("chart: day %d of %d of the forecast is not a finite number", i+1, len(c.Ahead))
		}
	}
	for i, v := range c.Visits {
		if i > 0 && v.At.Before(c.Visits[i-1].At) {
			return fmt.Errorf("chart: visit %d of %d is earlier than the one before it", i+1, len(c.Visits))
		}
		for k, r := range v.Readings {
			if r.Source < 0 || r.Source >= len(c.Sources) || !finite(r.Percent, r.LoPercent, r.HiPercent) {
				return fmt.Errorf("chart: visit %d of %d: reading %d has no source or is not a finite number", i+1, len(c.Visits), k+1)
			}
		}
		for name, value := range v.values() {
			if math.IsNaN(value) || math.IsInf(value, 0) {
				return fmt.Errorf("chart: visit %d of %d: %s is not a finite number", i+1, len(c.Visits), name)
			}
		}
	}
	return nil
}

func finite(values ...float64) bool {
	return !slices.ContainsFunc(values, func(v float64) bool { return math.IsNaN(v) || math.IsInf(v, 0) })
}

// values lists the figures of a visit by name.
func (v Visit) values() map[string]float64 {
	values := map[string]float64{}
	for name, change := range map[string]*Change{"volume change": v.Residual, "sound limb change": v.Sound} {
		if change != nil {
			values[name] = change.Percent
			values[name+", lower end"] = change.LoPercent
			values[name+", upper end"] = change.HiPercent
		}
	}
	for name, figure := range map[string]*Figure{"weight": v.WeightKG, "sock thickness": v.SockMM, "comfort": v.Comfort} {
		if figure != nil {
			values[name] = figure.Value
		}
	}
	return values
}
