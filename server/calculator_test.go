package server

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"
)

// calculator is a pocket calculator: it works out what is written, with + − × ÷,
// brackets, squares, √, bars, ln and exp, and knows nothing else of the program.
type calculator struct {
	keys []rune
	at   int
}

// workOut works out an expression.
func workOut(expression string) (result float64, err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("%q: %v", expression, r)
		}
	}()
	c := calculator{keys: []rune(strings.ReplaceAll(expression, " ", ""))}
	result = c.sum()
	if c.at != len(c.keys) {
		panic(fmt.Sprintf("left over at %d: %q", c.at, string(c.keys[c.at:])))
	}
	return result, nil
}

func (c *calculator) next(r rune) bool {
	if c.at < len(c.keys) && c.keys[c.at] == r {
		c.at++
		return true
	}
	return false
}

// function takes the name of a function with its bracket.
func (c *calculator) function(name string) bool {
	if !strings.HasPrefix(string(c.keys[c.at:]), name) {
		return false
	}
	c.at += len([]rune(name))
	return true
}

func (c *calculator) sum() float64 {
	v := c.product()
	for {
		switch {
		case c.next('+'):
			v += c.product()
		case c.next('−'):
			v -= c.product()
		default:
			return v
		}
	}
}

func (c *calculator) product() float64 {
	v := c.figure()
	for {
		switch {
		case c.next('×'):
			v *= c.figure()
		case c.next('÷'):
			v /= c.figure()
		default:
			return v
		}
	}
}

func (c *calculator) figure() float64 {
	var v float64
	switch {
	case c.next('−'):
		return -c.figure()
	case c.next('√'):
		return math.Sqrt(c.figure())
	case c.function("ln("):
		v = math.Log(c.sum())
		c.next(')')
	case c.function("exp("):
		v = math.Exp(c.sum())
		c.next(')')
	case c.next('('):
		v = c.sum()
		c.next(')')
	case c.next('|'):
		v = math.Abs(c.sum())
		c.next('|')
	default:
		v = c.number()
	}
	if c.next('²') {
		v *= v
	}
	return v
}

func (c *calculator) number() float64 {
	from := c.at
	for c.at < len(c.keys) && strings.ContainsRune("0123456789.", c.keys[c.at]) {
		c.at++
	}
	v, err := strconv.ParseFloat(string(c.keys[from:c.at]), 64)
	if err != nil {
		panic(err)
	}
	return v
}

// read is a figure as it is written, and one unit in its last digit.
func read(t failer, written string) (value, unit float64) {
	t.Helper()
	text := strings.ReplaceAll(strings.TrimSpace(written), "−", "-")
	value, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatalf("not a figure: %q", written)
	}
	_, decimals, _ := strings.Cut(text, ".")
	return value, math.Pow10(-len(decimals))
}

// failer is what testing.T and rapid.T have in common.
type failer interface {
	Helper()
	Fatalf(format string, args ...any)
	Errorf(format string, args ...any)
}

// within fails where a result that was worked out is further from the figure as
// it is written than one unit in its last digit.
func within(t failer, what string, result float64, written string) {
	t.Helper()
	value, unit := read(t, written)
	if math.Abs(result-value) > unit*1.0000001 {
		t.Errorf("%s: the calculator has %.8f, the page %s", what, result, written)
	}
}

// workOutLines works out every line of the steps that is keys of a calculator and
// returns how many there were.
func workOutLines(t failer, steps []workingStep) int {
	t.Helper()
	n := 0
	for _, step := range steps {
		for _, line := range step.Lines {
			if workOutLine(t, line) {
				n++
			}
		}
		if step.Aside != nil {
			n += workOutLines(t, step.Aside.Steps)
		}
	}
	return n
}

// workOutLine works out a line such as "u = √(3² + 4²) = 5 mm, less than 6 mm".
func workOutLine(t failer, line string) bool {
	t.Helper()
	_, rest, named := strings.Cut(line, ": ")
	if !named {
		rest = line
	}
	rest = strings.TrimPrefix(strings.TrimPrefix(rest, "ΔV = "), "u = ")
	keys, result, ok := strings.Cut(rest, " = ")
	if !ok || !strings.ContainsAny(keys, "+−×÷√") || strings.ContainsAny(strings.NewReplacer("ln(", "", "exp(", "").Replace(keys), "abcdefghijklmnopqrstuvwxyz") {
		return false
	}
	value, err := workOut(keys)
	if err != nil {
		t.Fatalf("%s: %v", line, err)
	}
	result, _, _ = strings.Cut(result, ",")
	result, _, _ = strings.Cut(result, narrow)
	within(t, line, value, strings.TrimSuffix(result, " mm"))
	return true
}

func TestCalculator(t *testing.T) {
	for keys, want := range map[string]float64{
		"1 + 2 × 3": 7, "(1 + 2)² ÷ 3": 3, "√(3² + 4²) ÷ 2": 2.5, "|2 − 5| × 2": 6, "−2 − (−3.5)": 1.5, "−1000 × (−2) ÷ 4": 500,
	} {
		if got, err := workOut(keys); err != nil || got != want {
			t.Errorf("%s: got %v, %v, want %v", keys, got, err, want)
		}
	}
}
