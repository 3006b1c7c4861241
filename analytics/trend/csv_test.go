package trend

import (
	"errors"
	"strings"
	"testing"

	"fairlead/analytics/quantity"
	"fairlead/analytics/table"
)

const testToday = quantity.Date("2026-11-25")

func TestDecodeCSV(t *testing.T) {
	sheet, err := DecodeCSV(strings.NewReader("\ufeff# by hand\r\nFitter;Date;volume_ml;u_ml;series;weeks_since_amputation;method\r\n"+
		"Ash;2025-06-03;1012,5;15,2;new;8;Tape\r\n;2024-03-02;1147;16.6;old;;\r\nOak;2025-05-27;1020;15;new;;scan\r\nAsh;2025-06-03;1008;15;new;;tape\r\n"), testToday)
	if err != nil {
		t.Fatal(err)
	}
	if len(sheet.Series) != 2 || len(sheet.Notes) != 0 {
		t.Fatalf("got %+v, want two series and no note", sheet)
	}
	s := sheet.Series[1]
	want := []Visit{
		{"2025-05-27", 1020, 15, SourceOf("scan", "Oak", "")},
		{"2025-06-03", 1012.5, 15.2, SourceOf("tape", "Ash", "")},
		{"2025-06-03", 1008, 15, SourceOf("tape", "Ash", "")},
	}
	if s.Name != "new" || len(s.Visits) != 3 || s.WeeksSinceAmputation != 7 {
		t.Fatalf("got %+v, want three visits of the new series, 7 weeks after amputation", s)
	}
	for i, v := range want {
		if s.Visits[i] != v || s.Lines[i] != []int{5, 3, 6}[i] {
			t.Errorf("visit %d is %+v of line %d, want %+v", i, s.Visits[i], s.Lines[i], v)
		}
	}
	if old := sheet.Series[0]; old.Name != "old" || old.Visits[0].Source != "" || old.WeeksSinceAmputation != 0 {
		t.Errorf("got %+v, want the old series without a fitter", old)
	}
}

func TestDecodeCSVProblems(t *testing.T) {
	const head = "date,volume_ml,u_ml\n"
	var series strings.Builder
	series.WriteString("date,volume_ml,u_ml,series\n")
	for i := range maxSeries + 1 {
		series.WriteString("2026-03-02,1147,16," + strings.Repeat("x", i+1) + "\n")
	}
	cases := []struct {
		name, text string
		line       int
		says       string
	}{
		{"no such column", "date,volume,u_ml\n2026-03-02,1147,16\n", 1, "there is no column volume_ml"},
		{"no visits", head, 1, "no visits below the heading"},
		{"no volumes", head + "2026-03-02,,\n", 2, "no visits below the heading"},
		{"missing date", head + ",1147,16\n", 2, "date is missing"},
		{"missing uncertainty", head + "2026-03-02,1147,\n", 2, "the uncertainty is missing"},
		{"zero uncertainty", head + "2026-03-02,1147,0\n", 2, "uncertainty of 0 mL is not above zero"},
		{"negative volume", head + "2026-03-02,-1147,16\n", 2, "the volume of -1147 mL"},
		{"litres", head + "2026-03-02,0.147,0.016\n", 2, "check the typing and the unit"},
		{"large uncertainty", head + "2026-03-02,1147,1200\n", 2, "larger than what it belongs to"},
		{"words", head + "2026-03-02,1147 mL,16\n", 2, "without unit or words"},
		{"future", head + "2026-11-26,1147,16\n", 2, "future"},
		{"weeks below zero", "date,volume_ml,u_ml,weeks_since_amputation\n2026-03-02,1147,16,-1\n", 2, "give 0 to 5200 weeks"},
		{"weeks after the first visit", "date,volume_ml,u_ml,weeks_since_amputation\n2026-03-02,1147,16,\n2026-05-04,1147,16,3\n", 3, "after the first visit"},
		{"many series", series.String(), 102, "more than 100 series"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			sheet, err := DecodeCSV(strings.NewReader(c.text), testToday)
			var problems table.Problems
			if !errors.As(err, &problems) || len(sheet.Series) != 0 {
				t.Fatalf("got %+v, %v, want problems", sheet, err)
			}
			if p := problems[0]; p.Line != c.line || !strings.Contains(p.String(), c.says) {
				t.Errorf("got line %d: %s; want line %d to say %q", p.Line, p, c.line, c.says)
			}
		})
	}
	sheet, err := DecodeCSV(strings.NewReader("date,volume_ml,u_ml\n2026-03-02,1147,16\n2026-04-02,,\n"), testToday)
	if err != nil || len(sheet.Series[0].Visits) != 1 || len(sheet.Notes) != 1 || sheet.Notes[0].Line != 3 {
		t.Errorf("a visit without a volume: %+v, %v", sheet, err)
	}
	sheet, err = DecodeCSV(strings.NewReader("date,volume_ml,u_ml,mood\n2026-03-02,1147,16,fair\n"), testToday)
	if err != nil || len(sheet.Notes) != 1 || !strings.Contains(sheet.Notes[0].String(), "mood") {
		t.Errorf("a further column: %+v, %v", sheet.Notes, err)
	}
}

