package drawing_test

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"fairlead/analytics/quantity"
	"fairlead/server/drawing"
)

// figure reads the gap of one reading.
func figure(mm float64) drawing.Gap {
	return drawing.Gap{MM: mm, Known: true, Words: fmt.Sprintf("%.1f", mm)}
}

// gaps reads anterior, lateral, posterior, medial; a negative figure is left out.
func gaps(mm ...float64) map[quantity.Direction]drawing.Gap {
	read := map[quantity.Direction]drawing.Gap{}
	for i, d := range quantity.Directions {
		if mm[i] >= 0 {
			read[d] = figure(mm[i])
		}
	}
	return read
}

var numbers = regexp.MustCompile(`-?\d+(?:\.\d+)?`)

var arcsAndMoves = regexp.MustCompile(`[MA][^MAZ]*`)

// ends returns the points that a path's arcs and moves end at.
func ends(t interface{ Fatalf(string, ...any) }, path string) [][2]float64 {
	var points [][2]float64
	for _, command := range arcsAndMoves.FindAllString(path, -1) {
		n := numbers.FindAllString(command, -1)
		x, errX := strconv.ParseFloat(n[len(n)-2], 64)
		y, errY := strconv.ParseFloat(n[len(n)-1], 64)
		if errX != nil || errY != nil {
			t.Fatalf("path %q holds no point", command)
		}
		points = append(points, [2]float64{x, y})
	}
	return points
}

func TestRingsGapOnEachAxisIsTheReading(t *testing.T) {
	rings, err := drawing.DrawRings([]drawing.Section{{Gaps: gaps(5.6, 4.8, 2.4, 4.6)}}, quantity.Right, 58)
	if err != nil {
		t.Fatal(err)
	}
	r := rings.Rings[0]
	if rings.Times != 4 || !r.Closed {
		t.Fatalf("times %d, closed %v; want 4 and closed", rings.Times, r.Closed)
	}
	// The inside of the cover is 58 px for 58 mm, so 4 px is 1 mm of gap.
	inside := r.R - r.Wall/2
	want := [][2]float64{
		{r.CX, r.CY - inside + 4*5.6}, {r.CX + inside - 4*4.8, r.CY}, {r.CX, r.CY + inside - 4*2.4}, {r.CX - inside + 4*4.6, r.CY},
	}
	got := ends(t, r.Inner)
	for i, w := range want {
		if math.Hypot(got[i][0]-w[0], got[i][1]-w[1]) > 0.02 {
			t.Errorf("%s end of the socket at %v, want %v", quantity.Directions[i], got[i], w)
		}
	}
}

func TestRingsMedialIsTowardsTheOtherLimb(t *testing.T) {
	for side, want := range map[quantity.Side]string{quantity.Right: "end", quantity.Left: "start"} {
		rings, err := drawing.DrawRings([]drawing.Section{{Gaps: map[quantity.Direction]drawing.Gap{quantity.Medial: figure(3)}}}, side, 60)
		if err != nil {
			t.Fatal(err)
		}
		if got := rings.Rings[0].Labels[0].Anchor; got != want {
			t.Errorf("%s limb seen from above: medial label is anchored %q, want %q", side, got, want)
		}
	}
}

func TestRingsUnreadSidesStayOpen(t *testing.T) {
	for _, test := range []struct {
		name   string
		gaps   map[quantity.Direction]drawing.Gap
		closed bool
		arcs   int
	}{
		{"all", gaps(4, 4, 4, 4), true, 4},
		{"three", gaps(4, 4, 4, -1), false, 4},
		{"opposite", gaps(4, -1, 4, -1), false, 4},
		{"one", gaps(-1, 4, -1, -1), false, 2},
		{"none", gaps(-1, -1, -1, -1), false, 0},
		{"not reached", map[quantity.Direction]drawing.Gap{quantity.Medial: {Words: "not reached"}}, false, 0},
	} {
		t.Run(test.name, func(t *testing.T) {
			rings, err := drawing.DrawRings([]drawing.Section{{Gaps: test.gaps}}, quantity.Left, 60)
			if err != nil {
				t.Fatal(err)
			}
			r := rings.Rings[0]
			if got := strings.Count(r.Inner, "A"); got != test.arcs || r.Closed != test.closed {
				t.Errorf("%d arcs, closed %v; want %d, %v", got, r.Closed, test.arcs, test.closed)
			}
			if test.name == "not reached" && !slices.Equal(r.Labels[0].Lines, []string{"not", "reached"}) {
				t.Errorf("lines = %q, want one word a line beside the cover", r.Labels[0].Lines)
			}
			if len(r.Labels) != len(test.gaps) {
				t.Errorf("%d labels, want one for each side that is mentioned, %d", len(r.Labels), len(test.gaps))
			}
		})
	}
}

