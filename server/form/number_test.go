package form

import (
	"strconv"
	"strings"
	"testing"

	"fairlead/analytics/quantity"
	"pgregory.net/rapid"
)

// reader reads one field named f with the decimal sign of the person.
func reader(typed string, comma bool, unit quantity.LengthUnit) *Reader {
	return New(map[string]string{"f": typed}, Options{Unit: unit, DecimalComma: comma})
}

// code returns the code of the only problem, or "" when there is none.
func code(t *testing.T, r *Reader) string {
	t.Helper()
	switch len(r.Problems()) {
	case 0:
		return ""
	case 1:
		return r.Problems()[0].Code
	}
	t.Fatalf("got %d problems, want one at most: %v", len(r.Problems()), r.Problems())
	return ""
}

func TestDecimal(t *testing.T) {
	tests := []struct {
		name, typed string
		comma       bool
		want        float64
		code        string
	}{
		{name: "point", typed: "31.2", want: 31.2},
		{name: "comma", typed: "31,2", want: 31.2},
		{name: "comma of a comma writer", typed: "31,2", comma: true, want: 31.2},
		{name: "point of a comma writer", typed: "31.2", comma: true, want: 31.2},
		{name: "whole", typed: "31", want: 31},
		{name: "space around", typed: "  31.2\t", want: 31.2},
		{name: "thin and narrow spaces inside", typed: "1\u2009234\u202f567.5", want: 1234567.5},
		{name: "no-break space inside", typed: "1\u00a0234", want: 1234},
		{name: "space between sign and number", typed: "− 4.5", want: -4.5},
		{name: "thousands by spaces, then decimals", typed: "1 234,5", want: 1234.5},
		{name: "hundreds of thousands by a space", typed: "123 456", want: 123456},
		{name: "a mark that can't be seen between digits", typed: "3\u200b1", want: 31},
		{name: "space where a decimal mark may be missing", typed: "3 1", code: NumberSpace},
		{name: "space before two digits", typed: "31 25", code: NumberSpace},
		{name: "space after the point", typed: "31. 2", code: NumberSpace},
		{name: "space before the point", typed: "31 .2", code: NumberSpace},
		{name: "space among decimals", typed: "31.2 5", code: NumberSpace},
		{name: "three decimals and a space among them", typed: "0.123 456", code: NumberSpace},
		{name: "four digits, then three", typed: "1234 567", code: NumberSpace},
		{name: "thousands after zero", typed: "0 234", code: NumberSpace},
		{name: "two spaces before three digits", typed: "1  234", code: NumberSpace},
		{name: "three digits, then two", typed: "1 234 56", code: NumberSpace},
		{name: "space and unit", typed: "3 1 h", code: NumberSpace},
		{name: "mark of direction, pasted", typed: "\u200e31.2", want: 31.2},
		{name: "real minus", typed: "−4.5", want: -4.5},
		{name: "hyphen as minus", typed: "-4.5", want: -4.5},
		{name: "dash as minus", typed: "– 4.5", want: -4.5},
		{name: "plus", typed: "+4.5", want: 4.5},
		{name: "nothing before the point", typed: ".5", want: 0.5},
		{name: "nothing after the point", typed: "5.", want: 5},
		{name: "leading zeros", typed: "007", want: 7},
		{name: "unit behind", typed: "31.2 h", want: 31.2},
		{name: "unit in capitals", typed: "31.2H", want: 31.2},
		{name: "three decimals with the own sign", typed: "1.234", want: 1.234},
		{name: "three decimals with the own comma", typed: "1,234", comma: true, want: 1.234},
		{name: "three decimals after zero", typed: "0,234", want: 0.234},
		{name: "three decimals after four digits", typed: "1234,567", want: 1234.567},
		{name: "thousands or decimals", typed: "1,234", code: NumberEither},
		{name: "thousands or decimals of a comma writer", typed: "1.234", comma: true, code: NumberEither},
		{name: "three digits before, three behind", typed: "123,456", code: NumberEither},
		{name: "comma then point", typed: "1,234.5", code: NumberThousands},
		{name: "point then comma", typed: "1.234,5", code: NumberThousands},
		{name: "several thousands", typed: "1.234.567,8", code: NumberThousands},
		{name: "two points", typed: "1.2.3", code: NotNumber},
		{name: "mixed without order", typed: "1.2,3.4", code: NotNumber},
		{name: "NaN", typed: "NaN", code: NotNumber},
		{name: "infinity", typed: "Inf", code: NotNumber},
		{name: "exponent", typed: "1e3", code: NotNumber},
		{name: "hexadecimal", typed: "0x1F", code: NotNumber},
		{name: "word", typed: "about thirty", code: NotNumber},
		{name: "range", typed: "30-31", code: NotNumber},
		{name: "two signs", typed: "--3", code: NotNumber},
		{name: "point alone", typed: ".", code: NotNumber},
		{name: "minus alone", typed: "−", code: NotNumber},
		{name: "digits of another script", typed: "٣١", code: NotNumber},
		{name: "fraction", typed: "13 1/8", code: NumberFraction},
		{name: "letter in a fraction", typed: "x/8", code: NotNumber},
		{name: "letter over a fraction", typed: "3 x/8", code: NotNumber},
		{name: "division by zero", typed: "1/0", code: NotNumber},
		{name: "other unit", typed: "31.2 min", code: NotUnit},
		{name: "nothing over a fraction", typed: "/8", code: NotNumber},
		{name: "over one", typed: "3/1", code: NumberFraction},
		{name: "over a thousand", typed: "3/1000", code: NumberFraction},
		{name: "over more", typed: "3/1001", code: NotNumber},
		{name: "fifteen digits", typed: "0.00000000000001", want: 1e-14},
		{name: "fifteen digits behind the point", typed: "3.000000000000001", code: NumberDigits},
		{name: "fifteen digits in all", typed: "31.2000000000000", want: 31.2},
		{name: "fifteen zeros behind the point", typed: "0.000000000000000", want: 0},
		{name: "sixteen zeros behind the point", typed: "0.0000000000000000", code: NumberDigits},
		{name: "the least", typed: "-100", want: -100},
		{name: "below the least", typed: "-100.1", code: OutOfRange},
		{name: "the most", typed: "9999999", want: 9999999},
		{name: "sixteen digits", typed: "1234567890123456", code: NumberDigits},
		{name: "too large", typed: "9999999.1", code: OutOfRange},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r := reader(tt.typed, tt.comma, quantity.Centimetre)
			got := r.Decimal("f", -100, 9999999, "h")
			if c := code(t, r); c != tt.code {
				t.Fatalf("Decimal(%q): code %q, want %q", tt.typed, c, tt.code)
			}
			if (got == nil) != (tt.code != "") || got != nil && *got != tt.want {
				t.Errorf("Decimal(%q) = %v, want %v", tt.typed, got, tt.want)
			}
		})
	}
}

