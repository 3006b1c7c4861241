package drawing_test

import (
	"errors"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"fairlead/analytics/girth"
	"fairlead/analytics/quantity"
	"fairlead/server/drawing"
)

// profile makes a profile of levels evenly spaced from zero.
func profile(spacingMM float64, girthsMM ...float64) girth.Profile {
	var p girth.Profile
	for i, g := range girthsMM {
		p = append(p, girth.Pooled{LevelMM: spacingMM * float64(i), GirthMM: g, Passes: 2})
	}
	return p
}

// polyline reads "x y x y".
func polyline(t interface{ Fatalf(string, ...any) }, text string) [][2]float64 {
	var points [][2]float64
	fields := strings.Fields(text)
	for i := 0; i+1 < len(fields); i += 2 {
		x, errX := strconv.ParseFloat(fields[i], 64)
		y, errY := strconv.ParseFloat(fields[i+1], 64)
		if errX != nil || errY != nil {
			t.Fatalf("polyline %q: %v %v", text, errX, errY)
		}
		points = append(points, [2]float64{x, y})
	}
	return points
}

var commands = regexp.MustCompile(`[MCLQA][^MCLQA]*`)

// vertices returns the points that the commands of a path end at.
func vertices(t interface{ Fatalf(string, ...any) }, path string) [][2]float64 {
	var points [][2]float64
	for _, command := range commands.FindAllString(path, -1) {
		n := numbers.FindAllString(command, -1)
		points = append(points, polyline(t, strings.Join(n[len(n)-2:], " "))...)
	}
	return points
}

func TestLimbIsTrueToScale(t *testing.T) {
	now := profile(30, 334, 337, 321, 299, 278, 257)
	shape := drawing.Shape{Profile: now, Cap: quantity.SemiEllipsoid, CapDepthMM: 30}
	limb, err := drawing.DrawLimb(shape, drawing.Shape{}, now.Levels())
	if err != nil {
		t.Fatal(err)
	}
	if want := drawing.RowHeight / 30; math.Abs(limb.PerMM-want) > 1e-12 {
		t.Fatalf("scale = %v px per mm, want %v: 30 mm in a row of 44 px", limb.PerMM, want)
	}
	if want := drawing.RowHeight / 30 * 25.4 / 96; math.Abs(limb.OfLife-want) > 1e-12 {
		t.Errorf("of life = %v, want %v", limb.OfLife, want)
	}
	points := vertices(t, limb.Now)
	// Six levels down, the tip, the other end of the cap, five levels up.
	if len(points) != 13 {
		t.Fatalf("%d vertices, want 13: %s", len(points), limb.Now)
	}
	for i, at := range now {
		left, right := points[i], points[12-i]
		if width, want := right[0]-left[0], at.GirthMM/math.Pi*limb.PerMM; math.Abs(width-want) > 0.02 {
			t.Errorf("level %v: width %v, want the girth over π, %v", at.LevelMM, width, want)
		}
		if row := drawing.HeadHeight + drawing.RowHeight*(float64(i)+0.5); math.Abs(left[1]-row) > 0.011 || left[1] != right[1] {
			t.Errorf("level %v at %v and %v, want its row's middle, %v", at.LevelMM, left[1], right[1], row)
		}
		if bends := polyline(t, limb.Leaders[i]); bends[0][1] != bends[3][1] {
			t.Errorf("leader %d bends though levels and rows agree: %v", i, bends)
		}
	}
	if got, want := points[6][1]-points[5][1], 30*limb.PerMM; math.Abs(got-want) > 0.02 {
		t.Errorf("the end is %v deep, want %v", got, want)
	}
	if limb.Then != "" {
		t.Error("an outline was drawn with nothing to compare with")
	}
}

func TestLimbLeadersBendToTheirRows(t *testing.T) {
	now := girth.Profile{{LevelMM: -20, GirthMM: 230}, {LevelMM: 0, GirthMM: 240}, {LevelMM: 30, GirthMM: 228}, {LevelMM: 180, GirthMM: 205}}
	limb, err := drawing.DrawLimb(drawing.Shape{Profile: now}, drawing.Shape{}, now.Levels())
	if err != nil {
		t.Fatal(err)
	}
	for i, leader := range limb.Leaders {
		points := polyline(t, leader)
		if want := drawing.HeadHeight + drawing.RowHeight*(float64(i)+0.5); points[3][1] != want || points[3][0] != limb.Width {
			t.Errorf("leader %d ends at %v, want its row at %v", i, points[3], want)
		}
		if want := points[0][1]; points[1][1] != want {
			t.Errorf("leader %d leaves its level before the limb's side: %v", i, points)
		}
	}
}