// Whatever a file holds, there are either problems or series that can be
// followed.
func FuzzDecodeCSV(f *testing.F) {
	f.Add("date,volume_ml,u_ml\n2026-03-02,1147,16.6\n2026-04-02,1140,16\n")
	f.Add("\ufeffdate;volume_ml;u_ml;fitter;series;weeks_since_amputation\r\n2025-06-03;1012,5;15,2;Ash;b;8\r\n2024-03-02;1147;16;;a;\r\n")
	f.Add("date,volume_ml,u_ml,method\n2026-03-02,1147,16,tape\n2026-03-02,1.0,1,scan\n2026-03-03,99999,1,tape\n")
	f.Fuzz(func(t *testing.T, text string) {
		sheet, err := DecodeCSV(strings.NewReader(text), testToday)
		if err != nil {
			var problems table.Problems
			if !errors.As(err, &problems) || len(problems) == 0 || len(problems) > table.MaxProblems {
				t.Fatalf("error %v", err)
			}
			return
		}
		if len(sheet.Series) == 0 {
			t.Fatal("neither problems nor series")
		}
		for _, s := range sheet.Series {
			r, err := Run(s.Visits, Options{WeeksSinceAmputation: s.WeeksSinceAmputation})
			if err != nil {
				t.Fatal(err)
			}
			check(t, r, len(s.Visits))
		}
	})
}

// Whatever the visits are, there is either an error about one of them or a
// result without a figure that is not finite.
func FuzzRun(f *testing.F) {
	f.Add([]byte{10, 100, 3, 0, 28, 101, 3, 1, 28, 90, 3, 0, 28, 140, 3, 2, 200, 95, 3, 0}, 0.0, -5.0)
	f.Add([]byte{0, 0, 0, 0, 255, 255, 255, 255, 0, 1, 1, 1}, 11.0, 8.0)
	f.Add([]byte{1, 100, 1, 0, 1, 100, 1, 1, 1, 100, 1, 2, 1, 100, 1, 3, 1, 100, 1, 4, 1, 100, 1, 5, 1, 100, 1, 6, 1, 100, 1, 7}, 77.0, -99.9)
	f.Fuzz(func(t *testing.T, bytes []byte, weeks, limit float64) {
		var visits []Visit
		day := 0
		for ; len(bytes) >= 4 && len(visits) < 60; bytes = bytes[4:] {
			day += int(bytes[0]) * int(bytes[0]) / 4
			v := float64(bytes[1]) * float64(bytes[1]) * 1.7
			visits = append(visits, Visit{
				Date: testStart.AddDays(day), VolumeML: v, UML: v * float64(bytes[2]) / 256, Source: SourceOf("", string(rune(bytes[3]%10)), ""),
			})
		}
		r, err := Run(visits, Options{WeeksSinceAmputation: weeks, LimitPercent: limit})
		var bad *ReadingError
		switch {
		case errors.As(err, &bad):
			if bad.Index < 0 || bad.Index >= len(visits) {
				t.Fatalf("error about visit %d of %d", bad.Index, len(visits))
			}
		case errors.Is(err, ErrNoVisits) || errors.Is(err, ErrBadOptions):
		case err != nil:
			t.Fatal(err)
		default:
			check(t, r, len(visits))
		}
	})
}
