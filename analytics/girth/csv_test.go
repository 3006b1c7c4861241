package girth

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"fairlead/analytics/quantity"
	"fairlead/analytics/table"
)

const testToday = quantity.Date("2026-11-25")

func decode(t *testing.T, text string) Sheet {
	t.Helper()
	sheet, err := DecodeCSV(strings.NewReader(text), testToday)
	if err != nil {
		t.Fatalf("%q: %v", text, err)
	}
	return sheet
}

// Every way to write the same two girths gives the same profile.
func TestDecodeCSVForms(t *testing.T) {
	cases := []struct{ name, text string }{
		{"millimetres", "level_mm,girth_mm\n0,320\n25.4,330.2\n"},
		{"centimetres", "level_cm,girth_cm\n0,32\n2.54,33.02\n"},
		{"inches", "level_in,girth_in\n0,12.598425196850394\n1,13\n"},
		{"one unit for levels, another for girths", "level_in,girth_mm\n0,320\n1,330.2\n"},
		{"semicolons and decimal comma", "level_mm;girth_mm\n0;320\n25,4;330,2\n"},
		{"semicolons and decimal point", "level_mm;girth_mm\n0;320\n25.4;330.2\n"},
		{"byte order mark and CRLF", "\ufefflevel_mm,girth_mm\r\n0,320\r\n25.4,330.2\r\n"},
		{"comments and blank lines", "# invented; by hand\n\n#\nlevel_mm,girth_mm\n\n0,320\n  \n25.4,330.2\n\n"},
		{"spaces and capitals", " Level_MM , Girth_mm\n 0 , 320 \n 25.4 , 330.2\n"},
		{"quoted cells", "\"level_mm\",\"girth_mm\"\n\"0\",\"320\"\n\"25.4\",\"330.2\"\n"},
		{"columns in another order", "girth_mm,level_mm\n320,0\n330.2,25.4\n"},
		{"rows in another order", "level_mm,girth_mm\n25.4,330.2\n0,320\n"},
		{"empty columns of a spreadsheet", "level_mm;girth_mm;;\n0;320;;\n25,4;330,2;;\n"},
		{"trailing empty cells", "level_mm,girth_mm\n0,320,,\n25.4,330.2,,\n"},
		{"no line end at the end", "level_mm,girth_mm\n0,320\n25.4,330.2"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			sheet := decode(t, c.text)
			if len(sheet.Visits) != 1 || len(sheet.Notes) != 0 {
				t.Fatalf("got %+v, want one visit and no note", sheet)
			}
			v := sheet.Visits[0]
			if v.Date != "" || v.Limb != quantity.Residual || v.Fitter != "" || v.MinutesOff != nil {
				t.Errorf("got %+v, want a residual limb and nothing else known", v)
			}
			for i, want := range []Reading{{LevelMM: 0, GirthMM: 320}, {LevelMM: 25.4, GirthMM: 330.2}} {
				got := v.Profile[i]
				if math.Abs(got.LevelMM-want.LevelMM) > 1e-9 || math.Abs(got.GirthMM-want.GirthMM) > 1e-9 {
					t.Errorf("level %d: got %+v, want %+v", i, got, want)
				}
			}
		})
	}
}