func TestRingsContactTouchesAndTightIsHeavy(t *testing.T) {
	section := drawing.Section{Gaps: gaps(4, 4, 4, 4)}
	section.Gaps[quantity.Posterior] = drawing.Gap{Known: true, Contact: true, Tight: true, Words: "contact"}
	rings, err := drawing.DrawRings([]drawing.Section{section}, quantity.Left, 60)
	if err != nil {
		t.Fatal(err)
	}
	r := rings.Rings[0]
	if got, want := ends(t, r.Heavy)[0], ([2]float64{r.CX, r.CY + r.R - r.Wall/2}); got != want {
		t.Errorf("the heavy stroke starts at %v, want the inside of the cover, %v", got, want)
	}
	for _, l := range r.Labels {
		if l.Tight != slices.Equal(l.Lines, []string{"contact"}) {
			t.Errorf("label %q: tight %v", l.Lines, l.Tight)
		}
	}
}

func TestRingsOneScaleForARow(t *testing.T) {
	rings, err := drawing.DrawRings([]drawing.Section{{Gaps: gaps(4, 4, 4, 4)}, {Gaps: gaps(15, 4, 4, 4)}}, quantity.Left, 58)
	if err != nil {
		t.Fatal(err)
	}
	// 15 mm leaves room for two times life (30 of 38 px), not for three.
	if rings.Times != 2 {
		t.Errorf("times = %d, want 2", rings.Times)
	}
	unsized, err := drawing.DrawRings([]drawing.Section{{Gaps: gaps(4, 4, 4, 4)}}, quantity.Left, 0)
	if err != nil || unsized.Times != 0 {
		t.Errorf("without a size: times %d, err %v; want no figure", unsized.Times, err)
	}
}

func TestRingsBadInput(t *testing.T) {
	for _, test := range []struct {
		name   string
		gap    float64
		side   quantity.Side
		radius float64
		want   string
	}{
		{"below zero", -1, quantity.Left, 60, "gap -1 mm lateral"},
		{"absurd", 500, quantity.Left, 60, "gap 500 mm"},
		{"not a number", math.NaN(), quantity.Left, 60, "gap NaN mm"},
		{"side", 4, "middle", 60, `side "middle"`},
		{"radius", 4, quantity.Left, math.NaN(), "radius"},
	} {
		section := drawing.Section{Gaps: map[quantity.Direction]drawing.Gap{quantity.Lateral: figure(test.gap)}}
		if _, err := drawing.DrawRings([]drawing.Section{section}, test.side, test.radius); err == nil || !strings.Contains(err.Error(), test.want) {
			t.Errorf("%s: err = %v, want %q", test.name, err, test.want)
		}
	}
}

func TestRingsStayInsideTheCover(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		read := map[quantity.Direction]drawing.Gap{}
		for _, d := range quantity.Directions {
			switch rapid.IntRange(0, 3).Draw(t, "kind") {
			case 0:
				read[d] = drawing.Gap{Known: true, Contact: true, Tight: true}
			case 1, 2:
				g := figure(rapid.Float64Range(0, 200).Draw(t, "gap"))
				g.Tight = rapid.Bool().Draw(t, "tight")
				read[d] = g
			}
		}
		side := rapid.SampledFrom(quantity.Sides).Draw(t, "side")
		rings, err := drawing.DrawRings([]drawing.Section{{Gaps: read}}, side, rapid.Float64Range(0, 150).Draw(t, "radius"))
		if err != nil {
			t.Fatal(err)
		}
		r := rings.Rings[0]
		for _, p := range append(ends(t, r.Inner), ends(t, r.Heavy)...) {
			if d := math.Hypot(p[0]-r.CX, p[1]-r.CY); !(d <= r.R-r.Wall/2+0.02) {
				t.Fatalf("%v lies outside the cover", p)
			}
		}
		for _, l := range r.Labels {
			if l.X < 0 || l.X > r.Width || l.Y < 0 || l.Y > r.Height {
				t.Fatalf("label at %v, %v is outside the drawing", l.X, l.Y)
			}
		}
	})
}
