package section

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"fairlead/analytics/geom"
	"fairlead/analytics/mesh"
	"fairlead/analytics/mesh/meshtest"
	"pgregory.net/rapid"
)

// tester is what *testing.T and *rapid.T share.
type tester interface {
	Helper()
	Errorf(format string, args ...any)
}

func near(t tester, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s: got %.12g, want %.12g within %g", what, got, want, within)
	}
}

func axisOf(t testing.TB, origin, direction, towards geom.Vec) Axis {
	t.Helper()
	a, err := NewAxis(origin, direction, towards)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

var up = geom.Vec{Z: 1}

// The sections of a frustum on regular n-gons are n-gons: perimeter
// 2 n r sin(π/n), area n/2 r² sin(2π/n) (geometry). At the rings of the mesh the
// level goes through vertices and along edges.
func TestFrustum(t *testing.T) {
	const n = 36
	m := meshtest.Frustum(200, 40, 60, 10, n)
	axis := axisOf(t, geom.Vec{}, up, geom.Vec{X: 1})
	levels := []float64{100, 1, 19.99999, 20, 63.7, 199.999, 100}
	for i, s := range Cut(m, len(m.Faces), axis, levels) {
		r := 40 + 20*levels[i]/200
		perimeter, area := 2*n*r*math.Sin(math.Pi/n), n/2*r*r*math.Sin(2*math.Pi/n)
		near(t, "level", s.LevelMM, levels[i], 0)
		near(t, "girth", s.GirthMM, perimeter, 1e-9)
		near(t, "contour", s.ContourMM, perimeter, 1e-9)
		near(t, "area", s.AreaMM2, area, 1e-8)
		near(t, "centroid", math.Hypot(s.Centroid.U, s.Centroid.V), 0, 1e-10)
		if !s.Complete || len(s.Contours) != 1 || s.GapMM != 0 || s.GirthBoundMM != 0 {
			t.Errorf("level %g: complete %v, %d contours, gap %g", s.LevelMM, s.Complete, len(s.Contours), s.GapMM)
		}
	}
	volumes := Beyond(m, axis, levels)
	for i, z := range levels {
		r := 40 + 20*z/200
		want := n / 2 * math.Sin(2*math.Pi/n) * (200 - z) / 3 * (r*r + r*60 + 3600)
		near(t, "solid beyond", volumes[i], want, 1e-12*volumeOfFrustum(n, 200, 40, 60))
	}
	near(t, "solid between", Between(m, axis, 150, 50), volumeOfFrustum(n, 100, 45, 55), 1e-6)
}

func volumeOfFrustum(n, h, r0, r1 float64) float64 {
	return n / 2 * math.Sin(2*math.Pi/n) * h / 3 * (r0*r0 + r0*r1 + r1*r1)
}

// A section of a cube square to its diagonal, through the middle, is a regular
// hexagon of side a/√2; a third of the way, a triangle of side √2·a (geometry).
func TestCubeAcrossItsDiagonal(t *testing.T) {
	a := 30.
	m := meshtest.Cube(a)
	axis := axisOf(t, geom.Vec{}, geom.Vec{X: 1, Y: 1, Z: 1}, geom.Vec{})
	diagonal := math.Sqrt(3) * a
	s := Cut(m, len(m.Faces), axis, []float64{diagonal / 2, diagonal / 3, -1, diagonal + 1})
	near(t, "hexagon", s[0].GirthMM, 6*a/math.Sqrt2, 1e-9)
	near(t, "area of the hexagon", s[0].AreaMM2, 3*math.Sqrt(3)/2*a*a/2, 1e-9)
	near(t, "triangle", s[1].GirthMM, 3*math.Sqrt2*a, 1e-6)
	near(t, "area of the triangle", s[1].AreaMM2, math.Sqrt(3)/4*2*a*a, 1e-6)
	near(t, "half the cube", Beyond(m, axis, []float64{diagonal / 2})[0], a*a*a/2, 1e-9)
	near(t, "a corner", a*a*a-Beyond(m, axis, []float64{diagonal / 3})[0], a*a*a/6, 1e-9)
	for _, s := range s[2:] {
		if s.Complete || len(s.Contours) != 0 || s.GirthMM != 0 || s.AreaMM2 != 0 {
			t.Errorf("beyond the cube: %+v", s)
		}
	}
}

// A tape bridges a hollow: the contour is longer than the girth.
func TestHollow(t *testing.T) {
	m := meshtest.Body(100, 10, 720, true, true, func(_, a float64) float64 { return 50 + 8*math.Cos(3*a) })
	s := Cut(m, len(m.Faces), axisOf(t, geom.Vec{}, up, geom.Vec{X: 1}), []float64{50})[0]
	if !(s.GirthMM < s.ContourMM-0.3) {
		t.Errorf("girth %.2f, contour %.2f", s.GirthMM, s.ContourMM)
	}
	near(t, "area", s.AreaMM2, math.Pi*(2500+32), 0.5) // π(r² + a²/2)
}

// A body with a hole right through it has a ring for a section.
func TestRing(t *testing.T) {
	outer, inner := meshtest.Frustum(100, 50, 50, 4, 60), meshtest.Frustum(100, 20, 20, 4, 60)
	for i, f := range inner.Faces {
		inner.Faces[i] = mesh.Face{f[1], f[0], f[2]}
	}
	m := meshtest.Join(outer, inner)
	s := Cut(m, len(m.Faces), axisOf(t, geom.Vec{}, up, geom.Vec{}), []float64{30})[0]
	near(t, "area", s.AreaMM2, 30*math.Sin(math.Pi/30)*(2500-400), 1e-9)
	near(t, "girth", s.GirthMM, 120*50*math.Sin(math.Pi/60), 1e-9)
	near(t, "contour", s.ContourMM, 120*70*math.Sin(math.Pi/60), 1e-9)
}

// Moving or turning body and axis together changes nothing; the solid's slope
// along the axis is the area.
func TestLaws(t *testing.T) {
	body := meshtest.Body(240, 60, 90, true, true, func(z, a float64) float64 { return 40 + z/15 + 5*math.Cos(2*a+z/80) })
	rapid.Check(t, func(t *rapid.T) {
		number := rapid.Float64Range(-1, 1)
		draw := func(name string) geom.Vec {
			return geom.Vec{X: number.Draw(t, name), Y: number.Draw(t, name), Z: number.Draw(t, name)}
		}
		level := rapid.Float64Range(5, 235).Draw(t, "level")
		d, ok := draw("direction").Unit()
		if !ok {
			t.Skip()
		}
		u := d.Across()
		v := d.Cross(u)
		shift := draw("shift").Mul(500)
		moved := &mesh.Mesh{Faces: body.Faces}
		for _, p := range body.Vertices {
			moved.Vertices = append(moved.Vertices, shift.Add(u.Mul(p.X)).Add(v.Mul(p.Y)).Add(d.Mul(p.Z)))
		}
		still, _ := NewAxis(geom.Vec{}, up, geom.Vec{X: 1})
		along, _ := NewAxis(shift, d, u)
		a := Cut(body, len(body.Faces), still, []float64{level})[0]
		b := Cut(moved, len(body.Faces), along, []float64{level})[0]
		near(t, "girth", b.GirthMM, a.GirthMM, 1e-6)
		near(t, "contour", b.ContourMM, a.ContourMM, 1e-6)
		near(t, "area", b.AreaMM2, a.AreaMM2, 1e-6)
		near(t, "centroid", b.Centroid.distance(a.Centroid), 0, 1e-6)
		near(t, "solid", Beyond(moved, along, []float64{level})[0], Beyond(body, still, []float64{level})[0], 1e-4)
		slab := Between(body, still, level-1e-3, level+1e-3)
		near(t, "slope of the solid", slab/2e-3, a.AreaMM2, 1e-2)
		if !a.Complete || !b.Complete || a.GirthMM > a.ContourMM+1e-9 || a.AreaMM2 > a.GirthMM*a.GirthMM/(4*math.Pi) {
			t.Errorf("%+v", a)
		}
	})
}

// Damage: whatever is missing, the truth lies within the bound, the bound grows
// with the hole, and an untouched level stays exact.
func TestBoundHoldsTheTruth(t *testing.T) {
	body := meshtest.Body(240, 120, 160, true, true, func(z, a float64) float64 { return 45 + z/20 + 3*math.Cos(3*a) })
	axis := axisOf(t, geom.Vec{}, up, geom.Vec{X: 1})
	levels := []float64{40, 110, 120, 130, 200}
	truth := Cut(body, len(body.Faces), axis, levels)
	beyond := Beyond(body, axis, levels)
	random := rand.New(rand.NewPCG(3, 4))
	last := 0.0
	for _, radius := range []float64{4, 8, 16, 25} {
		angle := random.Float64() * 2 * math.Pi
		at := geom.Vec{X: 50 * math.Cos(angle), Y: 50 * math.Sin(angle), Z: 120}
		holed := &mesh.Mesh{Vertices: body.Vertices}
		for _, f := range body.Faces {
			if body.Vertices[f[0]].Distance(at) > radius {
				holed.Faces = append(holed.Faces, f)
			}
		}
		c := meshtest.Clean(t, holed)
		filled, filling := c.Fill()
		open := Cut(&c.Mesh, len(c.Faces), axis, levels)
		for name, got := range map[string][]Section{"open": open, "filled": Cut(filled, len(c.Faces), axis, levels)} {
			for i, s := range got {
				near(t, name+" girth", s.GirthMM, truth[i].GirthMM, s.GirthBoundMM+1e-9)
				near(t, name+" contour", s.ContourMM, truth[i].ContourMM, s.ContourBoundMM+1e-9)
				near(t, name+" area", s.AreaMM2, truth[i].AreaMM2, s.AreaBoundMM2+1e-8)
				if touched := math.Abs(levels[i]-120) < radius; s.Complete == touched || len(s.Contours) != 1 {
					t.Errorf("%s, hole of %g, level %g: complete %v, %d contours", name, radius, levels[i], s.Complete, len(s.Contours))
				}
			}
			if name == "open" && !(got[2].AreaBoundMM2 > last) {
				t.Errorf("hole of %g: bound %g is not above %g", radius, got[2].AreaBoundMM2, last)
			}
		}
		last = open[2].AreaBoundMM2
		for i, v := range Beyond(filled, axis, levels) {
			near(t, "solid", v, beyond[i], filling.HolesMM3+1e-6)
		}
	}
}

// A limb that is open at its proximal end has the solid of the closed one
// beyond every level; only the level through the opening is not complete.
func TestOpenAtTheTop(t *testing.T) {
	radius := func(z, _ float64) float64 { return 45 + z/20 }
	body, open := meshtest.Body(240, 60, 90, true, true, radius), meshtest.Body(240, 60, 90, true, false, radius)
	axis := axisOf(t, geom.Vec{Z: 240}, geom.Vec{Z: -1}, geom.Vec{X: 1})
	levels := []float64{1, 20, 100, 230}
	want, got := Beyond(body, axis, levels), Beyond(open, axis, levels)
	for i, s := range Cut(open, len(open.Faces), axis, levels) {
		near(t, "solid", got[i], want[i], 1e-9*want[i])
		if !s.Complete || s.AreaMM2 <= 0 {
			t.Errorf("level %g: complete %v, area %g", s.LevelMM, s.Complete, s.AreaMM2)
		}
	}
}

// Faces that hang together with nothing give contours all the same, in a time
// that does not explode, and say that they are not complete.
func TestSoup(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 8))
	m := &mesh.Mesh{}
	for i := range int32(30_000) {
		a := random.Float64() * 2 * math.Pi
		p := geom.Vec{X: 50 * math.Cos(a), Y: 50 * math.Sin(a)}
		m.Vertices = append(m.Vertices, p, p.Add(geom.Vec{X: 0.1, Z: 1}), p.Add(geom.Vec{Y: 0.1, Z: -1}))
		m.Faces = append(m.Faces, mesh.Face{3 * i, 3*i + 1, 3*i + 2})
	}
	s := Cut(m, len(m.Faces), axisOf(t, geom.Vec{}, up, geom.Vec{}), []float64{0})[0]
	if s.Complete || math.IsNaN(s.AreaMM2) || math.Abs(s.GirthMM-314) > 2 {
		t.Errorf("complete %v, area %g, girth %g", s.Complete, s.AreaMM2, s.GirthMM)
	}
}

func TestNewAxisRefuses(t *testing.T) {
	for _, d := range []geom.Vec{{}, {X: math.NaN()}, {Y: math.Inf(1)}} {
		if _, err := NewAxis(geom.Vec{}, d, geom.Vec{}); !errors.Is(err, ErrNoDirection) {
			t.Errorf("%v: got %v", d, err)
		}
	}
}
