package form

import (
	"net/url"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"fairlead/analytics/quantity"
)

// Options say who types, where and when.
type Options struct {
	Unit         quantity.LengthUnit // in which lengths are typed; centimetres when empty
	DecimalComma bool                // the person writes 31,2
	Now          time.Time           // where the future begins; DateNotFuture and DateTime need it
	Today        quantity.Date       // the date of Now in Zone when empty
	Zone         *time.Location      // of the place of measurement; UTC when nil
}

// Reader reads the fields of one form and collects their problems. It is for
// one goroutine.
type Reader struct {
	values   map[string]string
	options  Options
	problems Problems
}

// New returns a reader of the typed texts by field name.
func New(values map[string]string, options Options) *Reader {
	if options.Unit == "" {
		options.Unit = quantity.Centimetre
	}
	if options.Zone == nil {
		options.Zone = time.UTC
	}
	if options.Today == "" {
		options.Today = quantity.DateOf(options.Now.In(options.Zone))
	}
	return &Reader{values: values, options: options}
}

// FromPost returns the texts of a posted form, the last one where a name comes
// more than once, as a hidden field before a box that is ticked does.
func FromPost(post url.Values) map[string]string {
	values := make(map[string]string, len(post))
	for field, texts := range post {
		if len(texts) > 0 {
			values[field] = texts[len(texts)-1]
		}
	}
	return values
}

// Problems returns what was found so far, in the order of reading.
func (r *Reader) Problems() Problems { return r.problems }

// Add notes a problem that the caller found, such as one between two fields.
func (r *Reader) Add(field, code string, args map[string]any) { r.problems.Add(field, code, args) }

// Typed returns the text of a field as it was typed.
func (r *Reader) Typed(field string) string { return r.values[field] }

// Empty tells whether nothing but space was typed into the field.
func (r *Reader) Empty(field string) bool { return strings.TrimSpace(r.values[field]) == "" }

// Unit returns the unit in which the person types lengths.
func (r *Reader) Unit() quantity.LengthUnit { return r.options.Unit }

// Require notes a problem for each of the fields that is empty.
func (r *Reader) Require(fields ...string) {
	for _, field := range fields {
		if r.Empty(field) {
			r.Add(field, Required, nil)
		}
	}
}

// fail notes a fault as a problem of the field.
func (r *Reader) fail(field string, f *fault) { r.Add(field, f.code, f.args) }

// Text reads one line of text of at most longest characters, without the space
// around it. Line breaks and other hidden characters are a problem.
func (r *Reader) Text(field string, longest int) string {
	return r.text(field, strings.TrimSpace(r.values[field]), longest, "")
}

// RequiredText reads as Text does; an empty field is a problem.
func (r *Reader) RequiredText(field string, longest int) string {
	r.Require(field)
	return r.Text(field, longest)
}

// Note reads text of several lines and at most longest characters, without the
// space around it. Line breaks become \n; tabs are kept.
func (r *Reader) Note(field string, longest int) string {
	text := strings.ReplaceAll(r.values[field], "\r\n", "\n")
	return r.text(field, strings.TrimSpace(strings.ReplaceAll(text, "\r", "\n")), longest, "\n\t")
}

func (r *Reader) text(field, text string, longest int, allowed string) string {
	if !utf8.ValidString(text) {
		r.Add(field, TextBroken, nil)
		return ""
	}
	if count := utf8.RuneCountInString(text); count > longest {
		r.Add(field, TextLong, map[string]any{"Max": longest, "Count": count})
		return ""
	}
	place := 0
	for _, c := range text {
		place++
		if hidden(c) && !strings.ContainsRune(allowed, c) {
			r.Add(field, TextHidden, map[string]any{"Place": place})
			return ""
		}
	}
	return text
}

// hidden tells whether a character is a control character or turns the
// direction of the text around it, so that a row would read as another one.
func hidden(c rune) bool {
	return unicode.IsControl(c) || c >= '\u202a' && c <= '\u202e' || c >= '\u2066' && c <= '\u2069' ||
		c == '\u2028' || c == '\u2029'
}

// Bool reads a box: ticked is "on", "yes", "true" or "1", and an absent or empty
// field, "off", "no", "false" or "0" is not.
func (r *Reader) Bool(field string) bool {
	switch strings.TrimSpace(r.values[field]) {
	case "on", "yes", "true", "1":
		return true
	case "", "off", "no", "false", "0":
		return false
	}
	r.Add(field, NotOffered, nil)
	return false
}

// Choice reads one of the allowed values; an empty field gives the zero value.
func Choice[T ~string](r *Reader, field string, allowed []T) T {
	chosen := T(strings.TrimSpace(r.values[field]))
	if chosen == "" || slices.Contains(allowed, chosen) {
		return chosen
	}
	r.Add(field, NotOffered, nil)
	return ""
}

// RequiredChoice reads as Choice does; an empty field is a problem.
func RequiredChoice[T ~string](r *Reader, field string, allowed []T) T {
	r.Require(field)
	return Choice(r, field, allowed)
}

// Set reads a group of boxes named field.value and returns, in the order
// offered, the values whose box is ticked.
func Set[T ~string](r *Reader, field string, offered []T) []T {
	var ticked []T
	for _, value := range offered {
		if r.Bool(field + "." + string(value)) {
			ticked = append(ticked, value)
		}
	}
	return ticked
}

// Phone reads a telephone number: digits, with the signs people put between
// them and one plus in front; 3 to 20 digits. It is kept as typed, with single
// spaces.
func (r *Reader) Phone(field string) string {
	text := strings.Map(func(c rune) rune {
		if unicode.Is(unicode.Cf, c) {
			return -1
		}
		return c
	}, r.values[field])
	text = strings.Join(strings.Fields(text), " ")
	digits := 0
	for i, c := range text {
		switch {
		case c >= '0' && c <= '9':
			digits++
		case c == '+' && i == 0, strings.ContainsRune(" -–/().", c):
		default:
			r.Add(field, NotPhone, map[string]any{"Typed": shown(text)})
			return ""
		}
	}
	if text != "" && (digits < 3 || digits > 20) {
		r.Add(field, NotPhone, map[string]any{"Typed": shown(text)})
		return ""
	}
	return text
}
