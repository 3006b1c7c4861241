// Package drawing turns measurements into the program's own small drawings:
// the limb drawn from its girths, the cover and the socket as nested rings, and
// the map of girth change by level and visit. It returns numbers, SVG path data
// and words, never markup: the elements are in the templates limb, rings and
// changemap of package web, with presentation attributes only, so that a strict
// content security policy holds and user text is only ever text.
//
// Coordinates are in the units of a drawing's view box, x to the right and y
// down; on the page one unit is one CSS pixel. All words come in already
// translated.
package drawing

import "strconv"

// number writes a coordinate with two decimals at most: a hundredth of a CSS
// pixel is finer than any screen or printer shows.
func number(v float64) string {
	text := strconv.FormatFloat(v, 'f', 2, 64)
	for text[len(text)-1] == '0' {
		text = text[:len(text)-1]
	}
	if text[len(text)-1] == '.' {
		text = text[:len(text)-1]
	}
	if text == "-0" {
		return "0"
	}
	return text
}

// point writes one coordinate pair of path data.
func point(x, y float64) string { return number(x) + " " + number(y) }
