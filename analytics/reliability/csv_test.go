package reliability

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"fairlead/analytics/table"
)

func decode(t *testing.T, text string) File {
	t.Helper()
	f, err := DecodeCSV(strings.NewReader(text))
	if err != nil {
		t.Fatalf("%q: %v", text, err)
	}
	return f
}

func TestDecodeValues(t *testing.T) {
	want := []Value{{"1", "A", 1, 146}, {"1", "A", 2, 140.5}, {"2", "A", 1, 148}}
	for name, text := range map[string]string{
		"plain":           "subject,rater,trial,value\n1,A,1,146\n1,A,2,140.5\n2,A,1,148\n",
		"trials by order": "subject,rater,value\n1,A,146\n1,A,140.5\n2,A,148\n",
		"semicolons":      "# invented\nvalue;Subject;rater;trial\n146;1;A;1\n140,5;1;A;2\n148;2;A;1\n",
	} {
		if f := decode(t, text); !slices.Equal(f.Values, want) || f.Girths || len(f.Notes) != 0 {
			t.Errorf("%s: got %+v, want %v", name, f, want)
		}
	}
	if f := decode(t, "subject,value,weather\n1,146,dry\n1,140,dry\n"); f.Values[1] != (Value{"1", "", 2, 140}) || len(f.Notes) != 1 {
		t.Errorf("without a rater: %+v", f)
	}
}

func TestDecodeStudy(t *testing.T) {
	f := decode(t, "subject,fitter,day,level_cm,pass,girth_cm\na,A,2026-05-04,0,1,32\na,A,2026-05-04,0,2,32.2\na,B,2026-05-06,3,1,33\n")
	want := []Reading{{"a", "A", "2026-05-04", 0, 1, 320}, {"a", "A", "2026-05-04", 0, 2, 322}, {"a", "B", "2026-05-06", 30, 1, 330}}
	if !slices.Equal(f.Study.Readings, want) || !f.Girths || f.Study.On != "2026-05-06" {
		t.Errorf("got %+v, want %v", f, want)
	}
	f = decode(t, "subject,level_mm,girth_mm\na,0,320\na,0,322\n")
	if want := (Reading{"a", "", "", 0, 2, 322}); len(f.Study.Readings) != 2 || f.Study.Readings[1] != want || f.Study.On != "" {
		t.Errorf("got %+v, want the second to be %v", f.Study, want)
	}
}

func TestDecodeProblems(t *testing.T) {
	const values, study = "subject,rater,trial,value\n1,A,1,146\n", "subject,fitter,day,level_mm,pass,girth_mm\na,A,1,0,1,320\n"
	cases := []struct {
		name, text string
		line       int
		says       string
	}{
		{"empty", "", 1, "start with a heading such as subject,rater,trial,value"},
		{"heading only", "subject,value\n", 1, "no values below the heading"},
		{"no subject", "rater,value\nA,1\n", 1, "no column subject"},
		{"no value", "subject,rater\n1,A\n", 1, "no column value"},
		{"subject missing", values + ",A,1,146\n", 3, "subject is missing"},
		{"value missing", values + "2,A,1,\n", 3, "value is missing"},
		{"words", values + "2,A,1,many\n", 3, "many"},
		{"NaN", values + "2,A,1,NaN\n", 3, "plain number"},
		{"too large", values + "2,A,1,99999999999\n", 3, "larger unit"},
		{"trial missing", values + "2,A,,5\n", 3, "trial is missing"},
		{"trial zero", values + "2,A,0,5\n", 3, "number the trials"},
		{"twice", values + "1,A,1,150\n", 3, "already on line 2"},
		{"study heading only", "subject,level_mm,girth_mm\n", 1, "no readings"},
		{"girth without unit", "subject,level_mm,girth\na,0,1\n", 1, "no unit that is known"},
		{"study without subject", "fitter,level_mm,girth_mm\na,0,320\n", 1, "no column subject"},
		{"absurd girth", study + "a,A,1,0,2,3\n", 3, "outside 20–2000 mm"},
		{"pass twice", study + "a,A,1,0,1,321\n", 3, "already on line 2"},
		{"pass of words", study + "a,A,1,0,first,321\n", 3, "number the passes"},
		{"pass missing", study + "a,A,1,0,,321\n", 3, "pass is missing"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			f, err := DecodeCSV(strings.NewReader(c.text))
			var problems table.Problems
			if !errors.As(err, &problems) {
				t.Fatalf("got %+v, %v, want problems", f, err)
			}
			if !slices.ContainsFunc(problems, func(n table.Note) bool { return n.Line == c.line && strings.Contains(n.String(), c.says) }) {
				t.Errorf("problems %v; want one on line %d that says %q", problems, c.line, c.says)
			}
		})
	}
}

