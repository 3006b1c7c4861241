package form

import (
	"encoding/json"
	"go/ast"
	"go/parser"
	"go/token"
	"maps"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
	"text/template"
	"time"

	"fairlead/analytics/quantity"
)

// codes reads the problem codes out of problem.go.
func codes(t *testing.T) []string {
	t.Helper()
	file, err := parser.ParseFile(token.NewFileSet(), "problem.go", nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	var found []string
	ast.Inspect(file, func(n ast.Node) bool {
		literal, ok := n.(*ast.BasicLit)
		if !ok || literal.Kind != token.STRING {
			return true
		}
		if text, err := strconv.Unquote(literal.Value); err == nil && strings.HasPrefix(text, "problem.") {
			found = append(found, text)
		}
		return true
	})
	slices.Sort(found)
	return found
}

// everyProblem reads texts that have, between them, every problem there is.
func everyProblem() Problems {
	now := time.Date(2026, 11, 25, 9, 0, 0, 0, time.UTC)
	berlin, _ := time.LoadLocation("Europe/Berlin")
	var all Problems
	read := func(read func(r *Reader), typed ...string) {
		values := map[string]string{}
		for i, text := range typed {
			values[string(rune('a'+i))] = text
		}
		r := New(values, Options{Unit: quantity.Centimetre, Now: now, Zone: berlin})
		read(r)
		all = append(all, r.Problems()...)
	}
	text := func(r *Reader) { r.RequiredText("a", 5) }
	decimal := func(r *Reader) { r.Decimal("a", 0, 10, "h") }
	girth := func(r *Reader) { r.Girth("a") }
	levels := func(r *Reader) { r.Levels("a") }
	date := func(r *Reader) { r.DateNotFuture("a") }
	moment := func(r *Reader) { r.DateTime("a", "b") }
	for _, typed := range []string{"", "too long", "a\x00", "\xff"} {
		read(text, typed)
	}
	read(func(r *Reader) { r.Bool("a") }, "perhaps")
	for _, typed := range []string{"x", "1,234.5", "1,234", "3 1", "1/8", "1234567890123456", "11", "3 min"} {
		read(decimal, typed)
	}
	read(func(r *Reader) { r.Int("a", 0, 9) }, "2.5")
	for _, typed := range []string{"334", "150", "99999"} {
		read(girth, typed)
	}
	for _, typed := range []string{"0,3,6", "0", many(61), "0 3 3", "0 6 3"} {
		read(levels, typed)
	}
	for _, typed := range []string{"x", "30.2.2026", "1.1.26", "4/5/2026", "1.1.1800", "2027-01-01"} {
		read(date, typed)
	}
	for _, typed := range [][]string{{"", "9:00"}, {"2026-11-25", ""}, {"2026-11-25", "x"}, {"2026-03-29", "2:30"}, {"2026-11-26", "9:00"}} {
		read(moment, typed...)
	}
	read(func(r *Reader) { r.Phone("a") }, "x")
	return all
}

// Each code has a message in the catalogue, each message of this file a code,
// and each problem carries the figures that its message needs.
func TestEveryProblemHasItsWords(t *testing.T) {
	content, err := os.ReadFile("../../web/text/en/problems.json")
	if err != nil {
		t.Fatal(err)
	}
	messages := map[string]string{}
	if err := json.Unmarshal(content, &messages); err != nil {
		t.Fatal(err)
	}
	want := codes(t)
	if got := slices.Sorted(maps.Keys(messages)); !slices.Equal(got, want) {
		t.Errorf("problems.json has %q,\nwant the codes of problem.go, no more and no less: %q", got, want)
	}
	given := map[string]bool{}
	for _, problem := range everyProblem() {
		given[problem.Code] = true
		message, err := template.New(problem.Code).Option("missingkey=error").Parse(messages[problem.Code])
		if err != nil {
			t.Fatal(err)
		}
		var words strings.Builder
		if err := message.Execute(&words, problem.Args); err != nil {
			t.Errorf("%s with %v: %v", problem.Code, problem.Args, err)
		}
		t.Logf("%s: %s", problem.Code, words.String())
	}
	if got := slices.Sorted(maps.Keys(given)); !slices.Equal(got, want) {
		t.Errorf("problems given %q,\nwant one of each code: %q", got, want)
	}
}
