package form

import (
	"slices"
	"testing"

	"fairlead/analytics/quantity"
	"pgregory.net/rapid"
)

func TestLength(t *testing.T) {
	const cm, mm, in = quantity.Centimetre, quantity.Millimetre, quantity.Inch
	tests := []struct {
		name, typed string
		unit        quantity.LengthUnit
		want        quantity.Length
		code        string
	}{
		{name: "centimetres", typed: "33.4", unit: cm, want: 3340},
		{name: "unit behind", typed: "33.4 cm", unit: cm, want: 3340},
		{name: "another unit behind", typed: "334mm", unit: cm, want: 3340},
		{name: "inches behind", typed: "13.15 in", unit: cm, want: 3340}, // 334.01 mm
		{name: "inch sign", typed: "13.15″", unit: cm, want: 3340},
		{name: "capitals, as phones put them", typed: "33.4 Cm", unit: mm, want: 3340},
		{name: "inch is 25.4 mm exactly", typed: "10", unit: in, want: 2540},
		{name: "half away from zero", typed: "33.455", unit: cm, want: 3346},
		{name: "half away from zero below", typed: "−0.05", unit: mm, want: -1},
		{name: "just below the half", typed: "33.4549", unit: cm, want: 3345},
		{name: "the least", typed: "-1", unit: mm, want: -10},
		{name: "the most", typed: "50", unit: cm, want: 5000},
		{name: "above the most", typed: "50.1", unit: cm, code: LengthOutOfRange},
		{name: "below the least", typed: "-1.1 mm", unit: cm, code: LengthOutOfRange},
		{name: "metres", typed: "0.334 m", unit: cm, code: NotUnit},
		{name: "text", typed: "wide", unit: cm, code: NotNumber},
		{name: "two numbers", typed: "33 cm 4", unit: cm, code: NotNumber},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r := reader(tt.typed, false, tt.unit)
			got := r.Length("f", tt.unit, -10, 5000)
			if c := code(t, r); c != tt.code {
				t.Fatalf("Length(%q): code %q, want %q", tt.typed, c, tt.code)
			}
			if (got == nil) != (tt.code != "") || got != nil && *got != tt.want {
				t.Errorf("Length(%q) = %v, want %d", tt.typed, got, tt.want)
			}
		})
	}
}