// finite says where something below a value is not a finite number.
func finite(v reflect.Value, path string) error {
	switch v.Kind() {
	case reflect.Float64:
		if x := v.Float(); math.IsNaN(x) || math.IsInf(x, 0) {
			return fmt.Errorf("%s is %g", path, x)
		}
	case reflect.Pointer:
		if !v.IsNil() {
			return finite(v.Elem(), path)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if err := finite(v.Field(i), path+"."+v.Type().Field(i).Name); err != nil {
				return err
			}
		}
	case reflect.Slice:
		for i := range v.Len() {
			if err := finite(v.Index(i), fmt.Sprintf("%s[%d]", path, i)); err != nil {
				return err
			}
		}
	}
	return nil
}

// Whatever a file holds, there are problems, or values and a study that can be
// worked out without a figure that is none.
func FuzzDecodeCSV(f *testing.F) {
	f.Add("subject,rater,trial,value\n1,A,1,146\n1,A,2,140\n2,A,1,148\n2,B,1,152\n")
	f.Add("subject;value\n1;0,1\n1;0,1\n2;0,3\n2;0,3\n")
	f.Add("subject,fitter,day,level_mm,pass,girth_mm\na,A,1,0,1,320\na,A,1,30,1,330\na,B,1,0,1,322\na,B,1,30,1,331\nb,A,1,0,1,300\nb,A,1,9,1,300\n")
	f.Add("subject,level_cm,girth_cm\na,0,32\na,0,32.2\na,3,33\na,3,33\na,6,34\n")
	f.Fuzz(func(t *testing.T, text string) {
		file, err := DecodeCSV(strings.NewReader(text))
		if err != nil {
			var problems table.Problems
			if !errors.As(err, &problems) || len(problems) == 0 || len(problems) > table.MaxProblems {
				t.Fatalf("error %v", err)
			}
			return
		}
		values := file.Values
		if file.Girths {
			e, err := InForce([]Study{file.Study}, "")
			if errors.Is(err, ErrBadReading) {
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			if err := finite(reflect.ValueOf(e), "estimate"); err != nil {
				t.Fatal(err)
			}
			sees, err := e.Sees()
			if err != nil || finite(reflect.ValueOf(sees), "") != nil {
				t.Fatalf("sees %+v, %v", sees, err)
			}
			if values, err = file.Study.Volumes(); err != nil {
				t.Fatal(err)
			}
			if len(values) == 0 {
				return
			}
		}
		r, err := Analyse(values)
		if err != nil {
			t.Fatal(err)
		}
		if err := finite(reflect.ValueOf(r), "report"); err != nil {
			t.Fatal(err)
		}
	})
}

// A method stands in the place of the rater; both at once is a doubt.
func TestMethodIsARater(t *testing.T) {
	f, err := DecodeCSV(strings.NewReader("subject,method,trial,value\na,tape,1,1100\na,scan,1,1120\n"))
	if err != nil || len(f.Values) != 2 || f.Values[1].Rater != "scan" || len(f.Notes) != 0 {
		t.Errorf("got %+v, %v", f, err)
	}
	_, err = DecodeCSV(strings.NewReader("subject,rater,method,trial,value\na,A,tape,1,1100\n"))
	if problems := (table.Problems)(nil); !errors.As(err, &problems) || len(problems) != 1 || problems[0].Line != 1 {
		t.Errorf("rater and method: %v", err)
	}
}
