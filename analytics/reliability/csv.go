package reliability

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"

	"fairlead/analytics/girth"
	"fairlead/analytics/quantity"
	"fairlead/analytics/table"
)

// Headings to start from.
const (
	exampleValues = "subject,rater,trial,value"
	exampleStudy  = "subject,fitter,day,level_mm,pass,girth_mm"
)

// File is what a file for this package holds: values of anything, or the girths
// of a study.
type File struct {
	Values []Value
	Study  Study
	Girths bool // the file holds the girths of a study
	Notes  []table.Note
}

// DecodeCSV reads a file of one of two forms, told apart by its columns. Values
// of anything:
//
//	subject,rater,trial,value
//	1,A,1,146
//
// where the columns rater, which may be called method, and trial may be left out;
// trials then count by their order. Girths of a study:
//
//	subject,fitter,day,level_mm,pass,girth_mm
//	limb 1,A,2026-05-04,0,1,321
//
// where day names the set of marks that was taped (a date, or any word) and may
// be left out when each fitter marked each limb once, fitter when there is one,
// and pass counts by order; lengths are in mm, cm or in. The date of the study is
// the latest day that is a date, and empty when none is. Forms of numbers and
// separators are those of package table.
//
// Bad content gives table.Problems and no file; an error of the reader comes
// back wrapped.
func DecodeCSV(r io.Reader) (File, error) {
	t, err := table.Open(r, exampleValues+" or "+exampleStudy)
	if err != nil {
		return File{}, fmt.Errorf("reliability: %w", err)
	}
	if err := t.Err(); err != nil {
		return File{}, err
	}
	d := decoder{Reader: t, subject: t.Column("subject")}
	var f File
	if d.value = t.Column("value"); d.value >= 0 || !slices.ContainsFunc(t.Unused(), girth.IsLength) {
		f.Values = d.values()
	} else {
		f.Girths = true
		f.Study = d.study()
	}
	if err := t.Err(); err != nil {
		return File{}, err
	}
	f.Notes = t.Notes()
	return f, nil
}

// decoder is the state of one DecodeCSV.
type decoder struct {
	*table.Reader
	subject, value int
}

// need makes it a problem that a column is not there.
func (d *decoder) need(column int, name, example string) {
	if column < 0 {
		d.Problem(d.HeadingLine(), "name the columns as in "+example, "there is no column %s", name)
	}
}

// who reads the subject of a row.
func (d *decoder) who(row table.Row) string {
	subject := row.Cell(d.subject)
	if subject == "" {
		d.Problem(row.Line, "say who or what was measured", "the subject is missing")
	}
	return subject
}

// values reads a file of values.
func (d *decoder) values() []Value {
	rater, trial := d.rater(), d.Column("trial")
	d.need(d.subject, "subject", exampleValues)
	d.need(d.value, "value", exampleValues)
	for _, heading := range d.Unused() {
		d.NoteUnused(heading)
	}
	if d.Faults() > 0 {
		return nil
	}
	type place struct {
		subject, rater string
	}
	type numbered struct {
		place
		trial int
	}
	var values []Value
	lines := map[numbered]int{}
	counts := map[place]int{}
	for {
		row, more := d.Next()
		if !more {
			break
		}
		at := place{d.who(row), row.Cell(rater)}
		v := Value{Subject: at.subject, Rater: at.rater, Trial: d.Ordinal("trial", row.Cell(trial), row.Line), Value: d.number(row)}
		if v.Trial == 0 {
			if trial >= 0 && row.Cell(trial) == "" {
				d.Problem(row.Line, "number the trials 1, 2, 3 …, or leave the column out", "the trial is missing")
			}
			counts[at]++
			v.Trial = counts[at]
		}
		key := numbered{at, v.Trial}
		if first, twice := lines[key]; twice {
			d.Problem(row.Line, "number the trials 1, 2, 3 … or remove one of the rows",
				"trial %d of subject %q by %q is there already on line %d", v.Trial, table.Shorten(v.Subject), table.Shorten(v.Rater), first)
			continue
		}
		lines[key] = row.Line
		values = append(values, v)
	}
	if len(values) == 0 && d.Faults() == 0 {
		d.Problem(d.Line(), "add one row for each value", "there are no values below the heading")
	}
	return values
}

// rater finds the column of who or what measured: rater, or method.
func (d *decoder) rater() int {
	rater, method := d.Column("rater"), d.Column("method")
	switch {
	case rater >= 0 && method >= 0:
		d.Problem(d.HeadingLine(), "keep one of them", "there is a column rater and a column method")
	case rater < 0:
		return method
	}
	return rater
}

// number reads the value of a row.
func (d *decoder) number(row table.Row) float64 {
	text := row.Cell(d.value)
	value, err := d.Number(text)
	switch {
	case text == "":
		d.Problem(row.Line, "give the value, or leave the row out if nothing was measured", "the value is missing")
	case err != nil:
		d.Problem(row.Line, err.Error(), "the value is %q", table.Shorten(text))
	case math.Abs(value) > MaxValue:
		d.Problem(row.Line, "choose a larger unit", "the value %s is beyond a thousand million", table.Shorten(text))
	}
	return value
}

// study reads a file of girths.
func (d *decoder) study() Study {
	fitter, day, pass := d.Column("fitter"), d.Column("day"), d.Column("pass")
	d.need(d.subject, "subject", exampleStudy)
	lengths := girth.FindColumns(d.Reader, exampleStudy)
	if d.Faults() > 0 {
		return Study{}
	}
	var s Study
	passes := map[Reading]int{} // by place, with the pass left out
	lines := map[Reading]int{}
	for {
		row, more := d.Next()
		if !more {
			break
		}
		faults := d.Faults()
		r := Reading{Subject: d.who(row), Fitter: row.Cell(fitter), Marks: row.Cell(day)}
		level, mm := lengths.Read(d.Reader, row)
		r.LevelMM = roundLevel(level)
		given := d.Ordinal("pass", row.Cell(pass), row.Line)
		if pass >= 0 && row.Cell(pass) == "" {
			d.Problem(row.Line, "number the passes 1, 2, 3 …, or leave the column out", "the pass is missing")
		}
		if d.Faults() > faults {
			continue
		}
		passes[r]++
		r.Pass = cmp.Or(given, passes[r])
		if first, twice := lines[r]; twice {
			d.Problem(row.Line, "number the passes 1, 2, 3 …, name the days apart, or remove one of the rows",
				"pass %d at level %g mm of %q is there already on line %d", r.Pass, r.LevelMM, table.Shorten(r.Subject), first)
			continue
		}
		lines[r] = row.Line
		r.GirthMM = mm
		s.Readings = append(s.Readings, r)
		if date, err := quantity.ParseDate(r.Marks); err == nil && date > s.On {
			s.On = date
		}
	}
	if len(s.Readings) == 0 && d.Faults() == 0 {
		d.Problem(d.Line(), "add one row for each reading", "there are no readings below the heading")
	}
	return s
}