// The hard limits, 20 to 2000 mm, are those of the record; that a plain figure
// is asked about outside 60 to 1200 mm is common practice without a source.
func TestGirth(t *testing.T) {
	const cm, mm, in = quantity.Centimetre, quantity.Millimetre, quantity.Inch
	tests := []struct {
		name, typed string
		unit        quantity.LengthUnit
		comma       bool
		want        quantity.Length
		code        string
		suggestion  string
	}{
		{name: "as it should be", typed: "33.4", unit: cm, want: 3340},
		{name: "millimetres in a field of centimetres", typed: "334", unit: cm, code: GirthUnit, suggestion: "33.4"},
		{name: "the same for a comma writer", typed: "334", unit: cm, comma: true, code: GirthUnit, suggestion: "33,4"},
		{name: "centimetres in a field of millimetres", typed: "33.4", unit: mm, code: GirthUnitSure, suggestion: "334"},
		{name: "small centimetres in a field of millimetres", typed: "13.2", unit: mm, code: GirthUnit, suggestion: "132"},
		{name: "millimetres in a field of inches", typed: "334", unit: in, code: GirthUnit, suggestion: "13.15"},
		{name: "a wrist in millimetres in a field of centimetres", typed: "150", unit: cm, code: GirthUnitSure, suggestion: "15.0"},
		{name: "the least that is usual", typed: "6", unit: cm, want: 600},
		{name: "just less in millimetres", typed: "59.9", unit: mm, code: GirthUnitSure, suggestion: "599"},
		{name: "the most that is usual", typed: "120", unit: cm, want: 12000},
		{name: "just more", typed: "120.1", unit: cm, code: GirthUnitSure, suggestion: "12.0"},
		{name: "meant as the least that is usual", typed: "600", unit: in, code: GirthUnit, suggestion: "23.62"},
		{name: "the least in millimetres is asked about", typed: "20", unit: mm, code: GirthUnitSure, suggestion: "200"},
		{name: "the most in centimetres is asked about", typed: "200", unit: cm, code: GirthUnitSure, suggestion: "20.0"},
		{name: "meant as the most that is usual", typed: "1200", unit: cm, code: GirthUnit, suggestion: "120.0"},
		{name: "no usual girth in any unit", typed: "1201", unit: cm, code: LengthOutOfRange},
		{name: "the same with its unit is taken", typed: "150 cm", unit: cm, want: 15000},
		{name: "a thin one with its unit is taken", typed: "45 mm", unit: mm, want: 450},
		{name: "a unit behind can't lift the hard limit", typed: "334 cm", unit: cm, code: LengthOutOfRange},
		{name: "the least", typed: "2 cm", unit: cm, want: 200},
		{name: "below the least", typed: "1.9 cm", unit: cm, code: LengthOutOfRange},
		{name: "the most", typed: "2000 mm", unit: cm, want: 20000},
		{name: "above the most", typed: "2000.1 mm", unit: cm, code: LengthOutOfRange},
		{name: "zero", typed: "0", unit: cm, code: LengthOutOfRange},
		{name: "negative", typed: "-33.4", unit: cm, code: LengthOutOfRange},
		{name: "absurd in every unit", typed: "99999", unit: cm, code: LengthOutOfRange},
		{name: "NaN", typed: "NaN", unit: cm, code: NotNumber},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r := reader(tt.typed, tt.comma, tt.unit)
			got := r.Girth("f")
			if c := code(t, r); c != tt.code {
				t.Fatalf("Girth(%q): code %q, want %q", tt.typed, c, tt.code)
			}
			if (got == nil) != (tt.code != "") || got != nil && *got != tt.want {
				t.Errorf("Girth(%q) = %v, want %d", tt.typed, got, tt.want)
			}
			if problem, _ := r.Problems().For("f"); tt.suggestion != "" && problem.Args["Suggestion"] != tt.suggestion {
				t.Errorf("Girth(%q) suggests %v, want %q", tt.typed, problem.Args["Suggestion"], tt.suggestion)
			}
		})
	}
}

func TestGapIsAlwaysMillimetres(t *testing.T) {
	tests := []struct {
		name, typed string
		want        quantity.Length
		code        string
	}{
		{name: "whatever the person's unit", typed: "2,4", want: 24},
		{name: "touching", typed: "0", want: 0},
		{name: "the most", typed: "100", want: 1000},
		{name: "too wide", typed: "100.1", code: LengthOutOfRange},
		{name: "negative", typed: "-0.1", code: LengthOutOfRange},
		{name: "another unit behind", typed: "0.24 cm", want: 24},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r := reader(tt.typed, false, quantity.Inch)
			got := r.Gap("f")
			if c := code(t, r); c != tt.code {
				t.Fatalf("Gap(%q): code %q, want %q", tt.typed, c, tt.code)
			}
			if (got == nil) != (tt.code != "") || got != nil && *got != tt.want {
				t.Errorf("Gap(%q) = %v, want %d", tt.typed, got, tt.want)
			}
		})
	}
}

