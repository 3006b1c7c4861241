package form

import (
	"strconv"
	"strings"
	"time"

	"fairlead/analytics/quantity"
)

// narrowSpace keeps a figure and its unit on one line: U+202F.
const narrowSpace = "\u202f"

// typographic gives a number written with a point and a hyphen the person's
// decimal sign and a real minus sign. A zero loses its minus.
func typographic(text string, comma bool) string {
	if rest, negative := strings.CutPrefix(text, "-"); negative {
		text = rest
		if strings.Trim(rest, "0.") != "" {
			text = "−" + rest
		}
	}
	return sign(text, comma)
}

// Format shows a recorded length in the unit with the decimals of a tape
// (quantity.LengthUnit.Decimals), rounded half away from zero, without the unit.
func Format(l quantity.Length, unit quantity.LengthUnit, comma bool) string {
	return formatLength(l, unit, unit.Decimals(), comma)
}

// FormatTyped shows a recorded length as it stands in a field: with as many
// decimals as it takes to read the same length back.
func FormatTyped(l quantity.Length, unit quantity.LengthUnit, comma bool) string {
	decimals := unit.Decimals()
	for divideRounded(scaled(l, unit, decimals)*tenths(unit), power10(decimals)) != int64(l) {
		decimals++
	}
	return formatLength(l, unit, decimals, comma)
}

// scaled returns the length in the unit times 10^decimals, rounded.
func scaled(l quantity.Length, unit quantity.LengthUnit, decimals int) int64 {
	return divideRounded(int64(l)*power10(decimals), tenths(unit))
}

func formatLength(l quantity.Length, unit quantity.LengthUnit, decimals int, comma bool) string {
	figures := scaled(l, unit, decimals)
	minus := ""
	if figures < 0 {
		minus, figures = "-", -figures
	}
	p := power10(decimals)
	text := minus + strconv.FormatInt(figures/p, 10)
	if decimals > 0 {
		text += "." + strconv.FormatInt(p+figures%p, 10)[1:]
	}
	return typographic(text, comma)
}

// FormatIn shows a computed length in millimetres in the unit, with the
// decimals of a tape and without the unit.
func FormatIn(mm float64, unit quantity.LengthUnit, comma bool) string {
	return FormatDecimal(mm/unit.MM(), unit.Decimals(), comma)
}

// FormatDecimal shows a finite number with a fixed count of decimals.
func FormatDecimal(v float64, decimals int, comma bool) string {
	return typographic(strconv.FormatFloat(v, 'f', decimals, 64), comma)
}

// FormatChange shows a finite number with its sign, plus as well as minus.
func FormatChange(v float64, decimals int, comma bool) string {
	text := FormatDecimal(v, decimals, comma)
	if v > 0 && strings.Trim(text, "0.,") != "" {
		return "+" + text
	}
	return text
}

// FormatPercentChange shows a change in percent with its sign: "−4.5 %", "+3.0 %".
func FormatPercentChange(percent float64, decimals int, comma bool) string {
	return FormatChange(percent, decimals, comma) + narrowSpace + "%"
}

// FormatInterval shows the ends of an interval of a change: "−6.0 to +3.1".
func FormatInterval(lo, hi float64, decimals int, comma bool, lang string) string {
	return FormatChange(lo, decimals, comma) + " " + wordsOf(lang).to + " " + FormatChange(hi, decimals, comma)
}

// FormatMM shows a gap with its unit and one decimal: "2.4 mm".
func FormatMM(mm float64, comma bool) string {
	return FormatDecimal(mm, 1, comma) + narrowSpace + "mm"
}

// words are what a language needs to write dates and intervals.
type words struct {
	months [12]string
	short  int // letters of a month's short name
	to     string
}

// english is the only language so far; dates in another are shown as
// 2026-11-25, which every reader knows.
var english = words{
	months: [12]string{
		"January", "February", "March", "April", "May", "June", "July",
		"August", "September", "October", "November", "December",
	},
	short: 3,
	to:    "to",
}

// wordsOf returns the words of a BCP 47 language; those of an unknown one have
// no months.
func wordsOf(lang string) words {
	if lang == "en" || strings.HasPrefix(lang, "en-") {
		return english
	}
	return words{to: "…"}
}

// FormatDate shows a date in full: "25 November 2026"; an unknown date is "".
func FormatDate(d quantity.Date, lang string) string { return formatDate(d, lang, false) }

// FormatShortDate shows a date for a table: "25 Nov 2026".
func FormatShortDate(d quantity.Date, lang string) string { return formatDate(d, lang, true) }

func formatDate(d quantity.Date, lang string, short bool) string {
	t, known := d.Time()
	w := wordsOf(lang)
	if !known || w.short == 0 {
		return string(d)
	}
	month := w.months[t.Month()-1]
	if short {
		month = month[:w.short]
	}
	return strconv.Itoa(t.Day()) + " " + month + " " + strconv.Itoa(t.Year())
}

// FormatClock shows the time of day of a moment at a place: "9:05".
func FormatClock(at time.Time, zone *time.Location) string {
	local := at.In(zone)
	return strconv.Itoa(local.Hour()) + local.Format(":04")
}