func TestNumberProblemsOfferTheAnswer(t *testing.T) {
	tests := []struct {
		name, typed string
		comma       bool
		arg, want   string
	}{
		{"thousands with a point for decimals", "1,234.5", false, "Example", "1234.5"},
		{"the same for a comma writer", "1,234.5", true, "Example", "1234,5"},
		{"either: whole", "1,234", false, "First", "1234"},
		{"either: decimals in the own sign", "1,234", false, "Second", "1.234"},
		{"fraction of an inch", "13 1/8 in", false, "Example", "13.125"},
		{"fraction alone", "3/8\"", true, "Example", "0,375"},
		{"a space inside", "3 1", false, "Example", "31"},
		{"a space after the own sign", "31, 2 in", true, "Example", "31,2"},
		{"text that just fits", strings.Repeat("x", 40), false, "Typed", strings.Repeat("x", 40)},
		{"long text is shortened", strings.Repeat("x", 1<<20), false, "Typed", strings.Repeat("x", 40) + "…"},
		{"what can't be seen is left out", "\x00a\u202eb", false, "Typed", "ab"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r := reader(tt.typed, tt.comma, quantity.Inch)
			r.Decimal("f", 0, 1e6)
			problem, ok := r.Problems().For("f")
			if !ok || problem.Args[tt.arg] != tt.want {
				t.Errorf("%q: problem %v, want %s %q", tt.typed, problem, tt.arg, tt.want)
			}
		})
	}
}