func TestDecodeCSVVisits(t *testing.T) {
	sheet := decode(t, `date,limb,level_mm,pass,girth_mm,fitter,minutes_since_doffing,weather
2026-06-02,residual,-10,1,310,B,12,dry
2026-06-02,residual,30,1,322,,12,dry
2026-03-02,sound,0,,360,A,,dry
2026-03-02,sound,0,,362,A,,dry
2026-03-02,sound,40,,350,A,,dry
2026-03-02,Residual,0,2,322,A,14,dry
2026-03-02,residual,0,1,320,A,10,dry
2026-03-02,residual,30,1,335,A,10,dry
2026-03-02,residual,30,,337,A,14,dry
`)
	var names []string
	for _, v := range sheet.Visits {
		names = append(names, fmt.Sprintf("%s %s %s %d", v.Date, v.Limb, v.Fitter, v.Line))
	}
	want := []string{"2026-03-02 residual A 7", "2026-03-02 sound A 4", "2026-06-02 residual B 2"}
	if !slices.Equal(names, want) {
		t.Fatalf("visits %q, want %q", names, want)
	}
	first := sheet.Visits[0]
	if first.MinutesOff == nil || *first.MinutesOff != 10 {
		t.Errorf("minutes since doffing: got %v, want those of the first reading, 10", first.MinutesOff)
	}
	if got := first.Profile.Girths(); !slices.Equal(got, []float64{321, 336}) {
		t.Errorf("girths %v, want the means 321 and 336", got)
	}
	if sheet.Visits[1].MinutesOff != nil || sheet.Visits[1].Profile[0].Passes != 2 {
		t.Errorf("sound limb: got %+v, want no minutes and two passes by order of appearance", sheet.Visits[1])
	}
	if len(sheet.Notes) != 1 || sheet.Notes[0].Line != 1 || !strings.Contains(sheet.Notes[0].What, "weather") {
		t.Errorf("notes %v, want one on the column that is not used", sheet.Notes)
	}
}

const (
	csvHead = "date,limb,level_mm,pass,girth_mm\n"
	csvGood = "2026-03-02,residual,0,1,320\n2026-03-02,residual,30,1,335\n"
)

