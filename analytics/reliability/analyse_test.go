package reliability

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// rows are values written as "subject rater trial value".
func rows(t *testing.T, lines ...string) []Value {
	t.Helper()
	var values []Value
	for _, line := range lines {
		var v Value
		if _, err := fmt.Sscan(line, &v.Subject, &v.Rater, &v.Trial, &v.Value); err != nil {
			t.Fatal(err)
		}
		values = append(values, v)
	}
	return values
}

func TestWhatIsNotDefinedSaysWhy(t *testing.T) {
	cases := []struct {
		name   string
		values []string
		figure func(Report) Figure
		why    Reason
	}{
		{"one value", []string{"a x 1 5"}, func(r Report) Figure { return r.All.TEM }, NoRepeats},
		{"one trial each", []string{"a x 1 5", "b x 1 6"}, func(r Report) Figure { return r.All.MDC95 }, NoRepeats},
		{"one trial each: correlation", []string{"a x 1 5", "b x 1 6"}, func(r Report) Figure { return r.ICC()[0].Figure }, OneColumn},
		{"one subject", []string{"a x 1 5", "a x 2 6"}, func(r Report) Figure { return r.ICC()[0].Figure }, FewSubjects},
		{"one subject: SEM", []string{"a x 1 5", "a x 2 6"}, func(r Report) Figure { return r.All.SEM }, Disconnected},
		{"no subject complete", []string{"a x 1 5", "a x 2 6", "b x 2 6", "b x 3 7"}, func(r Report) Figure { return r.ICC()[2].Figure }, NoComplete},
		{"all equal", []string{"a x 1 5", "a x 2 5", "b x 1 5", "b x 2 5"}, func(r Report) Figure { return r.ICC()[2].Figure }, AllEqual},
		{"subjects alike", []string{"a x 1 5", "a x 2 6", "b x 1 5", "b x 2 6"}, func(r Report) Figure { return r.ICC()[2].Figure }, SubjectsAlike},
		{"values below zero", []string{"a x 1 -5", "a x 2 6", "b x 1 5", "b x 2 6"}, func(r Report) Figure { return r.All.TEMPercent }, NotPositive},
		{"raters with no subject in common", []string{"a x 1 5", "a x 2 6", "b y 1 5", "b y 2 6"}, func(r Report) Figure { return r.Between.SEM }, NoRepeats},
		{"raters with one subject in common", []string{"a x 1 5", "a y 1 6", "b y 1 5"}, func(r Report) Figure { return r.Between.Pairs[0].First.Bias }, FewPairs},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			f := c.figure(analyse(t, rows(t, c.values...)))
			if f.Defined || f.Why != c.why || f.Why.String() == "" {
				t.Errorf("got %+v, want undefined because of %s", f, c.why)
			}
		})
	}
	r := analyse(t, rows(t, "a x 1 5"))
	if r.Between != nil || r.BetweenWhy != OneRater {
		t.Errorf("one rater: between %+v, why %s", r.Between, r.BetweenWhy)
	}
}

func TestErrorOfZeroHasNoInterval(t *testing.T) {
	r := analyse(t, rows(t, "a x 1 0.1", "a x 2 0.1", "a x 3 0.1", "b x 1 0.7", "b x 2 0.7", "b x 3 0.7"))
	for name, f := range map[string]Figure{"TEM": r.All.TEM, "SEM": r.All.SEM, "MDC95": r.All.MDC95, "TEM in percent": r.All.TEMPercent} {
		if !f.Defined || f.Value != 0 || f.Bounded || f.Why != NoError {
			t.Errorf("%s: %+v, want 0 without an interval", name, f)
		}
	}
	for _, c := range r.ICC() {
		if !c.Defined || math.Abs(c.Value-1) > 1e-12 || c.Bounded {
			t.Errorf("%s: %+v, want 1 without an interval", c.Name(), c.Figure)
		}
	}
}

// Raters who differ by the same on every subject leave nothing to judge that
// difference by.
func TestConstantDifferenceHasNoInterval(t *testing.T) {
	a := Agree([]Pair{{A: 5.1, B: 4}, {A: 8.1, B: 7}, {A: 3.1, B: 2}})
	for name, f := range map[string]Figure{"bias": a.Bias, "SD": a.SD, "limit": a.Upper, "slope": a.Slope} {
		if !f.Defined || f.Bounded || f.Why != NoError {
			t.Errorf("%s: %+v, want no interval", name, f)
		}
	}
	near(t, "bias", a.Bias.Value, 1.1, 1e-12)
}

func TestRemarks(t *testing.T) {
	r := analyse(t, rows(t, "a x 1 5", "a x 2 6", "a y 1 7", "b x 1 8", "b x 2 8", "b y 1 7", "c x 1 3"))
	var said []string
	for _, m := range r.Remarks {
		said = append(said, m.String())
	}
	for _, want := range []string{
		"2 subjects were measured twice or more: the error is itself uncertain",
		"1 subject has a single value",
		"1 of 3 subjects lack a value",
		`rater "y" gave every subject the same value`,
		"unequal numbers of trials, so they are compared by the first",
	} {
		if !strings.Contains(strings.Join(said, "\n"), want) {
			t.Errorf("remarks %q; want one that says %q", said, want)
		}
	}
	if r.Between.Trials != 1 {
		t.Errorf("compared by means of %d trials, want the first", r.Between.Trials)
	}
}

