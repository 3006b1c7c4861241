package form

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"unicode"
)

// mostDigits is how many digits a number may have: what a double holds exactly.
const mostDigits = 15

// number is a typed decimal, exactly: mantissa / 10^scale.
type number struct {
	mantissa int64
	scale    int
}

// float returns the double nearest to the number.
func (n number) float() float64 {
	v, _ := strconv.ParseFloat(strconv.FormatInt(n.mantissa, 10)+"e"+strconv.Itoa(-n.scale), 64)
	return v
}

// times returns n × factor rounded to a whole number, half away from zero. It
// is exact: 15 digits times a factor below 9000 fit an int64.
func (n number) times(factor int64) int64 { return divideRounded(n.mantissa*factor, power10(n.scale)) }

// divideRounded returns a/b rounded half away from zero; b is positive.
func divideRounded(a, b int64) int64 {
	quotient, rest := a/b, a%b
	switch {
	case rest >= 0 && rest >= b-rest:
		quotient++
	case rest < 0 && -rest >= b+rest:
		quotient--
	}
	return quotient
}

func power10(n int) int64 {
	p := int64(1)
	for range n {
		p *= 10
	}
	return p
}

// compact leaves out spaces of every kind and characters that cannot be seen,
// which come with pasted numbers.
func compact(text string) string {
	return strings.Map(func(c rune) rune {
		if unicode.IsSpace(c) || unicode.Is(unicode.Cf, c) {
			return -1
		}
		return c
	}, text)
}

// isSpaced is the number itself, without a sign: digits and decimal signs, with
// spaces at most where they part the thousands of a whole.
var isSpaced = regexp.MustCompile(`^(?:[0-9]*|[1-9][0-9]{0,2}(?: [0-9]{3})+)(?:[.,][0-9]*)*$`)

// evenSpaces makes every kind of space a plain one and leaves out characters
// that cannot be seen.
func evenSpaces(text string) string {
	return strings.Map(func(c rune) rune {
		switch {
		case unicode.IsSpace(c):
			return ' '
		case unicode.Is(unicode.Cf, c):
			return -1
		}
		return c
	}, text)
}

// parseNumber reads a decimal and returns what follows it, in lower case. The
// decimal sign may be a point or a comma; a text that two people would read as
// two numbers is a fault, and so is a space inside the number that does not part
// its thousands: a sign may be missing there. comma says which sign the person
// uses.
func parseNumber(typed string, comma bool) (number, string, *fault) {
	text := evenSpaces(typed)
	body := strings.TrimLeft(text, " +-−–")
	sign := compact(text[:len(text)-len(body)])
	end := 0
	for end < len(body) && strings.IndexByte("0123456789., ", body[end]) >= 0 {
		end++
	}
	spaced, tail := strings.TrimRight(body[:end], " "), strings.ToLower(compact(body[end:]))
	body = compact(spaced)
	if strings.Contains(tail, "/") {
		return number{}, "", fraction(typed, comma)
	}
	if len([]rune(sign)) > 1 || !strings.ContainsAny(body, "0123456789") || strings.ContainsAny(tail, "0123456789.,+-−–") {
		return number{}, "", notNumber(typed, comma)
	}
	if f := ambiguous(typed, body, comma); f != nil {
		return number{}, "", f
	}
	if !isSpaced.MatchString(spaced) {
		return number{}, "", &fault{NumberSpace, map[string]any{"Typed": shown(typed), "Example": shown(body)}}
	}
	whole, decimals, _ := strings.Cut(strings.Replace(body, ",", ".", 1), ".")
	digits := strings.TrimLeft(whole+decimals, "0")
	if len(digits) > mostDigits || len(decimals) > mostDigits {
		return number{}, "", &fault{NumberDigits, map[string]any{"Typed": shown(typed), "Max": mostDigits}}
	}
	mantissa, _ := strconv.ParseInt("0"+digits, 10, 64)
	if sign != "" && sign != "+" {
		mantissa = -mantissa
	}
	return number{mantissa, len(decimals)}, tail, nil
}

// notNumber says that a text is no number and shows what one looks like.
func notNumber(typed string, comma bool) *fault {
	return &fault{NotNumber, map[string]any{"Typed": shown(typed), "Example": sign("31.2", comma)}}
}