// badCSV are files that are refused, with a line that must be named and what
// must be said about it.
var badCSV = []struct {
	name, text string
	line       int
	says       []string
}{
	{"empty", "", 1, []string{"empty", "heading"}},
	{"comments only", "# nothing\n", 1, []string{"empty"}},
	{"heading only", csvHead, 1, []string{"no readings"}},
	{"no heading", "0,320\n30,335\n", 1, []string{"girth_mm", "level_mm"}},
	{"girth without unit", "level_mm,girth\n0,320\n", 1, []string{`"girth"`, "girth_mm, girth_cm or girth_in"}},
	{"unit in brackets", "level_mm,girth (cm)\n0,320\n", 1, []string{"girth (cm)"}},
	{"girth by another name", "level_mm,circumference_mm\n0,320\n", 1, []string{"circumference_mm", "girth_mm, girth_cm or girth_in"}},
	{"a cell full of text", "level_mm,girth_mm\n0," + strings.Repeat("long ", 100) + "\n", 2, []string{strings.Repeat("long ", 8) + "…"}},
	{"number without an end", "level_mm,girth_mm\n0," + strings.Repeat("9", 400) + "\n", 2, []string{"plain number"}},
	{"level without unit", "level,girth_mm\n0,320\n", 1, []string{`"level"`, "level_mm"}},
	{"two units", "level_mm,girth_mm,girth_cm\n0,320,\n", 1, []string{"cm", "mm", "one unit"}},
	{"column twice", "level_mm,girth_mm,girth_mm\n0,320,320\n", 1, []string{"girth_mm", "twice"}},
	{"tabs", "level_mm\tgirth_mm\n0\t320\n", 1, []string{"tabs"}},
	{"tabs behind a date", "date\tlevel_mm\tgirth_mm\n2026-03-02\t0\t320\n", 1, []string{"tabs", "commas or semicolons"}},
	{"zero", csvHead + csvGood + "2026-03-02,residual,60,1,0\n", 4, []string{"girth of 0 mm", "20–2000 mm"}},
	{"negative", csvHead + csvGood + "2026-03-02,residual,60,1,-330\n", 4, []string{"-330", "20–2000"}},
	{"absurd", csvHead + csvGood + "2026-03-02,residual,60,1,3300\n", 4, []string{"3300", "20–2000"}},
	{"missing girth", csvHead + csvGood + "2026-03-02,residual,60,1,\n", 4, []string{"girth is missing"}},
	{"missing level", csvHead + csvGood + "2026-03-02,residual,,1,330\n", 4, []string{"level is missing"}},
	{"NaN", csvHead + csvGood + "2026-03-02,residual,60,1,NaN\n", 4, []string{"NaN", "plain number"}},
	{"Inf", csvHead + csvGood + "2026-03-02,residual,60,1,Inf\n", 4, []string{"Inf", "plain number"}},
	{"exponent", csvHead + csvGood + "2026-03-02,residual,60,1,3e2\n", 4, []string{"3e2"}},
	{"hexadecimal", csvHead + csvGood + "2026-03-02,residual,60,1,0x140\n", 4, []string{"0x140"}},
	{"text", csvHead + csvGood + "2026-03-02,residual,60,1,three\n", 4, []string{"three", "plain number"}},
	{"unit in the cell", csvHead + csvGood + "2026-03-02,residual,60,1,330 mm\n", 4, []string{"330 mm", "without unit"}},
	{"two signs", csvHead + csvGood + "2026-03-02,residual,--60,1,330\n", 4, []string{"--60"}},
	{"quoted decimal comma between commas", csvHead + csvGood + "2026-03-02,residual,60,1,\"330,5\"\n", 4, []string{"330,5", "semicolons"}},
	{"bare decimal comma between commas", csvHead + csvGood + "2026-03-02,residual,60,1,330,5\n", 4, []string{"6 cells", "heading 5", "33.5"}},
	{"thousands mark", "level_mm;girth_mm\n0;320\n30;1,234.5\n", 3, []string{"1,234.5", "thousands mark"}},
	{"thousands point", "level_mm;girth_mm\n0;320\n30;1.234\n", 3, []string{"1.234", "without a mark"}},
	{"level with a doubtful point", "level_mm;girth_mm\n0;320\n1.234;320\n", 3, []string{"1.234", "thousands or as a fraction"}},
	{"short row", csvHead + csvGood + "2026-03-02,residual,60\n", 4, []string{"3 cells"}},
	{"open quotation mark", csvHead + csvGood + "2026-03-02,\"residual,60,1,330\n", 4, []string{"quotation"}},
	{"date in another form", csvHead + csvGood + "2.3.2026,residual,60,1,330\n", 4, []string{"2.3.2026", "2026-03-02"}},
	{"date that does not exist", csvHead + csvGood + "2026-02-30,residual,60,1,330\n", 4, []string{"2026-02-30"}},
	{"date in the future", csvHead + csvGood + "2026-11-26,residual,60,1,330\n", 4, []string{"future"}},
	{"missing date", csvHead + csvGood + ",residual,60,1,330\n", 4, []string{"date is missing"}},
	{"unknown limb", csvHead + csvGood + "2026-03-02,left,60,1,330\n", 4, []string{"left", "residual or sound"}},
	{"pass zero", csvHead + csvGood + "2026-03-02,residual,60,0,330\n", 4, []string{"pass"}},
	{"pass as text", csvHead + csvGood + "2026-03-02,residual,60,first,330\n", 4, []string{"first"}},
	{"repeated reading", csvHead + csvGood + "2026-03-02,residual,30,1,336\n", 4, []string{"level 30 mm", "line 3"}},
	{"one level", csvHead + "2026-03-02,residual,0,1,320\n2026-03-02,residual,0,2,321\n", 2, []string{"only one level", "residual limb on 2026-03-02"}},
	{"centimetres among millimetres", csvHead + csvGood + "2026-03-02,residual,60,1,33.5\n", 4, []string{"33.5", "units"}},
	{"level beyond the limb", csvHead + csvGood + "2026-03-02,residual,6000,1,330\n", 4, []string{"6000"}},
	{"two fitters at once", "level_mm,girth_mm,fitter\n0,320,A\n30,335,B\n", 3, []string{`"B"`, "line 2", `"A"`}},
	{"minutes below zero", "level_mm,girth_mm,minutes_since_doffing\n0,320,-1\n30,335,5\n", 2, []string{"minutes"}},
}

