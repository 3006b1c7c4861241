package trend

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"fairlead/analytics/quantity"
	"fairlead/analytics/table"
)

// Sheet is what a file of volumes holds.
type Sheet struct {
	Series []Series     // the one measured last comes last
	Notes  []table.Note // what was read but looks odd, by line
}

// Series is a row of volumes that can be compared with one another.
type Series struct {
	Name                 string  // empty when the file names none
	Visits               []Visit // by date, those of one day in the order of the file
	Lines                []int   // of each visit
	WeeksSinceAmputation float64 // at the first visit; 0 when not known
}

// exampleHeading is the heading to start from.
const exampleHeading = "date,volume_ml,u_ml,method,fitter"

// DecodeCSV reads volumes, one visit on a row:
//
//	date,volume_ml,u_ml,method,fitter
//	2026-03-02,1147,16.6,tape,Ash
//
// A row with neither volume nor uncertainty is left out, with a note.
// method, fitter, series and weeks_since_amputation may be left out; of the
// last, one row of a series is enough. Other columns are not used, with a note.
// The form of the file is that of package table; rows may come in any order.
// today, unless empty, is the last date taken.
//
// Bad content gives table.Problems with every problem found, up to
// table.MaxProblems, and no sheet; an error of the reader comes back wrapped.
func DecodeCSV(r io.Reader, today quantity.Date) (Sheet, error) {
	rows, err := table.Open(r, exampleHeading)
	if err != nil {
		return Sheet{}, fmt.Errorf("trend: %w", err)
	}
	d := decoder{Reader: rows, today: today}
	d.decode()
	if err := d.Err(); err != nil {
		return Sheet{}, err
	}
	return Sheet{Series: d.series, Notes: d.Notes()}, nil
}

// decoder is the state of one DecodeCSV.
type decoder struct {
	*table.Reader
	today  quantity.Date
	column struct{ date, volume, u, method, fitter, series, weeks int }
	rows   []csvRow
	series []Series
}

// csvRow is one visit of a file.
type csvRow struct {
	Visit
	line       int
	series     string
	weeks      float64
	knowsWeeks bool
}

func (d *decoder) decode() {
	if d.Faults() == 0 {
		d.readHeading()
	}
	if d.Faults() > 0 {
		return
	}
	for {
		cells, ok := d.Next()
		if !ok {
			break
		}
		d.readRow(cells)
	}
	if d.Faults() > 0 {
		return
	}
	if len(d.rows) == 0 {
		d.Problem(d.Line(), "add one row for each visit", "there are no visits below the heading")
		return
	}
	d.gather()
}

func (d *decoder) readHeading() {
	c := &d.column
	c.date, c.volume, c.u = d.Column("date"), d.Column("volume_ml"), d.Column("u_ml")
	c.method, c.fitter, c.series = d.Column("method"), d.Column("fitter"), d.Column("series")
	c.weeks = d.Column("weeks_since_amputation")
	for _, needed := range []struct {
		name string
		at   int
	}{{"date", c.date}, {"volume_ml", c.volume}, {"u_ml", c.u}} {
		if needed.at < 0 {
			d.Problem(d.HeadingLine(), "name the columns as in "+exampleHeading, "there is no column %s", needed.name)
		}
	}
	for _, heading := range d.Unused() {
		d.NoteUnused(heading)
	}
}

// readRow turns a row of the table into a visit, or into problems.
func (d *decoder) readRow(cells table.Row) {
	before, line, cell := d.Faults(), cells.Line, cells.Cell
	if cell(d.column.volume) == "" && cell(d.column.u) == "" {
		d.Note(line, "give both if it was measured", "the visit has neither a volume nor its uncertainty and is left out")
		return
	}
	r := csvRow{line: line, series: cell(d.column.series)}
	r.Date = d.Date(cell(d.column.date), line, d.today)
	r.VolumeML = d.number("volume", cell(d.column.volume), line)
	r.UML = d.number("uncertainty", cell(d.column.u), line)
	r.Source = SourceOf(strings.ToLower(cell(d.column.method)), cell(d.column.fitter), "")
	if text := cell(d.column.weeks); text != "" {
		r.knowsWeeks = true
		r.weeks = d.number("weeks since amputation", text, line)
		if r.weeks < 0 || r.weeks > maxWeeks {
			d.Problem(line, fmt.Sprintf("give 0 to %d weeks", maxWeeks), "the weeks since amputation are %g", r.weeks)
		}
	}
	if d.Faults() > before {
		return
	}
	if what, do := Fault(r.VolumeML, r.UML); what != "" {
		d.Problem(line, do, "%s", what)
		return
	}
	d.rows = append(d.rows, r)
}

// maxWeeks is a hundred years.
const maxWeeks = 5200

// number reads a cell that must hold one.
func (d *decoder) number(name, text string, line int) float64 {
	value, err := d.Number(text)
	switch {
	case text == "":
		d.Problem(line, "give the "+name+", or leave the row out if it was not measured", "the %s is missing", name)
	case err != nil:
		d.Problem(line, err.Error(), "the %s is %q", name, table.Shorten(text))
	}
	return value
}

// gather puts the rows into series.
func (d *decoder) gather() {
	slices.SortStableFunc(d.rows, func(a, b csvRow) int { return cmp.Compare(a.Date, b.Date) })
	var names []string // by their newest visit
	for _, r := range d.rows {
		if at := slices.Index(names, r.series); at >= 0 {
			names = slices.Delete(names, at, at+1)
		}
		names = append(names, r.series)
		if len(names) > maxSeries {
			d.Problem(r.line, "split the file", "there are more than %d series", maxSeries)
			return
		}
	}
	for _, name := range names {
		s := Series{Name: name}
		var rows []csvRow
		for _, r := range d.rows {
			if r.series == name {
				rows = append(rows, r)
				s.Visits = append(s.Visits, r.Visit)
				s.Lines = append(s.Lines, r.line)
			}
		}
		s.WeeksSinceAmputation = d.weeksOf(rows)
		d.series = append(d.series, s)
	}
}

// maxSeries bounds the work on a file whose column of series is something else.
const maxSeries = 100

// sameWeeks is how far rows may differ about the date of amputation: rounding to
// whole weeks and a date that is known to the fortnight.
const sameWeeks = 2

// weeksOf returns the weeks since amputation at the first row of a series, from
// the first row that tells any.
func (d *decoder) weeksOf(rows []csvRow) float64 {
	first, from := 0.0, -1
	for i, r := range rows {
		if !r.knowsWeeks {
			continue
		}
		days, _ := r.Date.DaysSince(rows[0].Date)
		weeks := r.weeks - float64(days)/7
		switch {
		case weeks < 0:
			d.Problem(r.line, "check the weeks, or begin the series after the amputation",
				"%g weeks since amputation on %s put it after the first visit on %s", r.weeks, r.Date, rows[0].Date)
			return 0
		case from < 0:
			first, from = weeks, i
		case math.Abs(weeks-first) > sameWeeks:
			d.Problem(r.line, "check the weeks", "%g weeks since amputation on %s do not agree with %g weeks on %s (line %d)",
				r.weeks, r.Date, rows[from].weeks, rows[from].Date, rows[from].line)
			return 0
		}
	}
	return first
}
