package girth

import (
	"slices"
	"strings"

	"fairlead/analytics/quantity"
)

// columns says where in a row each thing stands (−1: nowhere) and in which unit
// lengths are.
type columns struct {
	date, limb, level, pass, girth, fitter, minutes int
	levelUnit, girthUnit                            quantity.LengthUnit
}

// readHeading finds the columns by their names.
func (d *decoder) readHeading(heading []string, line int) {
	if strings.Contains(strings.Join(heading, ""), "\t") {
		d.problem(line, "save it with commas or semicolons between the columns", "the columns are separated by tabs")
		return
	}
	names := make([]string, len(heading))
	for i, name := range heading {
		names[i] = strings.ToLower(name)
	}
	used := make([]bool, len(names))
	find := func(name string) int {
		i := slices.Index(names, name)
		if i < 0 {
			return -1
		}
		used[i] = true
		if slices.Contains(names[i+1:], name) {
			d.problem(line, "keep one of them", "the column %s is there twice", name)
		}
		return i
	}
	d.columns = columns{
		date: find("date"), limb: find("limb"), pass: find("pass"),
		fitter: find("fitter"), minutes: find("minutes_since_doffing"),
	}
	d.columns.level, d.columns.levelUnit = d.findLength("level", find, line)
	d.columns.girth, d.columns.girthUnit = d.findLength("girth", find, line)

	missing := map[string]bool{"level": d.columns.level < 0, "girth": d.columns.girth < 0}
	for i, name := range names {
		if used[i] || slices.Contains(names[:i], name) {
			continue
		}
		kind, misspelt := lengthColumn(name)
		switch {
		case misspelt:
			d.problem(line, "name it "+kind+"_mm, "+kind+"_cm or "+kind+"_in", "the column %q has no unit that is known", shorten(heading[i]))
			missing[kind] = false
		case name != "":
			d.note(line, "rename it if it should be", "the column %q is not used", shorten(heading[i]))
		}
	}
	for _, kind := range []string{"level", "girth"} {
		if missing[kind] {
			d.problem(line, "name the columns as in date,limb,level_mm,pass,girth_mm",
				"there is no column %s_mm, %s_cm or %s_in", kind, kind, kind)
		}
	}
}

// findLength finds the one column of a kind of length and its unit.
func (d *decoder) findLength(kind string, find func(string) int, line int) (at int, unit quantity.LengthUnit) {
	at = -1
	for _, u := range quantity.LengthUnits {
		i := find(kind + "_" + string(u))
		switch {
		case i >= 0 && at >= 0:
			d.problem(line, "keep one unit in a file", "there is a column in %s and one in %s for the %s", unit, u, kind)
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
