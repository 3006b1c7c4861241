package girth

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"fairlead/analytics/quantity"
)

// row is one reading of a file.
type row struct {
	line    int
	date    quantity.Date
	limb    quantity.BodyPart
	fitter  string
	minutes *float64
	Reading // Pass is 0 when the row gives none
}

// maxMinutesOff is a day: more is a typing error (common practice, no source).
const maxMinutesOff = 24 * 60

// readRow turns the fields of one record into a row, or into problems.
func (d *decoder) readRow(fields []string, line, width int) {
	before := len(d.problems)
	for len(fields) > width && fields[len(fields)-1] == "" {
		fields = fields[:len(fields)-1] // what a spreadsheet leaves behind
	}
	if len(fields) != width {
		do := "give each column its cell"
		if len(fields) > width && !d.semicolon {
			do += "; if 33,5 was meant as a number, write 33.5 or separate the columns by semicolons"
		}
		d.problem(line, do, "the row has %d cells and the heading %d", len(fields), width)
		return
	}
	cell := func(column int) string {
		if column < 0 {
			return ""
		}
		return fields[column]
	}
	r := row{line: line, limb: quantity.Residual, fitter: cell(d.columns.fitter)}
	r.date = d.date(cell(d.columns.date), line)
	if text := strings.ToLower(cell(d.columns.limb)); text != "" {
		r.limb = quantity.BodyPart(text)
		if r.limb != quantity.Residual && r.limb != quantity.Sound {
			d.problem(line, "write residual or sound", "the limb is %q", shorten(cell(d.columns.limb)))
		}
	}
	r.LevelMM = d.level(cell(d.columns.level), line)
	r.GirthMM = d.girth(cell(d.columns.girth), line)
	if text := cell(d.columns.pass); text != "" {
		pass, err := strconv.Atoi(text)
		if err != nil || pass < 1 || pass > 99 {
			d.problem(line, "number the passes 1, 2, 3 …", "the pass is %q", shorten(text))
		}
		r.Pass = pass
	}
	if text := cell(d.columns.minutes); text != "" {
		minutes, err := d.number(text)
		switch {
		case err != nil:
			d.problem(line, err.Error(), "the minutes since doffing are %q", shorten(text))
		case minutes < 0 || minutes > maxMinutesOff:
			d.problem(line, "give 0 to 1440 minutes", "the minutes since doffing are %g", minutes)
		}
		r.minutes = &minutes
	}
	if len(d.problems) == before {
		d.rows = append(d.rows, r)
	}
}

// earliestDate is the first date that a file may hold.
const earliestDate quantity.Date = "1900-01-01"

// date reads a cell of the date column; without such a column it is unknown.
func (d *decoder) date(text string, line int) quantity.Date {
	if d.columns.date < 0 {
		return ""
	}
	date, err := quantity.ParseDate(text)
	switch {
	case text == "":
		d.problem(line, "give every row a date, or leave the column out", "the date is missing")
	case err != nil:
		d.problem(line, "write year-month-day such as 2026-03-02", "the date is %q", shorten(text))
	case date < earliestDate:
		d.problem(line, "check the year", "the date %s is before %s", date, earliestDate)
	case d.today != "" && date > d.today:
		d.problem(line, "check the year", "the date %s is in the future", date)
	}
	return date
}

// level reads a level in millimetres.
func (d *decoder) level(text string, line int) float64 {
	value, err := d.number(text)
	mm := value * d.columns.levelUnit.MM()
	switch {
	case text == "":
		d.problem(line, "give the level of the reading", "the level is missing")
	case err != nil:
		d.problem(line, err.Error(), "the level is %q", shorten(text))
	case math.Abs(mm) > MaxLevelMM:
		d.problem(line, fmt.Sprintf("give a level within ±%d mm of the landmark", MaxLevelMM), "the level is %g mm", mm)
	case d.columns.levelUnit == quantity.Millimetre && math.Abs(mm) >= 1 && math.Abs(mm) <= 2 && threeDecimals(text):
		d.problem(line, "write 1234 or 1.23 as it is meant", "the level %q can be read as thousands or as a fraction", shorten(text))
	}
	return mm
}

// girth reads a girth in millimetres.
func (d *decoder) girth(text string, line int) float64 {
	value, err := d.number(text)
	mm := value * d.columns.girthUnit.MM()
	switch {
	case text == "":
		d.problem(line, "give the girth, or leave the row out if it was not read", "the girth is missing")
	case err != nil:
		d.problem(line, err.Error(), "the girth is %q", shorten(text))
	case mm < MinGirthMM || mm > MaxGirthMM:
		do := "check the typing and the unit of the column"
		if threeDecimals(text) {
			do = "write a thousand without a mark, such as 1234"
		}
		d.problem(line, do, "the girth of %s %s is outside %d–%d mm", shorten(text), d.columns.girthUnit, MinGirthMM, MaxGirthMM)
	}
	return mm
}

// threeDecimals tells whether a number could have been written with a mark
// after its thousands.
func threeDecimals(text string) bool {
	at := strings.IndexAny(text, ".,")
	return at > 0 && len(text)-at == 4
}

// shorten keeps a cell that is quoted in a message readable.
func shorten(text string) string {
	const most = 40
	runes := []rune(text)
	if len(runes) <= most {
		return text
	}
	return string(slices.Concat(runes[:most], []rune("…")))
}
