package table

import (
	"errors"
	"math"
	"strconv"
	"strings"

	"fairlead/analytics/quantity"
)

// EarliestDate is the first date that a file may hold.
const EarliestDate quantity.Date = "1900-01-01"

// Number reads a finite decimal number as a person or a spreadsheet writes it.
// The error says what to do.
func (r *Reader) Number(text string) (float64, error) {
	plain := strings.Replace(text, "−", "-", 1)
	commas, points := strings.Count(plain, ","), strings.Count(plain, ".")
	switch {
	case commas+points > 1:
		return 0, errors.New("write it without a thousands mark, such as 1234.5")
	case commas > 0 && !r.semicolon:
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

// Date reads an ISO 8601 date of a line, not before EarliestDate and, unless
// today is empty, not after it. What is wrong is recorded as a problem.
func (r *Reader) Date(text string, line int, today quantity.Date) quantity.Date {
	date, err := quantity.ParseDate(text)
	switch {
	case text == "":
		r.Problem(line, "give every row a date, or leave the column out", "the date is missing")
	case err != nil:
		r.Problem(line, "write year-month-day such as 2026-03-02", "the date is %q", Shorten(text))
	case date < EarliestDate:
		r.Problem(line, "check the year", "the date %s is before %s", date, EarliestDate)
	case today != "" && date > today:
		r.Problem(line, "check the year", "the date %s is in the future", date)
	}
	return date
}

// MostOrdinal is how far passes, trials and the like are counted.
const MostOrdinal = 99

// Ordinal reads the number of a pass, a trial or the like (what) of a line; an
// empty cell gives 0. What is wrong is recorded as a problem.
func (r *Reader) Ordinal(what, text string, line int) int {
	if text == "" {
		return 0
	}
	n, err := strconv.Atoi(text)
	if err != nil || n < 1 || n > MostOrdinal {
		plural := map[bool]string{true: what + "es", false: what + "s"}[strings.HasSuffix(what, "s")]
		r.Problem(line, "number the "+plural+" 1, 2, 3 …", "the %s is %q", what, Shorten(text))
	}
	return n
}
