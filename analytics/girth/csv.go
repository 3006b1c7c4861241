package girth

import (
	"fmt"
	"io"

	"fairlead/analytics/quantity"
	"fairlead/analytics/table"
)

// Visit is one limb as a file tells it was measured on one date.
type Visit struct {
	Date       quantity.Date // empty when the file has no dates
	Limb       quantity.BodyPart
	Fitter     string   // empty when not known
	MinutesOff *float64 // since doffing; nil when not known
	Profile    Profile
	Line       int // of the first row of the visit
}

// Sheet is what a file of girths holds.
type Sheet struct {
	Visits []Visit // ascending by date; one date: residual limb, then sound limb
	Notes  []Note  // what was read but looks odd, by line
}

// Note is a remark on one line of a file.
type Note = table.Note

// Problems is the error of DecodeCSV for bad content.
type Problems = table.Problems

// MaxProblems is how many problems of a file are told at once.
const MaxProblems = table.MaxProblems

// DecodeCSV reads girths in long form, one reading on a row:
//
//	date,limb,level_mm,pass,girth_mm
//	2026-03-02,residual,0,1,321
//
// The level is level_mm, level_cm or level_in, the girth girth_mm, girth_cm or
// girth_in; date (ISO 8601), limb (residual or sound; residual when left out),
// pass (by order of appearance when left out), fitter, minutes_since_doffing and
// round (1, or 2 where the limb was measured again on the same date) may be left
// out. Of two rounds the second counts, if it reads every level of the first. Other columns are not used, with a note. Columns are separated by
// commas or semicolons; a decimal comma is understood between semicolons. A
// byte order mark, CRLF, blank lines and lines that start with # are fine.
// Rows may come in any order. today, unless empty, is the last date taken.
//
// Bad content gives Problems with every problem found, up to MaxProblems, and
// no sheet; an error of the reader comes back wrapped.
func DecodeCSV(r io.Reader, today quantity.Date) (Sheet, error) {
	rows, err := table.Open(r, exampleHeading)
	if err != nil {
		return Sheet{}, fmt.Errorf("girth: %w", err)
	}
	d := decoder{Reader: rows, today: today}
	d.decode()
	if err := d.Err(); err != nil {
		return Sheet{}, err
	}
	return Sheet{Visits: d.visits, Notes: d.Notes()}, nil
}

// exampleHeading is the heading to start from.
const exampleHeading = "date,limb,level_mm,pass,girth_mm"

// decoder is the state of one DecodeCSV.
type decoder struct {
	*table.Reader
	today   quantity.Date
	columns columns
	rows    []row
	lost    bool // a row could not be read, so that a visit may lack levels
	visits  []Visit
}

// decode reads heading and rows, then gathers the rows into visits.
func (d *decoder) decode() {
	if d.Faults() == 0 {
		d.readHeading()
	}
	if d.Faults() > 0 {
		return
	}
	for {
		r, ok := d.Next()
		if !ok {
			break
		}
		d.readRow(r)
	}
	d.lost = d.Faults() > 0
	if len(d.rows) == 0 && !d.lost {
		d.Problem(d.Line(), "add one row for each reading", "there are no readings below the heading")
	}
	d.gather()
}
