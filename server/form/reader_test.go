package form

import (
	"net/url"
	"slices"
	"strings"
	"testing"

	"fairlead/analytics/quantity"
)

func TestText(t *testing.T) {
	tests := []struct {
		name, typed, want, code string
	}{
		{name: "trimmed", typed: "  Rowan, M. ", want: "Rowan, M."},
		{name: "letters of any script", typed: "Ærø 東京 שלום", want: "Ærø 東京 שלום"},
		{name: "markup is text like any other", typed: "<script>alert(1)</script>", want: "<script>alert(1)</script>"},
		{name: "as long as allowed, in characters", typed: strings.Repeat("ø", 40), want: strings.Repeat("ø", 40)},
		{name: "one too many", typed: strings.Repeat("ø", 41), code: TextLong},
		{name: "1 MB", typed: strings.Repeat("a", 1<<20), code: TextLong},
		{name: "zero byte", typed: "a\x00b", code: TextHidden},
		{name: "line break", typed: "a\nb", code: TextHidden},
		{name: "escape", typed: "a\x1b[31m", code: TextHidden},
		{name: "turned direction", typed: "left \u202ethgir", code: TextHidden},
		{name: "line separator", typed: "a\u2028b", code: TextHidden},
		{name: "first of the turning marks", typed: "a\u202ab", code: TextHidden},
		{name: "first of the isolating marks", typed: "a\u2066b", code: TextHidden},
		{name: "last of the isolating marks", typed: "a\u2069b", code: TextHidden},
		{name: "mark beside them that turns nothing", typed: "a\u200fb", want: "a\u200fb"},
		{name: "broken UTF-8", typed: "a\xffb", code: TextBroken},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r := reader(tt.typed, false, "")
			got := r.Text("f", 40)
			if c := code(t, r); c != tt.code || got != tt.want {
				t.Errorf("Text = %q, code %q; want %q, code %q", got, c, tt.want, tt.code)
			}
		})
	}
}

func TestNoteKeepsLines(t *testing.T) {
	tests := []struct {
		name, typed, want, code string
	}{
		{name: "line ends of a browser", typed: "one\r\ntwo\r\n", want: "one\ntwo"},
		{name: "old line ends", typed: "one\rtwo", want: "one\ntwo"},
		{name: "tab", typed: "one\ttwo", want: "one\ttwo"},
		{name: "a line end counts once", typed: "12345678\r\n9", want: "12345678\n9"},
		{name: "too long", typed: "12345678901", code: TextLong},
		{name: "zero byte", typed: "one\x00", code: TextHidden},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r := reader(tt.typed, false, "")
			got := r.Note("f", 10)
			if c := code(t, r); c != tt.code || got != tt.want {
				t.Errorf("Note(%q) = %q, code %q; want %q, code %q", tt.typed, got, c, tt.want, tt.code)
			}
		})
	}
}

func TestPhone(t *testing.T) {
	tests := []struct {
		name, typed, want, code string
	}{
		{name: "international", typed: "+43 (0)1 / 234-567", want: "+43 (0)1 / 234-567"},
		{name: "short emergency number", typed: "112", want: "112"},
		{name: "spaces become one", typed: " 01  234 ", want: "01 234"},
		{name: "pasted with marks of direction", typed: "\u202a+1 202 555 0100\u202c", want: "+1 202 555 0100"},
		{name: "as many digits as allowed", typed: "90123456789012345678", want: "90123456789012345678"},
		{name: "plus inside", typed: "01+234", code: NotPhone},
		{name: "letters", typed: "call 112", code: NotPhone},
		{name: "too few digits", typed: "12", code: NotPhone},
		{name: "too many digits", typed: "123456789012345678901", code: NotPhone},
		{name: "signs only", typed: "+-()", code: NotPhone},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r := reader(tt.typed, false, "")
			got := r.Phone("f")
			if c := code(t, r); c != tt.code || got != tt.want {
				t.Errorf("Phone(%q) = %q, code %q; want %q, code %q", tt.typed, got, c, tt.want, tt.code)
			}
		})
	}
}

func TestBool(t *testing.T) {
	for typed, want := range map[string]bool{"on": true, "yes": true, "true": true, "1": true, "": false, "off": false, "no": false, "false": false, "0": false} {
		r := reader(typed, false, "")
		if got := r.Bool("f"); got != want || r.Problems().Any() {
			t.Errorf("Bool(%q) = %v with %v, want %v", typed, got, r.Problems(), want)
		}
	}
	if r := reader("perhaps", false, ""); r.Bool("f") || code(t, r) != NotOffered {
		t.Errorf("Bool(perhaps): problems %v, want %s", r.Problems(), NotOffered)
	}
}

type colour string

func TestChoices(t *testing.T) {
	offered := []colour{"red", "green", "blue"}
	r := New(map[string]string{"a": " green ", "b": "", "c": "mauve", "s.red": "on", "s.blue": "on", "s.mauve": "on"}, Options{})
	if got := Choice(r, "a", offered); got != "green" {
		t.Errorf("Choice = %q, want green", got)
	}
	if got := Choice(r, "b", offered); got != "" || r.Problems().Any() {
		t.Errorf("empty Choice = %q with %v, want nothing", got, r.Problems())
	}
	if got := Set(r, "s", offered); !slices.Equal(got, []colour{"red", "blue"}) {
		t.Errorf("Set = %v, want red and blue", got)
	}
	if got := RequiredChoice(r, "b", offered); got != "" {
		t.Errorf("empty RequiredChoice = %q", got)
	}
	if got := Choice(r, "c", offered); got != "" {
		t.Errorf("Choice outside = %q, want nothing", got)
	}
	want := Problems{{Field: "b", Code: Required}, {Field: "c", Code: NotOffered}}
	if got := r.Problems(); !slices.EqualFunc(got, want, func(a, b Problem) bool { return a.Field == b.Field && a.Code == b.Code }) {
		t.Errorf("problems %v, want %v", got, want)
	}
}

// A reader goes on after a problem and lists all of them in the order of
// reading, each once.
func TestProblemsInOrder(t *testing.T) {
	r := New(map[string]string{"girth": "thirty", "date": "soon", "name": " "}, Options{})
	r.Require("name", "girth")
	r.Girth("girth")
	r.Girth("girth")
	r.Date("date")
	r.Add("name", "problem.own", nil)
	want := []string{"name problem.required", "girth problem.number", "date problem.date", "name problem.own"}
	var got []string
	for _, problem := range r.Problems() {
		got = append(got, problem.Field+" "+problem.Code)
	}
	if !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
	if problem, ok := r.Problems().For("name"); !ok || problem.Code != Required {
		t.Errorf("For(name) = %v, want the first", problem)
	}
	if _, ok := r.Problems().For("absent"); ok {
		t.Error("For finds a problem of a field without one")
	}
	if r.Typed("girth") != "thirty" {
		t.Errorf("Typed = %q, want what was typed", r.Typed("girth"))
	}
}

func TestFromPostTakesTheLast(t *testing.T) {
	got := FromPost(url.Values{"box": {"off", "on"}, "empty": {}})
	if len(got) != 1 || got["box"] != "on" {
		t.Errorf("got %v, want box on alone", got)
	}
}

func TestLengthsAreCentimetresUnlessSaid(t *testing.T) {
	if got := New(nil, Options{}).Unit(); got != quantity.Centimetre {
		t.Errorf("got %q, want centimetres", got)
	}
	if got := New(nil, Options{Unit: quantity.Inch}).Unit(); got != quantity.Inch {
		t.Errorf("got %q, want inches", got)
	}
}
