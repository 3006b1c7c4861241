package server

import (
	"math"
	"strings"
	"time"

	"fairlead/analytics/quantity"
	"fairlead/analytics/volume"
	"fairlead/server/form"
	"github.com/gin-gonic/gin"
)

// sayer puts figures and codes into words for one reader: in the language of
// the page, the reader's unit of length and decimal sign.
type sayer struct {
	text  func(id string, args ...any) string
	unit  quantity.LengthUnit
	comma bool
	zone  *time.Location // of the workshop; UTC when nil
	// atCheckin says that the client may still be here, so that what can be done
	// at once is worth saying.
	atCheckin bool
}

// sayer returns the one for whoever is signed in.
func (s *server) sayer(c *gin.Context) sayer {
	who := signedIn(c)
	return sayer{
		text: func(id string, args ...any) string { return s.text(c, id, args...) },
		unit: who.LengthUnit, comma: who.DecimalComma, zone: s.zone(c),
	}
}

// day says the date of a moment at the workshop.
func (y sayer) day(at time.Time) string {
	if y.zone != nil {
		at = at.In(y.zone)
	}
	return y.date(quantity.DateOf(at))
}

// word says a word of a vocabulary, such as direction and posterior.
func (y sayer) word(vocabulary, code string) string { return y.text(vocabulary + "." + code) }

// words says several words of a vocabulary, given with commas between them.
func (y sayer) words(vocabulary, codes string) string {
	if codes == "" {
		return ""
	}
	var said []string
	for _, code := range strings.Split(codes, ",") {
		said = append(said, y.word(vocabulary, code))
	}
	return y.list(said)
}

// list joins phrases: "a", "a and b", "a, b and c".
func (y sayer) list(phrases []string) string {
	switch n := len(phrases); n {
	case 0:
		return ""
	case 1:
		return phrases[0]
	default:
		return y.text("say.and", "First", strings.Join(phrases[:n-1], ", "), "Last", phrases[n-1])
	}
}

// length says a length with its unit and no zeros at its end: "9 cm".
func (y sayer) length(mm float64) string { return y.bareLength(mm) + narrow + string(y.unit) }

// bareLength is length without the unit.
func (y sayer) bareLength(mm float64) string {
	said := form.FormatIn(mm, y.unit, y.comma)
	if whole, decimals, ok := strings.Cut(said, y.point()); ok && strings.Trim(decimals, "0") == "" {
		return whole
	}
	return said
}

// narrow keeps a figure and its unit on one line.
const narrow = "\u202f"

func (y sayer) point() string {
	if y.comma {
		return ","
	}
	return "."
}

// girth says a girth or a level for a table, with the decimals of a tape and
// without the unit.
func (y sayer) girth(mm float64) string { return form.FormatIn(mm, y.unit, y.comma) }

// girthChange says a change of girth with its sign, in the reader's unit.
func (y sayer) girthChange(mm float64) string {
	return form.FormatChange(mm/y.unit.MM(), y.unit.Decimals(), y.comma)
}

// gap says a gap or a thickness, which are always in millimetres.
func (y sayer) gap(mm float64) string { return form.FormatMM(mm, y.comma) }

// limitMM says a limit in millimetres with no more decimals than it needs.
func (y sayer) limitMM(mm float64) string { return y.short(mm) + narrow + "mm" }

// short says a figure with one decimal, or with none where that is a zero.
func (y sayer) short(v float64) string {
	said := form.FormatDecimal(v, 1, y.comma)
	return strings.TrimSuffix(said, y.point()+"0")
}

func (y sayer) decimal(v float64, decimals int) string {
	return form.FormatDecimal(v, decimals, y.comma)
}

// half95 says half of the 95 % interval of a figure with the standard uncertainty
// u. That is what ± means wherever it stands.
func (y sayer) half95(u float64, decimals int) string { return y.decimal(volume.Normal975*u, decimals) }

// plusMinus is half95 where nothing else tells what ± means: "± 12 (95 %)".
func (y sayer) plusMinus(u float64, decimals int) string {
	return y.text("say.plus-minus", "Half", y.half95(u, decimals))
}

// change says a change with one decimal and its sign, without a unit.
func (y sayer) change(v float64) string { return form.FormatChange(v, 1, y.comma) }

func (y sayer) percentChange(percent float64) string {
	return form.FormatPercentChange(percent, 1, y.comma)
}

// limitPercent says a limit in percent with its sign: "−5 %".
func (y sayer) limitPercent(percent float64) string {
	sign := "+"
	if percent < 0 {
		sign = "−"
	}
	return sign + y.short(max(percent, -percent)) + narrow + "%"
}

func (y sayer) interval(lo, hi float64) string {
	return form.FormatInterval(lo, hi, intervalPlaces(lo, hi), y.comma, language)
}

// intervalPlaces is one decimal, or as many as it takes for an end of an interval
// that leaves out 0 not to be shown as 0, up to three.
func intervalPlaces(lo, hi float64) int {
	places := 1
	for least := 0.05; lo*hi > 0 && min(math.Abs(lo), math.Abs(hi)) < least && places < 3; least /= 10 {
		places++
	}
	return places
}

// interval95 is interval where nothing else tells that it is that of 95 %.
func (y sayer) interval95(lo, hi float64) string {
	return y.text("say.interval", "Interval", y.interval(lo, hi))
}

func (y sayer) date(d quantity.Date) string { return form.FormatDate(d, language) }

func (y sayer) shortDate(d quantity.Date) string { return form.FormatShortDate(d, language) }

// largestWord is the largest count that is written as a word.
const largestWord = 9

// count says a small number as a word, which reads better at the head of a page.
func (y sayer) count(n int) string {
	if n < 0 || n > largestWord {
		return y.decimal(float64(n), 0)
	}
	return y.text("say.number." + y.decimal(float64(n), 0))
}
