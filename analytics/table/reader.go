package table

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
)

// The size of a file that is still read.
const (
	MaxBytes = 16 << 20
	MaxRows  = 200_000
)

// Reader reads one table. What is wrong with it gathers in Err.
type Reader struct {
	csv         *csv.Reader
	semicolon   bool
	heading     []string // as written
	names       []string // in small letters
	used        []bool
	headingLine int
	line        int // of the record read last
	rows        int
	problems    Problems
	notes       []Note
}

// Row is one row below the heading.
type Row struct {
	Line  int // that it starts on, counted from 1
	cells []string
}

// Cell returns what stands in a column, without the spaces around it; nothing
// for column −1, which is not there.
func (r Row) Cell(column int) string {
	if column < 0 {
		return ""
	}
	return r.cells[column]
}

// Open reads the heading of a table. example is a heading to start from, for
// whoever wrote a file without one. An error of the reader comes back wrapped;
// everything else that is wrong is in Err.
func Open(from io.Reader, example string) (*Reader, error) {
	content, err := io.ReadAll(io.LimitReader(from, MaxBytes+1))
	if err != nil {
		return nil, fmt.Errorf("table: read CSV: %w", err)
	}
	r := &Reader{}
	if len(content) > MaxBytes {
		r.Problem(1, "split it", "the file is larger than %d MB", MaxBytes>>20)
		return r, nil
	}
	content = bytes.TrimPrefix(content, []byte("\ufeff"))
	r.csv = csv.NewReader(bytes.NewReader(content))
	r.csv.Comment = '#'
	r.csv.FieldsPerRecord = -1
	r.csv.TrimLeadingSpace = true
	r.semicolon = strings.Contains(headingOf(content), ";")
	if r.semicolon {
		r.csv.Comma = ';'
	}
	var ok bool
	if r.heading, ok = r.record(); !ok {
		if len(r.problems) == 0 {
			r.Problem(1, "start with a heading such as "+example, "the file is empty")
		}
		return r, nil
	}
	r.headingLine = r.line
	if strings.Contains(strings.Join(r.heading, ""), "\t") {
		r.Problem(r.line, "save it with commas or semicolons between the columns", "the columns are separated by tabs")
		return r, nil
	}
	r.names = make([]string, len(r.heading))
	for i, name := range r.heading {
		r.names[i] = strings.ToLower(name)
	}
	r.used = make([]bool, len(r.names))
	return r, nil
}

// HeadingLine is the line that the heading starts on.
func (r *Reader) HeadingLine() int { return r.headingLine }

// Line is the line that was read last.
func (r *Reader) Line() int { return max(r.line, 1) }

// Column returns where the column of a name stands, −1 when it is not there,
// and takes it for used. A name that is there twice is a problem.
func (r *Reader) Column(name string) int {
	i := slices.Index(r.names, name)
	if i < 0 {
		return -1
	}
	r.used[i] = true
	if slices.Contains(r.names[i+1:], name) {
		r.Problem(r.headingLine, "keep one of them", "the column %s is there twice", name)
	}
	return i
}

// Unused returns the headings that no Column asked for, as they are written.
func (r *Reader) Unused() []string {
	var unused []string
	for i, name := range r.names {
		if !r.used[i] && name != "" && !slices.Contains(r.names[:i], name) {
			unused = append(unused, r.heading[i])
		}
	}
	return unused
}

// NoteUnused remarks on a column that nothing reads.
func (r *Reader) NoteUnused(heading string) {
	r.Note(r.headingLine, "rename it if it should be", "the column %q is not used", Shorten(heading))
}

// Next returns the next row that has as many cells as the heading. It is false
// at the end of the table, and when no further problem would be told.
func (r *Reader) Next() (Row, bool) {
	for !r.Full() {
		fields, ok := r.record()
		if !ok {
			return Row{}, false
		}
		if r.rows == MaxRows {
			r.Problem(r.line, "split the file", "there are more than %d rows", MaxRows)
			return Row{}, false
		}
		for len(fields) > len(r.heading) && fields[len(fields)-1] == "" {
			fields = fields[:len(fields)-1] // what a spreadsheet leaves behind
		}
		if len(fields) == len(r.heading) {
			r.rows++
			return Row{Line: r.line, cells: fields}, true
		}
		do := "give each column its cell"
		if len(fields) > len(r.heading) && !r.semicolon {
			do += "; if 33,5 was meant as a number, write 33.5 or separate the columns by semicolons"
		}
		r.Problem(r.line, do, "the row has %d cells and the heading %d", len(fields), len(r.heading))
	}
	return Row{}, false
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

// record returns the next record that is not blank; false at the end, or when
// the rest can't be split into records.
func (r *Reader) record() (fields []string, ok bool) {
	for {
		fields, err := r.csv.Read()
		var broken *csv.ParseError
		switch {
		case errors.As(err, &broken):
			r.Problem(broken.StartLine, "close or remove the quotation mark", "the quotation marks are not in pairs")
			return nil, false
		case err != nil:
			return nil, false
		}
		r.line, _ = r.csv.FieldPos(0)
		for i := range fields {
			fields[i] = strings.TrimSpace(fields[i])
		}
		if slices.ContainsFunc(fields, func(s string) bool { return s != "" }) {
			return fields, true
		}
	}
}