func TestDecodeCSVProblems(t *testing.T) {
	for _, c := range badCSV {
		t.Run(c.name, func(t *testing.T) {
			sheet, err := DecodeCSV(strings.NewReader(c.text), testToday)
			var problems Problems
			if !errors.As(err, &problems) {
				t.Fatalf("got %+v, %v, want Problems", sheet, err)
			}
			if len(sheet.Visits) != 0 {
				t.Errorf("got %d visits beside the problems, want none", len(sheet.Visits))
			}
			for _, says := range c.says {
				if !slices.ContainsFunc(problems, func(n Note) bool { return n.Line == c.line && strings.Contains(n.String(), says) }) {
					t.Errorf("problems %v; want one on line %d that says %q", problems, c.line, says)
				}
			}
		})
	}
}

func TestDecodeCSVTellsAllProblemsUpToTwenty(t *testing.T) {
	text := "level_mm,girth_mm\n0,320\nx,320\n30,y\n60,330\n90,0\n"
	var problems Problems
	if _, err := DecodeCSV(strings.NewReader(text), testToday); !errors.As(err, &problems) || len(problems) != 3 {
		t.Errorf("got %v, want the three that are not a consequence of another", problems)
	}
	text = "level_mm,girth_mm\n" + strings.Repeat("x,y\n", 1000)
	if _, err := DecodeCSV(strings.NewReader(text), testToday); !errors.As(err, &problems) || len(problems) != MaxProblems {
		t.Errorf("got %d problems, want %d", len(problems), MaxProblems)
	}
}

func TestDecodeCSVRefusesWhatIsTooMuch(t *testing.T) {
	cases := []struct{ name, text, says string }{
		{"bytes", "level_mm,girth_mm\n" + strings.Repeat("#", table.MaxBytes), "larger than 16 MB"},
		{"rows", "level_mm,girth_mm\n" + strings.Repeat("0,320\n", table.MaxRows+1), "more than 200000 rows"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if _, err := DecodeCSV(strings.NewReader(c.text), testToday); err == nil || !strings.Contains(err.Error(), c.says) {
				t.Errorf("got %v, want it to say %q", err, c.says)
			}
		})
	}
}

func TestDecodeCSVNotes(t *testing.T) {
	cases := []struct {
		name, text string
		line       int
		says       string
	}{
		{"M1 passes that disagree", "level_mm,girth_mm\n0,320\n0,329\n30,335\n", 2, "differ by 9.0 mm"},
		{"M5 step that no limb makes", "level_mm,girth_mm\n0,320\n30,235\n60,230\n", 3, "from 320 mm"},
		{"levels out of order", "level_mm,pass,girth_mm\n0,1,320\n60,1,330\n30,1,335\n", 4, "out of order"},
		{"unknown column", "level_mm,girth_mm,gitrh_mm\n0,320,1\n30,330,1\n", 1, "gitrh_mm"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			notes := decode(t, c.text).Notes
			if len(notes) != 1 || notes[0].Line != c.line || !strings.Contains(notes[0].String(), c.says) {
				t.Errorf("notes %v, want one on line %d that says %q", notes, c.line, c.says)
			}
		})
	}
	// Going up the limb and a second pass are not out of order.
	if notes := decode(t, "level_mm,pass,girth_mm\n60,1,330\n30,1,335\n0,1,320\n0,2,321\n30,2,335\n").Notes; len(notes) != 0 {
		t.Errorf("notes %v, want none", notes)
	}
}

type brokenReader struct{}

var errTorn = errors.New("torn")

func (brokenReader) Read([]byte) (int, error) { return 0, errTorn }

func TestDecodeCSVPassesReadErrorsOn(t *testing.T) {
	if _, err := DecodeCSV(brokenReader{}, testToday); !errors.Is(err, errTorn) {
		t.Errorf("got %v, want the reader's error", err)
	}
}

