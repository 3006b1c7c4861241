package table

import (
	"fmt"
	"slices"
	"strings"
)

// Note is a remark on one line of a file, counted from 1: what it is about and
// what to do.
type Note struct {
	Line     int
	What, Do string
}

func (n Note) String() string { return n.What + "; " + n.Do }

// MaxProblems is how many problems of a file are told at once.
const MaxProblems = 20

// Problems is the error of a file whose content is bad: up to MaxProblems of
// the reasons why it can't be read, by line.
type Problems []Note

// Error returns the problems, one on a line.
func (p Problems) Error() string {
	lines := make([]string, len(p))
	for i, n := range p {
		lines[i] = fmt.Sprintf("line %d: %s", n.Line, n)
	}
	return strings.Join(lines, "\n")
}

// Problem records what is wrong with a line and what to do about it.
func (r *Reader) Problem(line int, do, format string, args ...any) {
	r.problems = append(r.problems, Note{Line: line, What: fmt.Sprintf(format, args...), Do: do})
}

// Note records what is odd about a line and what to do about it.
func (r *Reader) Note(line int, do, format string, args ...any) {
	r.notes = append(r.notes, Note{Line: line, What: fmt.Sprintf(format, args...), Do: do})
}

// Faults is how many problems there are so far.
func (r *Reader) Faults() int { return len(r.problems) }

// Full tells that no further problem would be told.
func (r *Reader) Full() bool { return len(r.problems) >= MaxProblems }

// Err returns the problems by line, up to MaxProblems, as Problems; nil when
// there are none.
func (r *Reader) Err() error {
	if len(r.problems) == 0 {
		return nil
	}
	byLine(r.problems)
	return r.problems[:min(len(r.problems), MaxProblems)]
}

// Notes returns the notes by line.
func (r *Reader) Notes() []Note {
	byLine(r.notes)
	return r.notes
}

func byLine(notes []Note) {
	slices.SortStableFunc(notes, func(a, b Note) int { return a.Line - b.Line })
}

// Shorten keeps a cell that is quoted in a message readable.
func Shorten(text string) string {
	const most = 40
	runes := []rune(text)
	if len(runes) <= most {
		return text
	}
	return string(slices.Concat(runes[:most], []rune("…")))
}