func TestLimbEnds(t *testing.T) {
	now := profile(30, 300, 290, 280)
	for _, test := range []struct {
		name  string
		kind  quantity.CapKind
		depth float64
		want  string // commands of the path
	}{
		{"open", quantity.SemiEllipsoid, 0, "MCCMCC"},
		{"half ellipse", quantity.SemiEllipsoid, 30, "MCCAACC"},
		{"parabola", quantity.Paraboloid, 30, "MCCQCC"},
		{"cone", quantity.ConeCap, 30, "MCCLLCC"},
		{"broad", quantity.NoCap, 30, "MCCLQLQLCC"},
	} {
		limb, err := drawing.DrawLimb(drawing.Shape{Profile: now, Cap: test.kind, CapDepthMM: test.depth}, drawing.Shape{}, now.Levels())
		if err != nil {
			t.Fatal(err)
		}
		if got := regexp.MustCompile(`[^A-Z]`).ReplaceAllString(limb.Now, ""); got != test.want {
			t.Errorf("%s: path commands %s, want %s", test.name, got, test.want)
		}
	}
}

func TestLimbBadInput(t *testing.T) {
	good := drawing.Shape{Profile: profile(30, 300, 290)}
	one := drawing.Shape{Profile: profile(30, 300)}
	if _, err := drawing.DrawLimb(one, drawing.Shape{}, []float64{0}); !errors.Is(err, girth.ErrTooFewLevels) {
		t.Errorf("one level: err = %v, want ErrTooFewLevels", err)
	}
	for _, test := range []struct {
		name string
		now  drawing.Shape
		rows []float64
		want string
	}{
		{"no rows", good, nil, "without table rows"},
		{"rows out of order", good, []float64{0, 30, 30}, "row 3, level 30 mm"},
		{"row not a number", good, []float64{0, math.NaN()}, "row 2"},
		{"depth", drawing.Shape{Profile: good.Profile, CapDepthMM: -1}, []float64{0, 30}, "depth of the end -1"},
		{"depth not a number", drawing.Shape{Profile: good.Profile, CapDepthMM: math.NaN()}, []float64{0, 30}, "depth of the end NaN"},
	} {
		if _, err := drawing.DrawLimb(test.now, drawing.Shape{}, test.rows); err == nil || !strings.Contains(err.Error(), test.want) {
			t.Errorf("%s: err = %v, want %q", test.name, err, test.want)
		}
	}
}

func TestLimbStaysInItsBoxAndIsSymmetric(t *testing.T) {
	shape := rapid.Custom(func(t *rapid.T) drawing.Shape {
		var p girth.Profile
		level := rapid.Float64Range(-100, 100).Draw(t, "first")
		for range rapid.IntRange(2, 14).Draw(t, "levels") {
			p = append(p, girth.Pooled{LevelMM: level, GirthMM: rapid.Float64Range(20, 2000).Draw(t, "girth"), Passes: 2})
			level += rapid.Float64Range(5, 80).Draw(t, "step")
		}
		return drawing.Shape{
			Profile: p, Cap: rapid.SampledFrom(quantity.CapKinds).Draw(t, "cap"),
			CapDepthMM: rapid.SampledFrom([]float64{0, 10, 60}).Draw(t, "depth"),
		}
	})
	rapid.Check(t, func(t *rapid.T) {
		now := shape.Draw(t, "now")
		then := drawing.Shape{}
		if rapid.Bool().Draw(t, "compared") {
			then = shape.Draw(t, "then")
		}
		limb, err := drawing.DrawLimb(now, then, now.Profile.Levels())
		if err != nil {
			t.Fatal(err)
		}
		inside := func(p [2]float64) bool {
			return p[0] >= 0 && p[0] <= limb.Width && p[1] >= 0 && p[1] <= limb.Height
		}
		var xs float64
		points := vertices(t, limb.Now)
		for _, p := range append(points, vertices(t, limb.Then)...) {
			if !inside(p) {
				t.Fatalf("vertex %v is outside %v by %v", p, limb.Width, limb.Height)
			}
		}
		for _, leader := range limb.Leaders {
			for _, p := range polyline(t, leader) {
				if !inside(p) {
					t.Fatalf("leader %v is outside %v by %v", p, limb.Width, limb.Height)
				}
			}
		}
		n := len(now.Profile)
		for i := range n {
			middle := (points[i][0] + points[len(points)-1-i][0]) / 2
			if i > 0 && math.Abs(middle-xs) > 0.02 {
				t.Fatalf("level %d: middle at %v, that of level 0 at %v", i, middle, xs)
			}
			xs = middle
		}
	})
}
