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
	r.LevelMM = d.level(cell(d.columns.level), line)
	r.GirthMM = d.girth(cell(d.columns.girth), line)
	if text := cell(d.columns.pass); text != "" {
		pass, err := strconv.Atoi(text)
		if err != nil || pass < 1 || pass > 99 {
			d.Problem(line, "number the passes 1, 2, 3 …", "the pass is %q", table.Shorten(text))
		}
		r.Pass = pass
	}
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

// level reads a level in millimetres.
func (d *decoder) level(text string, line int) float64 {
	value, err := d.Number(text)
	mm := value * d.columns.levelUnit.MM()
	switch {
	case text == "":
		d.Problem(line, "give the level of the reading", "the level is missing")
	case err != nil:
		d.Problem(line, err.Error(), "the level is %q", table.Shorten(text))
	case math.Abs(mm) > MaxLevelMM:
		d.Problem(line, fmt.Sprintf("give a level within ±%d mm of the landmark", MaxLevelMM), "the level is %g mm", mm)
	case d.columns.levelUnit == quantity.Millimetre && math.Abs(mm) >= 1 && math.Abs(mm) <= 2 && threeDecimals(text):
		d.Problem(line, "write 1234 or 1.23 as it is meant", "the level %q can be read as thousands or as a fraction", table.Shorten(text))
	}
	return mm
}

// girth reads a girth in millimetres.
func (d *decoder) girth(text string, line int) float64 {
	value, err := d.Number(text)
	mm := value * d.columns.girthUnit.MM()
	switch {
	case text == "":
		d.Problem(line, "give the girth, or leave the row out if it was not read", "the girth is missing")
	case err != nil:
		d.Problem(line, err.Error(), "the girth is %q", table.Shorten(text))
	case mm < MinGirthMM || mm > MaxGirthMM:
		do := "check the typing and the unit of the column"
		if threeDecimals(text) {
			do = "write a thousand without a mark, such as 1234"
		}
		d.Problem(line, do, "the girth of %s %s is outside %d–%d mm", table.Shorten(text), d.columns.girthUnit, MinGirthMM, MaxGirthMM)
	}
	return mm
}

// threeDecimals tells whether a number could have been written with a mark
// after its thousands.
func threeDecimals(text string) bool {
	at := strings.IndexAny(text, ".,")
	return at > 0 && len(text)-at == 4
}
