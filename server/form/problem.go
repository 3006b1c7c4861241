package form

import (
	"strings"
	"unicode"
)

// The codes of the problems that this package finds. Each is the id of a
// message in the catalogue; the comment names its figures. Typed is what was
// typed, shortened for a message.
const (
	Required         = "problem.required"         // none
	TextLong         = "problem.text-long"        // Max, Count: characters
	TextHidden       = "problem.text-hidden"      // Place: of the character, from 1
	TextBroken       = "problem.text-broken"      // none
	NotOffered       = "problem.not-offered"      // none
	NotNumber        = "problem.number"           // Typed, Example
	NumberThousands  = "problem.number-thousands" // Typed, Example
	NumberEither     = "problem.number-either"    // Typed, First, Second
	NumberSpace      = "problem.number-space"     // Typed, Example
	NumberFraction   = "problem.number-fraction"  // Typed, Example
	NumberDigits     = "problem.number-digits"    // Typed, Max
	NotWhole         = "problem.whole"            // Typed
	OutOfRange       = "problem.range"            // Typed, Min, Max
	LengthOutOfRange = "problem.length-range"     // Typed, Min, Max, Unit
	NotUnit          = "problem.unit"             // Typed, Units
	GirthUnit        = "problem.girth-unit"       // Typed, Unit, Suggestion
	GirthUnitSure    = "problem.girth-unit-sure"  // Typed, Unit, Suggestion
	LevelsSeparator  = "problem.levels-separator" // Typed
	LevelsFew        = "problem.levels-few"       // none
	LevelsMany       = "problem.levels-many"      // Max, Count
	LevelRepeated    = "problem.level-repeated"   // Level, Unit
	LevelOrder       = "problem.level-order"      // Level, Before, Unit
	NotDate          = "problem.date"             // Typed
	DateAbsent       = "problem.date-absent"      // Typed
	DateShortYear    = "problem.date-short-year"  // Typed
	DateEither       = "problem.date-either"      // Typed, First, Second
	DateYear         = "problem.date-year"        // Typed, Min, Max
	DateFuture       = "problem.date-future"      // Typed, Today
	DateMissing      = "problem.date-missing"     // none
	NotTime          = "problem.time"             // Typed
	TimeMissing      = "problem.time-missing"     // none
	TimeSkipped      = "problem.time-skipped"     // Typed, Date
	TimeFuture       = "problem.time-future"      // Typed, Date, Now
	NotPhone         = "problem.phone"            // Typed
)

// Problem is why the text of one field does not say a value: a code, which is
// the id of its message in the catalogue, and the figures of that message.
type Problem struct {
	Field string
	Code  string
	Args  map[string]any
}

// Problems are the problems of a form in the order in which they were found.
type Problems []Problem

// Any tells whether there is a problem.
func (p Problems) Any() bool { return len(p) > 0 }

// For returns the first problem of a field and whether there is one.
func (p Problems) For(field string) (Problem, bool) {
	for _, problem := range p {
		if problem.Field == field {
			return problem, true
		}
	}
	return Problem{}, false
}

// Add notes a problem of a field. A second problem of the same code for the
// same field is left out, so that a field that is read twice complains once.
func (p *Problems) Add(field, code string, args map[string]any) {
	for _, problem := range *p {
		if problem.Field == field && problem.Code == code {
			return
		}
	}
	*p = append(*p, Problem{Field: field, Code: code, Args: args})
}

// fault is a problem that does not yet know its field.
type fault struct {
	code string
	args map[string]any
}

// longestShown is how many characters of a typed text a message repeats.
const longestShown = 40

// shown shortens a typed text for a message and leaves out what would not be
// seen in it.
func shown(typed string) string {
	clean := strings.Map(func(c rune) rune {
		if unicode.IsControl(c) || unicode.Is(unicode.Cf, c) || c == unicode.ReplacementChar {
			return -1
		}
		return c
	}, strings.TrimSpace(typed))
	runes := []rune(clean)
	if len(runes) > longestShown {
		return string(runes[:longestShown]) + "…"
	}
	return clean
}
