package girth

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"fairlead/analytics/quantity"
	"fairlead/analytics/table"
)

// row is one reading of a file.
type row struct {
	line    int
	date    quantity.Date
	limb    quantity.BodyPart
	fitter  string
	minutes *float64
	round   int // 1, or 2 for a complete round measured again
	Reading     // Pass is 0 when the row gives none
}

// maxMinutesOff is a day: more is a typing error (common practice, no source).
const maxMinutesOff = 24 * 60

// maxRounds is how often a limb is measured at one visit: once, and once again.
const maxRounds = 2

// readRow turns a row of the table into a row, or into problems.
func (d *decoder) readRow(cells table.Row) {
	before, line, cell := d.Faults(), cells.Line, cells.Cell
	r := row{line: line, limb: quantity.Residual, fitter: cell(d.columns.fitter), round: 1}
	r.date = d.date(cell(d.columns.date), line)
	if text := strings.ToLower(cell(d.columns.limb)); text != "" {
		r.limb = quantity.BodyPart(text)
		if r.limb != quantity.Residual && r.limb != quantity.Sound {
			d.Problem(line, "write residual or sound", "the limb is %q", table.Shorten(cell(d.columns.limb)))
		}
	}
	r.LevelMM, r.GirthMM = d.columns.Read(d.Reader, cells)
	r.Pass = d.Ordinal("pass", cell(d.columns.pass), line)
	if text := cell(d.columns.round); text != "" {
		round, err := strconv.Atoi(text)
		if err != nil || round < 1 || round > maxRounds {
			d.Problem(line, "number the rounds 1 and 2", "the round is %q", table.Shorten(text))
		}
		r.round = round
	}
	if text := cell(d.columns.minutes); text != "" {
		minutes, err := d.Number(text)
		switch {
		case err != nil:
			d.Problem(line, err.Error(), "the minutes since doffing are %q", table.Shorten(text))
		case minutes < 0 || minutes > maxMinutesOff:
			d.Problem(line, "give 0 to 1440 minutes", "the minutes since doffing are %g", minutes)
		}
		r.minutes = &minutes
	}
	if d.Faults() == before {
		d.rows = append(d.rows, r)
	}
}

// date reads a cell of the date column; without such a column it is unknown.
func (d *decoder) date(text string, line int) quantity.Date {
	if d.columns.date < 0 {
		return ""
	}
	return d.Date(text, line, d.today)
}

// Read reads level and girth of a row in millimetres; what is wrong with them is
// recorded as problems.
func (c Columns) Read(r *table.Reader, row table.Row) (levelMM, girthMM float64) {
	return readLevel(r, row.Cell(c.Level), c.LevelUnit, row.Line), readGirth(r, row.Cell(c.Girth), c.GirthUnit, row.Line)
}

// readLevel reads a level in millimetres.
func readLevel(r *table.Reader, text string, unit quantity.LengthUnit, line int) float64 {
	value, err := r.Number(text)
	mm := value * unit.MM()
	switch {
	case text == "":
		r.Problem(line, "give the level of the reading", "the level is missing")
	case err != nil:
		r.Problem(line, err.Error(), "the level is %q", table.Shorten(text))
	case math.Abs(mm) > MaxLevelMM:
		r.Problem(line, fmt.Sprintf("give a level within ±%d mm of the landmark", MaxLevelMM), "the level is %g mm", mm)
	case unit == quantity.Millimetre && math.Abs(mm) >= 1 && math.Abs(mm) <= 2 && threeDecimals(text):
		r.Problem(line, "write 1234 or 1.23 as it is meant", "the level %q can be read as thousands or as a fraction", table.Shorten(text))
	}
	return mm
}

// readGirth reads a girth in millimetres.
func readGirth(r *table.Reader, text string, unit quantity.LengthUnit, line int) float64 {
	value, err := r.Number(text)
	mm := value * unit.MM()
	switch {
	case text == "":
		r.Problem(line, "give the girth, or leave the row out if it was not read", "the girth is missing")
	case err != nil:
		r.Problem(line, err.Error(), "the girth is %q", table.Shorten(text))
	case mm < MinGirthMM || mm > MaxGirthMM:
		do := "check the typing and the unit of the column"
		if threeDecimals(text) {
			do = "write a thousand without a mark, such as 1234"
		}
		r.Problem(line, do, "the girth of %s %s is outside %d–%d mm", table.Shorten(text), unit, MinGirthMM, MaxGirthMM)
	}
	return mm
}

// threeDecimals tells whether a number could have been written with a mark
// after its thousands.
func threeDecimals(text string) bool {
	at := strings.IndexAny(text, ".,")
	return at > 0 && len(text)-at == 4
}