func TestBadValues(t *testing.T) {
	cases := []struct {
		name   string
		values []Value
		want   error
	}{
		{"none", nil, ErrNoValues},
		{"not a number", []Value{{Subject: "a", Trial: 1, Value: math.NaN()}}, ErrBadValue},
		{"infinite", []Value{{Subject: "a", Trial: 1, Value: math.Inf(-1)}}, ErrBadValue},
		{"too large", []Value{{Subject: "a", Trial: 1, Value: 1e300}}, ErrBadValue},
		{"trial 0", []Value{{Subject: "a", Value: 1}}, ErrBadValue},
		{"twice", []Value{{Subject: "a", Trial: 1, Value: 1}, {Subject: "b", Trial: 1, Value: 1}, {Subject: "a", Trial: 1, Value: 2}}, ErrBadValue},
	}
	for _, c := range cases {
		if _, err := Analyse(c.values); !errors.Is(err, c.want) {
			t.Errorf("%s: got %v, want %v", c.name, err, c.want)
		}
	}
}

// figures visits every Figure below a value.
func figures(v reflect.Value, path string, visit func(path string, f Figure)) {
	if f, ok := v.Interface().(Figure); ok {
		visit(path, f)
		return
	}
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			figures(v.Elem(), path, visit)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			figures(v.Field(i), path+"."+v.Type().Field(i).Name, visit)
		}
	case reflect.Slice:
		for i := range v.Len() {
			figures(v.Index(i), fmt.Sprintf("%s[%d]", path, i), visit)
		}
	}
}

// drawValues draws values of few subjects, raters and trials, some missing, some
// equal.
func drawValues(t *rapid.T) []Value {
	number := rapid.OneOf(rapid.Float64Range(-10, 2000), rapid.Float64Range(-MaxValue, MaxValue), rapid.SampledFrom([]float64{0, 1, 300, 300.1}))
	var values []Value
	subjects, raters, trials := rapid.IntRange(1, 6).Draw(t, "subjects"), rapid.IntRange(1, 4).Draw(t, "raters"), rapid.IntRange(1, 3).Draw(t, "trials")
	for s := range subjects {
		for r := range raters {
			for k := range trials {
				if rapid.IntRange(0, 5).Draw(t, "there") > 0 {
					values = append(values, Value{Subject: fmt.Sprint(s), Rater: fmt.Sprint(r), Trial: k + 1, Value: number.Draw(t, "value")})
				}
			}
		}
	}
	return values
}

// Whatever the values, every figure is finite or says why it is not there, and
// an interval holds its value.
func TestFiguresAreFiniteOrSayWhy(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r, err := Analyse(drawValues(t))
		if err != nil {
			return
		}
		figures(reflect.ValueOf(r), "", func(path string, f Figure) {
			switch sum := f.Value + f.Lo + f.Hi; {
			case math.IsNaN(sum) || math.IsInf(sum, 0):
				t.Fatalf("%s: %+v", path, f)
			case (!f.Defined || !f.Bounded) && f.Why == "" && !strings.Contains(path, ".Means.") && !strings.Contains(path, ".Percent."):
				t.Fatalf("%s: %+v without a reason", path, f)
			case f.Bounded && !(f.Lo <= f.Value+1e-9*math.Abs(f.Value)+1e-12 && f.Value <= f.Hi+1e-9*math.Abs(f.Hi)+1e-12):
				t.Fatalf("%s: %+v is outside its interval", path, f)
			}
		})
	})
}

// Laws: the order of values says nothing; another zero moves nothing but the
// mean; another unit scales the errors and leaves the correlations.
func TestLaws(t *testing.T) {
	values := published(t, "bland_altman_1986_pefr.csv")
	r := analyse(t, values)
	turned := slices.Clone(values)
	slices.Reverse(turned)
	if got := analyse(t, turned); !reflect.DeepEqual(got, r) {
		t.Error("the order of the values changed the report")
	}
	other := slices.Clone(values)
	for i := range other {
		other[i].Value = 2*other[i].Value + 1000
	}
	o := analyse(t, other)
	near(t, "TEM in another unit", o.All.TEM.Value, 2*r.All.TEM.Value, 1e-9)
	near(t, "SEM in another unit", o.All.SEM.Hi, 2*r.All.SEM.Hi, 1e-9)
	for i := range r.ICC() {
		near(t, r.ICC()[i].Name(), o.ICC()[i].Lo, r.ICC()[i].Lo, 1e-9)
	}
	swapped := slices.Clone(values)
	for i := range swapped {
		swapped[i].Rater = map[string]string{"large": "z", "mini": "a"}[swapped[i].Rater]
	}
	near(t, "bias the other way round", analyse(t, swapped).Between.Pairs[0].First.Bias.Value, -r.Between.Pairs[0].First.Bias.Value, 1e-12)
}

func TestManyRaters(t *testing.T) {
	var values []Value
	for i := range 10_000 {
		values = append(values, Value{Subject: fmt.Sprint(i / 2), Rater: fmt.Sprint(i), Trial: 1, Value: float64(i % 7)})
	}
	r := analyse(t, values)
	if !r.All.TEM.Bounded || r.All.SEM.Why != TooManyRaters || r.BetweenWhy != TooManyRaters {
		t.Errorf("TEM %+v, SEM %+v, between %s", r.All.TEM, r.All.SEM, r.BetweenWhy)
	}
}

// Differences that grow with size are told, and those in percent do not grow.
func TestGrowingDifferences(t *testing.T) {
	var pairs []Pair
	for i := range 20 {
		size := 500 + 100*float64(i)
		pairs = append(pairs, Pair{A: size * (1.02 + 0.005*float64(i%3)), B: size})
	}
	if a := Agree(pairs); !a.Growing {
		t.Errorf("slope %+v, want growing", a.Slope)
	}
	percent, ok := AgreePercent(pairs)
	if !ok || percent.Growing || !percent.Percent {
		t.Errorf("in percent %+v, want not growing", percent.Slope)
	}
	if _, ok := AgreePercent([]Pair{{A: 1, B: 0}}); ok {
		t.Error("a value of zero has no percent")
	}
}