func TestInt(t *testing.T) {
	tests := []struct {
		name, typed string
		want        int
		code        string
	}{
		{name: "zero", typed: "0", want: 0},
		{name: "signed", typed: "−3", want: -3},
		{name: "plus", typed: "+3", want: 3},
		{name: "decimals that say nothing", typed: "3.0", want: 3},
		{name: "a half", typed: "2.5", code: NotWhole},
		{name: "the least", typed: "-5", want: -5},
		{name: "below", typed: "-6", code: OutOfRange},
		{name: "the most", typed: "10", want: 10},
		{name: "above", typed: "11", code: OutOfRange},
		{name: "text", typed: "three", code: NotNumber},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r := reader(tt.typed, false, quantity.Centimetre)
			got := r.Int("f", -5, 10)
			if c := code(t, r); c != tt.code {
				t.Fatalf("Int(%q): code %q, want %q", tt.typed, c, tt.code)
			}
			if (got == nil) != (tt.code != "") || got != nil && *got != tt.want {
				t.Errorf("Int(%q) = %v, want %d", tt.typed, got, tt.want)
			}
		})
	}
}

func TestWeightG(t *testing.T) {
	tests := []struct {
		name, typed string
		want        int
		code        string
	}{
		{name: "comma", typed: "72,5", want: 72500},
		{name: "unit behind", typed: "72.5 kg", want: 72500},
		{name: "exact to the gram", typed: "0072.1234", want: 72123},
		{name: "pounds", typed: "160 lb", code: NotUnit},
		{name: "the least", typed: "2", want: 2000},
		{name: "the most", typed: "500", want: 500000},
		{name: "typed in grams", typed: "72500", code: OutOfRange},
		{name: "zero", typed: "0", code: OutOfRange},
		{name: "negative", typed: "−72", code: OutOfRange},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r := reader(tt.typed, false, quantity.Centimetre)
			got := r.WeightG("f")
			if c := code(t, r); c != tt.code {
				t.Fatalf("WeightG(%q): code %q, want %q", tt.typed, c, tt.code)
			}
			if (got == nil) != (tt.code != "") || got != nil && *got != tt.want {
				t.Errorf("WeightG(%q) = %v, want %d", tt.typed, got, tt.want)
			}
		})
	}
}

// An empty field is no value and no problem, whatever is read from it.
func TestEmptyFieldsAreNoProblem(t *testing.T) {
	for _, typed := range []string{"", "  ", "\u202f\t\n"} {
		r := reader(typed, false, quantity.Centimetre)
		if r.Decimal("f", 1, 2) != nil || r.Int("f", 1, 2) != nil || r.WeightG("f") != nil || r.Girth("f") != nil ||
			r.Gap("f") != nil || r.Levels("f") != nil || r.Date("f") != "" || r.Phone("f") != "" || r.Text("f", 1) != "" {
			t.Errorf("%q gives a value", typed)
		}
		if r.Problems().Any() {
			t.Errorf("%q gives problems %v", typed, r.Problems())
		}
	}
}

// A space between two digits is taken only where it parts thousands.
func TestSpacesPartThousandsOnly(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		digits := rapid.StringMatching(`[1-9][0-9]{1,8}`).Draw(t, "digits")
		at := rapid.IntRange(1, len(digits)-1).Draw(t, "at")
		typed := digits[:at] + rapid.SampledFrom([]string{" ", "\u00a0", "\u2009", "\u202f"}).Draw(t, "space") + digits[at:]
		n, _, f := parseNumber(typed, false)
		thousands := at <= 3 && len(digits)-at == 3
		if (f == nil) != thousands {
			t.Fatalf("%q: fault %v", typed, f)
		}
		if f == nil && strconv.FormatInt(n.mantissa, 10) != digits {
			t.Errorf("%q reads as %v", typed, n)
		}
	})
}

func FuzzParseNumber(f *testing.F) {
	for _, seed := range []string{"31,2", "1.234,5", "−0.5 cm", "1e3", "13 1/8", "\u00a01 000", "3 1", "31. 2", "999999999999999.9", "٣"} {
		f.Add(seed, false)
		f.Add(seed, true)
	}
	f.Fuzz(func(t *testing.T, typed string, comma bool) {
		n, tail, fault := parseNumber(typed, comma)
		if fault != nil {
			if fault.code == "" || fault.args["Typed"] == nil {
				t.Errorf("%q: fault without code or text: %v", typed, fault)
			}
			return
		}
		if n.scale < 0 || n.scale > mostDigits || n.mantissa >= 1e15 || n.mantissa <= -1e15 {
			t.Errorf("%q: %v is out of what a number holds", typed, n)
		}
		if strings.ContainsAny(tail, "0123456789") {
			t.Errorf("%q: digits left over in %q", typed, tail)
		}
	})
}
