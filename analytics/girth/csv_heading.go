package girth

import (
	"strings"

	"fairlead/analytics/quantity"
	"fairlead/analytics/table"
)

// columns says where in a row each thing stands (−1: nowhere).
type columns struct {
	date, limb, pass, fitter, minutes, round int
	Columns
}

// readHeading finds the columns by their names.
func (d *decoder) readHeading() {
	d.columns = columns{
		date: d.Column("date"), limb: d.Column("limb"), pass: d.Column("pass"),
		fitter: d.Column("fitter"), minutes: d.Column("minutes_since_doffing"), round: d.Column("round"),
	}
	d.columns.Columns = FindColumns(d.Reader, exampleHeading)
}

// Columns are the two columns of lengths that any table of girths has.
type Columns struct {
	Level, Girth         int // −1: nowhere
	LevelUnit, GirthUnit quantity.LengthUnit
}

// FindColumns finds the columns of level and girth of a table whose other
// columns have been asked for; example is a heading to start from. A column that
// is missing, there twice or without a known unit is a problem; columns that
// nothing reads get a note.
func FindColumns(r *table.Reader, example string) Columns {
	var c Columns
	c.Level, c.LevelUnit = findLength(r, "level")
	c.Girth, c.GirthUnit = findLength(r, "girth")

	line := r.HeadingLine()
	missing := map[string]bool{"level": c.Level < 0, "girth": c.Girth < 0}
	for _, heading := range r.Unused() {
		kind, misspelt := lengthColumn(strings.ToLower(heading))
		if !misspelt {
			r.NoteUnused(heading)
			continue
		}
		r.Problem(line, "name it "+kind+"_mm, "+kind+"_cm or "+kind+"_in", "the column %q has no unit that is known", table.Shorten(heading))
		missing[kind] = false
	}
	for _, kind := range []string{"level", "girth"} {
		if missing[kind] {
			r.Problem(line, "name the columns as in "+example,
				"there is no column %s_mm, %s_cm or %s_in", kind, kind, kind)
		}
	}
	return c
}

// findLength finds the one column of a kind of length and its unit.
func findLength(r *table.Reader, kind string) (at int, unit quantity.LengthUnit) {
	at = -1
	for _, u := range quantity.LengthUnits {
		i := r.Column(kind + "_" + string(u))
		switch {
		case i >= 0 && at >= 0:
			r.Problem(r.HeadingLine(), "keep one unit in a file", "there is a column in %s and one in %s for the %s", unit, u, kind)
		case i >= 0:
			at, unit = i, u
		}
	}
	return at, unit
}

// lengthColumn tells whether an unknown name looks like a level or a girth
// whose unit is missing or misspelt, and which.
func lengthColumn(name string) (kind string, misspelt bool) {
	for _, start := range []string{"girth", "circumference", "level"} {
		if strings.HasPrefix(name, start) {
			if start == "circumference" {
				start = "girth"
			}
			return start, true
		}
	}
	return "", false
}

// IsLength tells whether a heading is, or looks like, that of a level or a girth.
func IsLength(heading string) bool {
	_, is := lengthColumn(strings.ToLower(heading))
	return is
}
