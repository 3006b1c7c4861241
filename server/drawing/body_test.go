package drawing_test

import (
	"strings"
	"testing"

	"fairlead/analytics/quantity"
	"fairlead/server/drawing"
)

// TestBodySides checks which side of the page is the outer one: a person who
// looks at somebody from the front has that person's left on their own right.
func TestBodySides(t *testing.T) {
	tests := []struct {
		side        quantity.Side
		front, back string // the directions from left to right
	}{
		{quantity.Left, "medial anterior lateral", "lateral posterior medial"},
		{quantity.Right, "lateral anterior medial", "medial posterior lateral"},
		{"", "medial anterior lateral", "lateral posterior medial"},
	}
	for _, tt := range tests {
		b := drawing.DrawBody(quantity.Segments(quantity.Transtibial), tt.side)
		for i, want := range []string{tt.front, tt.back} {
			var got []string
			for _, column := range b.Views[i].Columns {
				got = append(got, string(column.Direction))
			}
			if strings.Join(got, " ") != want {
				t.Errorf("%q view %d: got %v, want %s", tt.side, i, got, want)
			}
		}
	}
}

// TestBodyHasEveryArea checks that every area of a level can be tapped, inside
// the drawing and with room for a finger on the narrowest phone.
func TestBodyHasEveryArea(t *testing.T) {
	for _, level := range quantity.AmputationLevels {
		b := drawing.DrawBody(quantity.Segments(level), quantity.Right)
		shown := map[quantity.Area]bool{}
		for _, v := range b.Views {
			for _, cell := range v.Cells {
				shown[cell.Area] = true
				if cell.Width < 44 || cell.Height < 44 || cell.X < 0 || cell.X+cell.Width > b.Width || cell.Y+cell.Height > b.Height {
					t.Errorf("%s: cell %+v in %v × %v", level, cell, b.Width, b.Height)
				}
			}
		}
		areas := quantity.Areas(level)
		for _, area := range areas {
			if !shown[area] {
				t.Errorf("%s: %s is not drawn", level, area)
			}
		}
		if len(shown) != len(areas) {
			t.Errorf("%s: %d areas drawn, want %d", level, len(shown), len(areas))
		}
		if b.Width > 288 {
			t.Errorf("%s: %v wide, a phone of 320 px has 288", level, b.Width)
		}
	}
}
