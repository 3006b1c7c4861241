package girth

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"fairlead/analytics/quantity"
)

// The size of a file of girths that is still read.
const (
	maxCSVBytes = 16 << 20
	maxCSVRows  = 200_000
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

// Note is a remark on one line of a file, counted from 1: what it is about and
// what to do.
type Note struct {
	Line     int
	What, Do string
}

func (n Note) String() string { return n.What + "; " + n.Do }

// MaxProblems is how many problems of a file are told at once.
const MaxProblems = 20

// Problems is the error of DecodeCSV for bad content: up to MaxProblems of the
// reasons why a file can't be read, by line.
type Problems []Note

// Error returns the problems, one on a line.
func (p Problems) Error() string {
	lines := make([]string, len(p))
	for i, n := range p {
		lines[i] = fmt.Sprintf("line %d: %s", n.Line, n)
	}
	return strings.Join(lines, "\n")
}

// DecodeCSV reads girths in long form, one reading on a row:
//
//	date,limb,level_mm,pass,girth_mm
//	2026-03-02,residual,0,1,321
//
// The level is level_mm, level_cm or level_in, the girth girth_mm, girth_cm or
// girth_in; date (ISO 8601), limb (residual or sound; residual when left out),
// pass (by order of appearance when left out), fitter and minutes_since_doffing
// may be left out. Other columns are not used, with a note. Columns are separated by
// commas or semicolons; a decimal comma is understood between semicolons. A
// byte order mark, CRLF, blank lines and lines that start with # are fine.
// Rows may come in any order. today, unless empty, is the last date taken.
//
// Bad content gives Problems with every problem found, up to MaxProblems, and
// no sheet; an error of the reader comes back wrapped.
func DecodeCSV(r io.Reader, today quantity.Date) (Sheet, error) {
	content, err := io.ReadAll(io.LimitReader(r, maxCSVBytes+1))
	if err != nil {
		return Sheet{}, fmt.Errorf("girth: read CSV: %w", err)
	}
	if len(content) > maxCSVBytes {
		return Sheet{}, Problems{{Line: 1, What: fmt.Sprintf("the file is larger than %d MB", maxCSVBytes>>20), Do: "split it"}}
	}
	d := decoder{today: today}
	d.decode(bytes.TrimPrefix(content, []byte("\ufeff")))
	if len(d.problems) > 0 {
		slices.SortStableFunc(d.problems, func(a, b Note) int { return a.Line - b.Line })
		return Sheet{}, d.problems[:min(len(d.problems), MaxProblems)]
	}
	slices.SortStableFunc(d.notes, func(a, b Note) int { return a.Line - b.Line })
	return Sheet{Visits: d.visits, Notes: d.notes}, nil
}

// decoder is the state of one DecodeCSV.
type decoder struct {
	today     quantity.Date
	semicolon bool
	columns   columns
	rows      []row
	lost      bool // a row could not be read, so that a visit may lack levels
	visits    []Visit
	notes     []Note
	problems  Problems
}

// full tells that no further problem would be told.
func (d *decoder) full() bool { return len(d.problems) >= MaxProblems }

func (d *decoder) problem(line int, do, format string, args ...any) {
	d.problems = append(d.problems, Note{Line: line, What: fmt.Sprintf(format, args...), Do: do})
}

func (d *decoder) note(line int, do, format string, args ...any) {
	d.notes = append(d.notes, Note{Line: line, What: fmt.Sprintf(format, args...), Do: do})
}

// decode reads heading and rows, then gathers the rows into visits.
func (d *decoder) decode(content []byte) {
	reader := csv.NewReader(bytes.NewReader(content))
	reader.Comment = '#'
	reader.FieldsPerRecord = -1
	reader.TrimLeadingSpace = true
	d.semicolon = strings.Contains(headingOf(content), ";")
	if d.semicolon {
		reader.Comma = ';'
	}
	heading, line, ok := d.record(reader)
	if !ok {
		if len(d.problems) == 0 {
			d.problem(1, "start with a heading such as date,limb,level_mm,pass,girth_mm", "the file is empty")
		}
		return
	}
	d.readHeading(heading, line)
	if len(d.problems) > 0 {
		return
	}
	for !d.full() {
		fields, line, ok := d.record(reader)
		if !ok {
			break
		}
		if len(d.rows) == maxCSVRows {
			d.problem(line, "split the file", "there are more than %d rows", maxCSVRows)
			return
		}
		d.readRow(fields, line, len(heading))
		d.lost = len(d.problems) > 0
	}
	if len(d.rows) == 0 && len(d.problems) == 0 {
		d.problem(line, "add one row for each reading", "there are no readings below the heading")
	}
	d.gather()
}

// headingOf returns the first line that is neither blank nor a comment.
func headingOf(content []byte) string {
	for line := range bytes.Lines(content) {
		if text := strings.TrimSpace(string(line)); text != "" && text[0] != '#' {
			return text
		}
	}
	return ""
}

// record returns the next record that is not blank and the line it starts on;
// false at the end, or when the rest can't be split into records.
func (d *decoder) record(reader *csv.Reader) (fields []string, line int, ok bool) {
	for {
		fields, err := reader.Read()
		var broken *csv.ParseError
		switch {
		case errors.As(err, &broken):
			d.problem(broken.StartLine, "close or remove the quotation mark", "the quotation marks are not in pairs")
			return nil, 0, false
		case err != nil:
			return nil, 0, false
		}
		line, _ := reader.FieldPos(0)
		for i := range fields {
			fields[i] = strings.TrimSpace(fields[i])
		}
		if slices.ContainsFunc(fields, func(s string) bool { return s != "" }) {
			return fields, line, true
		}
	}
}

// number reads a finite decimal number as a person or a spreadsheet writes it.
// The error says what to do.
func (d *decoder) number(text string) (float64, error) {
	plain := strings.Replace(text, "−", "-", 1)
	commas, points := strings.Count(plain, ","), strings.Count(plain, ".")
	switch {
	case commas+points > 1:
		return 0, errors.New("write it without a thousands mark, such as 1234.5")
	case commas > 0 && !d.semicolon:
		return 0, errors.New("write a decimal point, or separate the columns by semicolons to use decimal commas")
	}
	plain = strings.Replace(plain, ",", ".", 1)
	digits := strings.TrimLeft(plain, "+-")
	if digits == "" || strings.Trim(digits, "0123456789.") != "" || len(plain)-len(digits) > 1 {
		return 0, errors.New("write a plain number such as 321.5, without unit or words")
	}
	value, err := strconv.ParseFloat(plain, 64)
	if err != nil || math.IsInf(value, 0) {
		return 0, errors.New("write a plain number such as 321.5")
	}
	return value, nil
}