// Whatever a file holds, there are either problems or visits that can be used.
func FuzzDecodeCSV(f *testing.F) {
	f.Add("date,limb,level_mm,pass,girth_mm\n2026-03-02,residual,0,1,320\n2026-03-02,residual,30,1,335\n")
	f.Add("\ufefflevel_cm;girth_cm;fitter;minutes_since_doffing\r\n0;32,0;A;5\r\n3;33,5;A;5\r\n")
	f.Add("level_in,girth_in\n0,12\n0,12\n1,\"13\"\n# end\n")
	f.Add("level_mm,girth_mm\n0.04,320\n0,320\n0.08,320\n9,300\n")
	f.Add("level_mm,pass,girth_mm\n0,,320\n0,1,320\n0,,320\n9,300\n\"")
	f.Fuzz(func(t *testing.T, text string) {
		sheet, err := DecodeCSV(strings.NewReader(text), testToday)
		if err != nil {
			var problems Problems
			if !errors.As(err, &problems) || len(problems) == 0 || len(problems) > MaxProblems {
				t.Fatalf("error %v", err)
			}
			lines := strings.Count(text, "\n") + 1
			for _, p := range problems {
				if p.Line < 1 || p.Line > lines || p.What == "" || p.Do == "" {
					t.Fatalf("problem %+v of a file of %d lines", p, lines)
				}
			}
			return
		}
		if len(sheet.Visits) == 0 {
			t.Fatal("neither problems nor visits")
		}
		for _, v := range sheet.Visits {
			if len(v.Profile) < 2 || v.Line < 1 {
				t.Fatalf("visit %+v can't be used", v)
			}
			for _, at := range v.Profile {
				if !(at.GirthMM >= MinGirthMM && at.GirthMM <= MaxGirthMM && math.Abs(at.LevelMM) <= MaxLevelMM) {
					t.Fatalf("pooled %+v", at)
				}
			}
		}
	})
}

// A file in long form gives one visit for each date and limb.
func ExampleDecodeCSV() {
	sheet, err := DecodeCSV(strings.NewReader("level_cm;girth_cm\n0;32,0\n3;33,5\n3;33,7\n"), "")
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, at := range sheet.Visits[0].Profile {
		fmt.Printf("%g mm: %g mm of %d\n", at.LevelMM, at.GirthMM, at.Passes)
	}
	_, err = DecodeCSV(strings.NewReader("level_cm,girth_cm\n0,32.0\n3,33.5 cm\n"), "")
	fmt.Println(err)
	// Output:
	// 0 mm: 320 mm of 1
	// 30 mm: 336 mm of 2
	// line 3: the girth is "33.5 cm"; write a plain number such as 321.5, without unit or words
}

// TestSecondRoundCounts: of two rounds of one date the second counts when it is
// complete, and pairs are those of a round.
func TestSecondRoundCounts(t *testing.T) {
	const first = "date,level_mm,girth_mm,pass,round\n2026-03-02,0,320,1,1\n2026-03-02,0,320,2,1\n2026-03-02,30,330,1,1\n"
	tests := []struct {
		name, rest string
		want       float64 // mm at level 0
		passes     int
	}{
		{"one", "", 320, 2},
		{"two", "2026-03-02,0,310,1,2\n2026-03-02,30,321,1,2\n", 310, 1},
		{"two, last level first", "2026-03-02,30,321,1,2\n2026-03-02,0,310,1,2\n", 310, 1},
		{"broken off", "2026-03-02,0,310,1,2\n", 320, 2},
		{"no number is round 1", "2026-03-02,60,310,1,\n", 320, 2},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			sheet, err := DecodeCSV(strings.NewReader(first+tt.rest), "")
			if err != nil || len(sheet.Visits) != 1 {
				t.Fatalf("%+v, %v", sheet, err)
			}
			at := sheet.Visits[0].Profile[0]
			if at.GirthMM != tt.want || at.Passes != tt.passes || at.Reread {
				t.Errorf("%+v counts, want %g mm of %d", at, tt.want, tt.passes)
			}
		})
	}
	if _, err := DecodeCSV(strings.NewReader(first+"2026-03-02,0,310,1,3\n"), ""); err == nil {
		t.Error("a third round is taken")
	}
}
