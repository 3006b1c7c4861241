package girth

import (
	"strings"

	"fairlead/analytics/quantity"
	"fairlead/analytics/table"
)

// columns says where in a row each thing stands (−1: nowhere) and in which unit
// lengths are.
type columns struct {
	date, limb, level, pass, girth, fitter, minutes, round int
	levelUnit, girthUnit                                   quantity.LengthUnit
}

// readHeading finds the columns by their names.
func (d *decoder) readHeading() {
	d.columns = columns{
		date: d.Column("date"), limb: d.Column("limb"), pass: d.Column("pass"),
		fitter: d.Column("fitter"), minutes: d.Column("minutes_since_doffing"), round: d.Column("round"),
	}
	d.columns.level, d.columns.levelUnit = d.findLength("level")
	d.columns.girth, d.columns.girthUnit = d.findLength("girth")

	line := d.HeadingLine()
	missing := map[string]bool{"level": d.columns.level < 0, "girth": d.columns.girth < 0}
	for _, heading := range d.Unused() {
		kind, misspelt := lengthColumn(strings.ToLower(heading))
		if !misspelt {
			d.NoteUnused(heading)
			continue
		}
		d.Problem(line, "name it "+kind+"_mm, "+kind+"_cm or "+kind+"_in", "the column %q has no unit that is known", table.Shorten(heading))
		missing[kind] = false
	}
	for _, kind := range []string{"level", "girth"} {
		if missing[kind] {
			d.Problem(line, "name the columns as in "+exampleHeading,
				"there is no column %s_mm, %s_cm or %s_in", kind, kind, kind)
		}
	}
}

// findLength finds the one column of a kind of length and its unit.
func (d *decoder) findLength(kind string) (at int, unit quantity.LengthUnit) {
	at = -1
	for _, u := range quantity.LengthUnits {
		i := d.Column(kind + "_" + string(u))
		switch {
		case i >= 0 && at >= 0:
			d.Problem(d.HeadingLine(), "keep one unit in a file", "there is a column in %s and one in %s for the %s", unit, u, kind)
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
