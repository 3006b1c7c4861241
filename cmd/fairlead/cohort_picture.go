package main

import (
	"bytes"
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"fairlead/analytics/trial"
)

// The picture, in pixels: a plot with room for the names of the rules to its right.
const (
	pictureWide, pictureHigh = 860, 460
	plotLeft, plotRight      = 56, 520
	plotTop, plotBottom      = 84, 396
	nameGap                  = 17 // between two names
	leastMark, mostMark      = 3, 8
)

// drawFound draws, as SVG, the share of limbs losing 1 % a month that each rule has
// found by each true loss, all at the same rate of false flags. The rule on the
// trend is told by its width and its dots; nothing is told by colour alone.
func drawFound(r *trial.Report) []byte {
	var svg bytes.Buffer
	o := r.Options
	fmt.Fprintf(&svg, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" font-family="sans-serif" font-size="13" fill="#222">`+"\n", pictureWide, pictureHigh)
	fmt.Fprintf(&svg, `<title>Losses found by each rule at the same rate of false flags</title>`+"\n")
	fmt.Fprintf(&svg, `<rect width="%d" height="%d" fill="#fff"/>`+"\n", pictureWide, pictureHigh)
	fmt.Fprintf(&svg, `<text x="16" y="26" font-size="16" font-weight="bold">Limbs losing 1 %% a month, found by the time they have lost so much</text>`+"\n")
	fmt.Fprintf(&svg, `<text x="16" y="48">All rules at %d false flags per 100 steady limb-years; %d limbs, %d visits, kind %s, seed %d</text>`+"\n",
		trial.FalseRate, o.Limbs, o.Visits, o.Setting, o.Seed)
	drawAxes(&svg)
	var names []namedLine
	for i, m := range r.Methods {
		if end, ok := drawLine(&svg, m, i == 0); ok {
			names = append(names, namedLine{m.FullName(), end, i == 0})
		}
	}
	drawNames(&svg, names)
	svg.WriteString("</svg>\n")
	return svg.Bytes()
}

// acrossOf is the place of a mark, and upOf that of a percentage.
func acrossOf(mark int) float64 {
	return plotLeft + (plotRight-plotLeft)*float64(mark-leastMark)/(mostMark-leastMark)
}

func upOf(percent float64) float64 { return plotBottom - (plotBottom-plotTop)*percent/100 }

func drawAxes(svg *bytes.Buffer) {
	for percent := 0; percent <= 100; percent += 20 {
		y := upOf(float64(percent))
		fmt.Fprintf(svg, `<path d="M%d %.1fH%d" stroke="#ddd"/><text x="%d" y="%.1f" text-anchor="end">%d</text>`+"\n",
			plotLeft, y, plotRight, plotLeft-8, y+4, percent)
	}
	for _, mark := range trial.Marks {
		fmt.Fprintf(svg, `<text x="%.1f" y="%d" text-anchor="middle">%d</text>`+"\n", acrossOf(mark), plotBottom+22, mark)
	}
	fmt.Fprintf(svg, `<text x="%d" y="%d" text-anchor="middle">true loss, %% of the first level</text>`+"\n", (plotLeft+plotRight)/2, plotBottom+46)
	fmt.Fprintf(svg, `<text x="%d" y="%d">limbs found, %%</text>`+"\n", 16, plotTop-8)
}

// drawLine draws what a rule finds at the marks that any limb reaches, and returns
// how high it ends; ok is false where there is none.
func drawLine(svg *bytes.Buffer, m trial.Method, ours bool) (end float64, ok bool) {
	colour, width := "#777", 1.2
	if ours {
		colour, width = "#8a3b12", 3
	}
	path, dots := "M", ""
	for i, mark := range trial.Marks {
		if math.IsNaN(m.FoundPercent[i]) {
			continue
		}
		x := acrossOf(mark)
		end, ok = upOf(m.FoundPercent[i]), true
		path += fmt.Sprintf("%.1f %.1f ", x, end)
		if ours {
			dots += fmt.Sprintf(`<circle cx="%.1f" cy="%.1f" r="4.5" fill="%s"/>`, x, end, colour)
		}
	}
	if ok {
		fmt.Fprintf(svg, `<path d="%s" fill="none" stroke="%s" stroke-width="%.1f"/>%s`+"\n", strings.TrimSpace(path), colour, width, dots)
	}
	return end, ok
}

// namedLine is the name of a line and where the line ends.
type namedLine struct {
	name string
	y    float64
	ours bool
}

// drawNames writes the names beside the ends of their lines, moved apart where
// they would lie on one another, each with a thin leader.
func drawNames(svg *bytes.Buffer, names []namedLine) {
	slices.SortStableFunc(names, func(a, b namedLine) int { return cmp.Compare(a.y, b.y) })
	placed := make([]float64, len(names))
	for i := range names {
		placed[i] = names[i].y
		if i > 0 {
			placed[i] = max(placed[i], placed[i-1]+nameGap)
		}
	}
	for i := len(names) - 1; i >= 0; i-- { // and up again from the bottom
		lowest := float64(plotBottom)
		if i < len(names)-1 {
			lowest = placed[i+1] - nameGap
		}
		placed[i] = min(placed[i], lowest)
	}
	for i, n := range names {
		weight := ""
		if n.ours {
			weight = ` font-weight="bold"`
		}
		fmt.Fprintf(svg, `<path d="M%d %.1fL%d %.1f" stroke="#bbb"/><text x="%d" y="%.1f"%s>%s</text>`+"\n",
			plotRight+6, n.y, plotRight+28, placed[i], plotRight+34, placed[i]+4, weight, escaped(n.name))
	}
}

// escaped writes what stands in a name for SVG.
func escaped(name string) string { return strings.ReplaceAll(name, ">", "&gt;") }