func TestLevels(t *testing.T) {
	const cm, mm = quantity.Centimetre, quantity.Millimetre
	tests := []struct {
		name, typed string
		unit        quantity.LengthUnit
		want        []quantity.Length
		code        string
	}{
		{name: "spaces", typed: "0 3 6 9", unit: cm, want: []quantity.Length{0, 300, 600, 900}},
		{name: "semicolons and a decimal comma", typed: "0; 3; 6,5", unit: cm, want: []quantity.Length{0, 300, 650}},
		{name: "decimal commas between spaces", typed: "0 3,5 6,5", unit: cm, want: []quantity.Length{0, 350, 650}},
		{name: "commas with spaces", typed: "0, 3, 6", unit: cm, want: []quantity.Length{0, 300, 600}},
		{name: "one to a line", typed: "0\r\n3\r\n6\r\n", unit: cm, want: []quantity.Length{0, 300, 600}},
		{name: "millimetres", typed: "0 30 60", unit: mm, want: []quantity.Length{0, 300, 600}},
		{name: "a unit at the end holds for all", typed: "0 30 60 mm", unit: cm, want: []quantity.Length{0, 300, 600}},
		{name: "a unit at each", typed: "0cm 3cm 6cm", unit: mm, want: []quantity.Length{0, 300, 600}},
		{name: "above the landmark", typed: "−3 0 3", unit: cm, want: []quantity.Length{-300, 0, 300}},
		{name: "two levels are enough", typed: "0 3", unit: cm, want: []quantity.Length{0, 300}},
		{name: "a unit alone", typed: "mm", unit: cm, code: NotNumber},
		{name: "commas without spaces", typed: "0,3,6", unit: cm, code: LevelsSeparator},
		{name: "one level only", typed: "0", unit: cm, code: LevelsFew},
		{name: "separators only", typed: ";;", unit: cm, code: LevelsFew},
		{name: "repeated", typed: "0 3 3 6", unit: cm, code: LevelRepeated},
		{name: "the same within 0.1 mm", typed: "0 3 3.001", unit: cm, code: LevelRepeated},
		{name: "out of order", typed: "0 6 3", unit: cm, code: LevelOrder},
		{name: "text in one", typed: "0 three 6", unit: cm, code: NotNumber},
		{name: "absurd", typed: "0 3 600", unit: cm, code: LengthOutOfRange},
		{name: "too many", typed: many(61), unit: mm, code: LevelsMany},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r := reader(tt.typed, false, tt.unit)
			got := r.Levels("f")
			if c := code(t, r); c != tt.code || !slices.Equal(got, tt.want) {
				t.Errorf("Levels(%q) = %v, code %q; want %v, code %q", tt.typed, got, c, tt.want, tt.code)
			}
		})
	}
}

func TestLevelsAsManyAsAPlanHolds(t *testing.T) {
	r := reader(many(60), false, quantity.Millimetre)
	if got := r.Levels("f"); len(got) != 60 || r.Problems().Any() {
		t.Errorf("got %d levels with %v, want 60", len(got), r.Problems())
	}
}

// many types n levels a millimetre apart.
func many(n int) string {
	text := ""
	for i := range n {
		text += FormatTyped(quantity.Length(10*i), quantity.Millimetre, false) + " "
	}
	return text
}

func FuzzLevels(f *testing.F) {
	for _, seed := range []string{"0 3 6 9", "0; 3; 6,5", "0,3,6", "0 30 60 mm", "9 6", ";", "\u00a00\u20093"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, typed string) {
		r := reader(typed, false, quantity.Centimetre)
		got := r.Levels("f")
		for i := 1; i < len(got); i++ {
			if got[i] <= got[i-1] {
				t.Errorf("%q: %v does not ascend", typed, got)
			}
		}
		if compact(typed) != "" && (got == nil) != r.Problems().Any() {
			t.Errorf("%q: levels %v with problems %v", typed, got, r.Problems())
		}
	})
}

// What stands in a field reads back as the same length, in every unit and with
// either decimal sign; so does what a tape's decimals can show.
func TestLengthsReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := quantity.Length(rapid.Int64Range(-100000, 100000).Draw(t, "tenths"))
		unit := rapid.SampledFrom(quantity.LengthUnits).Draw(t, "unit")
		comma := rapid.Bool().Draw(t, "comma")
		typed := FormatTyped(l, unit, comma)
		got, _, f := parseLength(typed, unit, comma)
		if f != nil || got != l {
			t.Fatalf("%d shown as %q in %s reads as %d, fault %v", l, typed, unit, got, f)
		}
		short := Format(l, unit, comma)
		got, _, f = parseLength(short, unit, comma)
		if f != nil || Format(got, unit, comma) != short {
			t.Fatalf("%q in %s reads as %d and shows as %q", short, unit, got, Format(got, unit, comma))
		}
	})
}
