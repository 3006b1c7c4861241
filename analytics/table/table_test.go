package table

import (
	"errors"
	"fmt"
	"strings"
	"testing"
)

// read returns all rows of a table as one text, and the reader.
func read(t *testing.T, text string, columns ...string) (string, *Reader) {
	t.Helper()
	r, err := Open(strings.NewReader(text), "name,value")
	if err != nil {
		t.Fatal(err)
	}
	if r.Err() != nil {
		return "", r
	}
	at := make([]int, len(columns))
	for i, name := range columns {
		at[i] = r.Column(name)
	}
	var rows []string
	for {
		row, ok := r.Next()
		if !ok {
			return strings.Join(rows, " "), r
		}
		cells := make([]string, len(at))
		for i, column := range at {
			cells[i] = row.Cell(column)
		}
		rows = append(rows, fmt.Sprintf("%d:%s", row.Line, strings.Join(cells, "/")))
	}
}

func TestReaderFindsColumnsByName(t *testing.T) {
	cases := []struct{ name, text, want string }{
		{"plain", "name,value\na,1\nb,2\n", "2:a/1/ 3:b/2/"},
		{"other order and capitals", "VALUE, Name \n1, a \n", "2:a/1/"},
		{"semicolons", "name;value\na;1,5\n", "2:a/1,5/"},
		{"mark, CRLF, comments and blank lines", "\ufeff# who\r\n\r\nname,value\r\n# no\r\na,1\r\n,\r\n", "5:a/1/"},
		{"cells a spreadsheet leaves", "name,value\na,1,,\n", "2:a/1/"},
		{"a cell of two lines", "name,value\n\"a\nb\",1\nc,2\n", "2:a\nb/1/ 4:c/2/"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			got, r := read(t, c.text, "name", "value", "absent")
			if got != c.want || r.Err() != nil {
				t.Errorf("got %q, %v, want %q", got, r.Err(), c.want)
			}
		})
	}
}

func TestReaderTellsWhatIsWrong(t *testing.T) {
	cases := []struct{ name, text, want string }{
		{"nothing", "", "line 1: the file is empty; start with a heading such as name,value"},
		{"tabs", "name\tvalue\n", "line 1: the columns are separated by tabs; save it with commas or semicolons between the columns"},
		{"twice", "name,value,name\n", "line 1: the column name is there twice; keep one of them"},
		{"a row too short", "name,value\na\n", "line 2: the row has 1 cells and the heading 2; give each column its cell"},
		{"open quotation", "name,value\n\"a,1\n", "line 2: the quotation marks are not in pairs; close or remove the quotation mark"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			_, r := read(t, c.text, "name", "value")
			if err := r.Err(); err == nil || err.Error() != c.want {
				t.Errorf("got %v, want %q", err, c.want)
			}
		})
	}
	_, r := read(t, "name,value\n"+strings.Repeat("a\n", 2*MaxProblems), "name")
	var problems Problems
	if !errors.As(r.Err(), &problems) || len(problems) != MaxProblems {
		t.Errorf("got %d problems, want %d", len(problems), MaxProblems)
	}
}

func TestReaderNumbersAndUnusedColumns(t *testing.T) {
	_, comma := read(t, "name,value\n")
	_, semicolon := read(t, "name;value\n")
	for _, c := range []struct {
		r    *Reader
		text string
		want float64
		ok   bool
	}{
		{comma, "1.5", 1.5, true}, {semicolon, "1,5", 1.5, true}, {comma, "−2", -2, true},
		{comma, "1,5", 0, false}, {semicolon, "1.234,5", 0, false}, {comma, "NaN", 0, false},
		{comma, "1e3", 0, false}, {comma, "0x1", 0, false}, {comma, "", 0, false}, {comma, "3 mm", 0, false},
	} {
		got, err := c.r.Number(c.text)
		if got != c.want || (err == nil) != c.ok {
			t.Errorf("Number(%q) = %g, %v; want %g, ok %v", c.text, got, err, c.want, c.ok)
		}
	}
	if got := comma.Unused(); len(got) != 2 {
		t.Errorf("unused %q, want both", got)
	}
	comma.Column("name")
	if got := comma.Unused(); len(got) != 1 || got[0] != "value" {
		t.Errorf("unused %q, want value", got)
	}
}