// ambiguous finds digits and signs that do not say one number for sure.
func ambiguous(typed, body string, comma bool) *fault {
	points, commas := strings.Count(body, "."), strings.Count(body, ",")
	last := strings.LastIndexAny(body, ".,")
	switch {
	case points+commas == 0:
		return nil
	case points+commas == 1:
		own := body[last] == '.' && !comma || body[last] == ',' && comma
		if own || last == 0 || last > 3 || body[0] == '0' || len(body)-last-1 != 3 {
			return nil
		}
		return &fault{NumberEither, map[string]any{
			"Typed": shown(typed), "First": body[:last] + body[last+1:], "Second": sign(body[:last]+"."+body[last+1:], comma),
		}}
	case points == 1 && body[last] == '.', commas == 1 && body[last] == ',':
		whole := strings.NewReplacer(".", "", ",", "").Replace(body[:last])
		return &fault{NumberThousands, map[string]any{
			"Typed": shown(typed), "Example": sign(whole+"."+body[last+1:], comma),
		}}
	}
	return notNumber(typed, comma)
}

// fraction refuses "13 1/8" and says how to write it with decimals.
func fraction(typed string, comma bool) *fault {
	before, divisor, _ := strings.Cut(strings.TrimSpace(typed), "/")
	parts := strings.Fields(before)
	d, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimRight(divisor, "\"″”in. ")), 64)
	if err != nil || !(d >= 1 && d <= 1000) || len(parts) == 0 || len(parts) > 2 {
		return notNumber(typed, comma)
	}
	total := 0.0
	for i, part := range parts {
		n, err := strconv.ParseUint(part, 10, 32)
		if err != nil {
			return notNumber(typed, comma)
		}
		if i == len(parts)-1 {
			total += float64(n) / d
		} else {
			total += float64(n)
		}
	}
	example := strconv.FormatFloat(math.Round(total*1000)/1000, 'f', -1, 64)
	return &fault{NumberFraction, map[string]any{"Typed": shown(typed), "Example": sign(example, comma)}}
}

// sign puts the person's decimal sign into a number written with a point.
func sign(text string, comma bool) string {
	if comma {
		return strings.Replace(text, ".", ",", 1)
	}
	return text
}

// Decimal reads a number from least to most, both included. A unit out of units
// may be written behind it and is ignored.
func (r *Reader) Decimal(field string, least, most float64, units ...string) *float64 {
	n, ok := r.number(field, units)
	if !ok {
		return nil
	}
	v := n.float()
	if v < least || v > most {
		r.Add(field, OutOfRange, map[string]any{
			"Typed": shown(r.values[field]), "Min": r.plain(least), "Max": r.plain(most),
		})
		return nil
	}
	return &v
}

// Int reads a whole number from least to most, both included.
func (r *Reader) Int(field string, least, most int) *int {
	n, ok := r.number(field, nil)
	if !ok {
		return nil
	}
	p := power10(n.scale)
	if n.mantissa%p != 0 {
		r.Add(field, NotWhole, map[string]any{"Typed": shown(r.values[field])})
		return nil
	}
	v := n.mantissa / p
	if v < int64(least) || v > int64(most) {
		r.Add(field, OutOfRange, map[string]any{
			"Typed": shown(r.values[field]), "Min": r.plain(float64(least)), "Max": r.plain(float64(most)),
		})
		return nil
	}
	whole := int(v)
	return &whole
}

// The weights of a person that are taken for possible, in kilograms.
const (
	leastWeightKg = 2
	mostWeightKg  = 500
)

// WeightG reads a body weight typed in kilograms, and returns it in whole
// grams.
func (r *Reader) WeightG(field string) *int {
	n, ok := r.number(field, []string{"kg"})
	if !ok {
		return nil
	}
	if v := n.float(); v < leastWeightKg || v > mostWeightKg {
		r.Add(field, OutOfRange, map[string]any{
			"Typed": shown(r.values[field]), "Min": r.plain(leastWeightKg), "Max": r.plain(mostWeightKg),
		})
		return nil
	}
	grams := int(n.times(1000))
	return &grams
}

// number reads a field as a number followed by nothing or by one of the units.
// It returns false for an empty field and for a problem.
func (r *Reader) number(field string, units []string) (number, bool) {
	if compact(r.values[field]) == "" {
		return number{}, false
	}
	n, tail, f := parseNumber(r.values[field], r.options.DecimalComma)
	if f == nil && tail != "" && !containsFold(units, tail) {
		f = notNumber(r.values[field], r.options.DecimalComma)
		if len(units) > 0 {
			f = &fault{NotUnit, map[string]any{"Typed": shown(r.values[field]), "Units": strings.Join(units, ", ")}}
		}
	}
	if f != nil {
		r.fail(field, f)
		return number{}, false
	}
	return n, true
}

func containsFold(units []string, tail string) bool {
	for _, unit := range units {
		if strings.EqualFold(unit, tail) {
			return true
		}
	}
	return false
}

// plain writes a limit with as many decimals as it needs.
func (r *Reader) plain(v float64) string {
	return typographic(strconv.FormatFloat(v, 'f', -1, 64), r.options.DecimalComma)
}
