package mesh_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"fairlead/analytics/geom"
	"fairlead/analytics/mesh"
	"fairlead/analytics/mesh/meshtest"
)

// without returns a mesh without some of its faces.
func without(m *mesh.Mesh, drop func(f int, middle geom.Vec) bool) *mesh.Mesh {
	out := &mesh.Mesh{Vertices: m.Vertices}
	for i, f := range m.Faces {
		middle := m.Vertices[f[0]].Add(m.Vertices[f[1]]).Add(m.Vertices[f[2]]).Mul(1. / 3)
		if !drop(i, middle) {
			out.Faces = append(out.Faces, f)
		}
	}
	return out
}

// withFaces returns a mesh with more faces.
func withFaces(m *mesh.Mesh, more ...mesh.Face) *mesh.Mesh {
	return &mesh.Mesh{Vertices: m.Vertices, Faces: append(append([]mesh.Face{}, m.Faces...), more...)}
}

func TestCleanCountsRepairs(t *testing.T) {
	sphere := func() *mesh.Mesh { return meshtest.Sphere(50, 3) }
	far := geom.Vec{X: 200}
	cases := []struct {
		name   string
		mesh   *mesh.Mesh
		want   mesh.Repairs
		found  int
		left   int
		rims   int
		closed bool
		volume float64
	}{
		{"sound", sphere(), mesh.Repairs{}, 1, 1, 0, true, sphere().Volume()},
		{"one face turned over", withFaces(without(sphere(), func(f int, _ geom.Vec) bool { return f == 100 }), turned(sphere().Faces[100])),
			mesh.Repairs{Flipped: 1}, 1, 1, 0, true, sphere().Volume()},
		{"all faces turned over", mirrored(sphere()), mesh.Repairs{Flipped: 512}, 1, 1, 0, true, sphere().Volume()},
		{"a face twice", withFaces(sphere(), sphere().Faces[7]), mesh.Repairs{Duplicate: 1}, 1, 1, 0, true, sphere().Volume()},
		{"faces thrice, turned and over", withFaces(sphere(), rolled(sphere().Faces[7]), turned(sphere().Faces[7]), turned(sphere().Faces[8])),
			mesh.Repairs{Duplicate: 3}, 1, 1, 0, true, sphere().Volume()},
		{"a face without area", withFaces(sphere(), mesh.Face{3, 3, 4}), mesh.Repairs{Degenerate: 1}, 1, 1, 0, true, sphere().Volume()},
		{"two fragments", meshtest.Join(sphere(), meshtest.Moved(meshtest.Sphere(5, 1), far), meshtest.Moved(meshtest.Tetrahedron(3), far.Mul(-1))),
			mesh.Repairs{Fragments: 2}, 3, 1, 0, true, sphere().Volume()},
		{"two bodies", meshtest.Join(sphere(), meshtest.Moved(sphere(), far)), mesh.Repairs{}, 2, 2, 0, true, 2 * sphere().Volume()},
		{"one of two bodies inside out", meshtest.Join(sphere(), mirrored(meshtest.Moved(sphere(), far))), mesh.Repairs{Flipped: 512}, 2, 2, 0, true, 2 * sphere().Volume()},
		{"two bodies that touch in a corner", meshtest.Join(meshtest.Cube(10), meshtest.Moved(meshtest.Cube(10), geom.Vec{X: 10, Y: 10, Z: 10})),
			mesh.Repairs{}, 2, 2, 0, true, 2000},
		{"two bodies that touch along an edge", meshtest.Join(meshtest.Cube(10), meshtest.Moved(meshtest.Cube(10), geom.Vec{X: 10, Y: 10})),
			mesh.Repairs{NonManifoldEdges: 1}, 1, 1, 0, false, 2000},
		{"a hole", without(sphere(), func(f int, _ geom.Vec) bool { return f == 9 }), mesh.Repairs{}, 1, 1, 1, false, sphere().Volume()},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			got := mesh.Clean(fileOf(t, c.mesh))
			r := got.Repairs
			r.Welded, r.FragmentsMM2 = 0, 0
			if r != c.want || got.Found != c.found || len(got.Shells) != c.left || len(got.Rims) != c.rims || got.Closed() != c.closed {
				t.Errorf("got %+v, found %d, left %d, %d rims, closed %v; want %+v, %d, %d, %d, %v",
					r, got.Found, len(got.Shells), len(got.Rims), got.Closed(), c.want, c.found, c.left, c.rims, c.closed)
			}
			filled, _ := got.Fill()
			near(t, "volume", filled.Volume(), c.volume, 2e-4)
		})
	}
}

func turned(f mesh.Face) mesh.Face { return mesh.Face{f[1], f[0], f[2]} }
func rolled(f mesh.Face) mesh.Face { return mesh.Face{f[1], f[2], f[0]} }

func mirrored(m *mesh.Mesh) *mesh.Mesh {
	out := &mesh.Mesh{Vertices: m.Vertices}
	for _, f := range m.Faces {
		out.Faces = append(out.Faces, turned(f))
	}
	return out
}

// Whichever faces of a closed body are turned over and however they are
// shuffled, they come back outward and the volume to the last digits.
func TestCleanTurnsOutwardWhateverWasTurned(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 6))
	body := meshtest.Frustum(200, 40, 60, 20, 30)
	want := body.Volume()
	for _, share := range []float64{0.1, 0.5, 0.9, 1} {
		m := &mesh.Mesh{Vertices: body.Vertices}
		flipped := 0
		for _, i := range random.Perm(len(body.Faces)) {
			f := body.Faces[i]
			if random.Float64() < share {
				f = turned(f)
				flipped++
			}
			m.Faces = append(m.Faces, f)
		}
		got := mesh.Clean(fileOf(t, m))
		if got.Repairs.Flipped != flipped || !got.Closed() {
			t.Errorf("turned %d faces over, want %d; closed %v", got.Repairs.Flipped, flipped, got.Closed())
		}
		near(t, "volume", got.Volume(), want, 1e-12)
	}
}

func TestProximalOpeningIsToldFromHoles(t *testing.T) {
	limb := func(bottom, top bool) *mesh.Mesh {
		return meshtest.Body(240, 80, 100, bottom, top, func(z, a float64) float64 { return 45 + z/20 + 4*math.Cos(3*a) })
	}
	hole := func(at geom.Vec, radius float64) func(int, geom.Vec) bool {
		return func(_ int, middle geom.Vec) bool { return middle.Distance(at) < radius }
	}
	side := geom.Vec{X: 55, Z: 120}
	cases := []struct {
		name string
		mesh *mesh.Mesh
		want []mesh.RimKind
	}{
		{"open at the top", limb(true, false), []mesh.RimKind{mesh.ProximalOpening}},
		{"closed with a small hole", without(limb(true, true), hole(side, 8)), []mesh.RimKind{mesh.Hole}},
		{"closed with a large hole", without(limb(true, true), hole(side, 35)), []mesh.RimKind{mesh.Hole}},
		{"open with a hole", without(limb(true, false), hole(side, 8)), []mesh.RimKind{mesh.ProximalOpening, mesh.Hole}},
		{"open at both ends", limb(false, false), []mesh.RimKind{mesh.ProximalOpening, mesh.Hole}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			got := mesh.Clean(fileOf(t, c.mesh))
			if len(got.Rims) != len(c.want) {
				t.Fatalf("%d rims, want %d", len(got.Rims), len(c.want))
			}
			for i, r := range got.Rims {
				if r.Kind != c.want[i] || r.AreaMM2 <= 0 || r.LengthMM < 2*math.Pi*r.RadiusMM() {
					t.Errorf("rim %d: %s of %.0f mm and %.0f mm², want %s", i, r.Kind, r.LengthMM, r.AreaMM2, c.want[i])
				}
			}
		})
	}
}

// A lid over the opening gives the body back, the bulge over a hole nearly.
func TestFill(t *testing.T) {
	radius := func(z, _ float64) float64 { return 45 + z/20 }
	whole := meshtest.Body(240, 120, 160, true, true, radius)
	open := meshtest.Clean(t, meshtest.Body(240, 120, 160, true, false, radius))
	filled, filling := open.Fill()
	near(t, "volume with a lid", filled.Volume(), whole.Volume(), 1e-12)
	near(t, "lid", filling.OpeningMM2, 80*math.Sin(math.Pi/80)*57*57, 1e-12)

	sphere := meshtest.Sphere(50, 5)
	for _, r := range []float64{8, 12, 20} {
		holed := meshtest.Clean(t, without(sphere, func(_ int, p geom.Vec) bool { return p.Distance(geom.Vec{Z: 50}) < r }))
		filled, filling := holed.Fill()
		flat := math.Pi * r * r * (r * r / 100) / 2 // the cap that a flat lid would cut off, about
		lost := math.Abs(filled.Volume() - sphere.Volume())
		if lost > flat/8 || lost > filling.HolesMM3 {
			t.Errorf("hole of radius %g: volume off by %.2f mm³, of the %.2f that a flat lid loses; bound %.0f", r, lost, flat, filling.HolesMM3)
		}
		if got := mesh.Clean(fileOf(t, filled)); !got.Closed() || got.Repairs.Flipped != 0 {
			t.Errorf("hole of radius %g: filled, but closed %v, %d faces inside out", r, got.Closed(), got.Repairs.Flipped)
		}
	}
}

// Two holes that touch in a corner are two.
func TestRimsThatTouchStayApart(t *testing.T) {
	cube := meshtest.Sphere(50, 4)
	corner := int32(0)
	n := 0
	holed := without(cube, func(f int, _ geom.Vec) bool {
		for _, c := range cube.Faces[f] {
			if c == corner {
				n++
				return n == 1 || n == 4 // which lie opposite
			}
		}
		return false
	})
	got := meshtest.Clean(t, holed)
	if len(got.Rims) != 2 {
		t.Errorf("%d rims, want 2", len(got.Rims))
	}
	filled, _ := got.Fill()
	near(t, "volume", filled.Volume(), cube.Volume(), 1e-4)
}

func TestMoebiusBandIsTwisted(t *testing.T) {
	m := &mesh.Mesh{}
	const n = 40
	for i := range n {
		a := 2 * math.Pi * float64(i) / n
		for _, w := range []float64{-10, 10} {
			r := 50 + w*math.Cos(a/2)
			m.Vertices = append(m.Vertices, geom.Vec{X: r * math.Cos(a), Y: r * math.Sin(a), Z: w * math.Sin(a/2)})
		}
	}
	for i := range int32(n) {
		a, b, c, d := 2*i, 2*i+1, 2*i+2, 2*i+3
		if i == n-1 {
			c, d = 1, 0
		}
		m.Faces = append(m.Faces, mesh.Face{a, b, c}, mesh.Face{b, d, c})
	}
	if got := meshtest.Clean(t, m); got.Repairs.TwistedEdges == 0 || got.Closed() {
		t.Errorf("got %+v, want twisted edges", got.Repairs)
	}
}

// Triangles that share nothing are pieces; one of them is left, nothing hangs.
func TestSoup(t *testing.T) {
	m := &mesh.Mesh{}
	for i := range int32(50_000) {
		x := float64(i) * 3
		m.Vertices = append(m.Vertices, geom.Vec{X: x}, geom.Vec{X: x + 1}, geom.Vec{X: x, Y: 1})
		m.Faces = append(m.Faces, mesh.Face{3 * i, 3*i + 1, 3*i + 2})
	}
	if got := meshtest.Clean(t, m); got.Found != 50_000 || len(got.Shells) != 1 || got.Repairs.Fragments != 49_999 || len(got.Faces) != 1 {
		t.Errorf("found %d, left %d, %d fragments", got.Found, len(got.Shells), got.Repairs.Fragments)
	}
}

// A file of triangles that share nothing is refused before it takes memory many
// times over.
func TestVeryMuchSoupIsRefused(t *testing.T) {
	b := mesh.NewBuilder(mesh.DefaultLimits, 0, 0)
	var err error
	n := 0
	for ; err == nil && n < 1_000_000; n++ {
		x := float64(n)
		err = b.Triangle(geom.Vec{X: x}, geom.Vec{X: x, Y: 1}, geom.Vec{X: x, Z: 1})
	}
	var fault *mesh.Fault
	if !errors.As(err, &fault) || !strings.Contains(fault.What, "do not hang together") || n > 510_000 {
		t.Errorf("after %d triangles: %v", n, err)
	}
}

// All faces in one corner, or on one edge, take no more than a sorted time.
func TestManyFacesInOneCorner(t *testing.T) {
	const n = 200_000
	fan := &mesh.Mesh{Vertices: []geom.Vec{{}, {Z: 1}}}
	for i := range int32(n) {
		a := 2 * math.Pi * float64(i) / n
		fan.Vertices = append(fan.Vertices, geom.Vec{X: math.Cos(a), Y: math.Sin(a)})
	}
	book := &mesh.Mesh{Vertices: fan.Vertices}
	for i := range int32(n) {
		fan.Faces = append(fan.Faces, mesh.Face{0, 2 + i, 2 + (i+1)%n})
		book.Faces = append(book.Faces, mesh.Face{0, 1, 2 + i})
	}
	if got := meshtest.Clean(t, fan); len(got.Rims) != 1 || len(got.Rims[0].Vertices) != n {
		t.Errorf("fan: %d rims", len(got.Rims))
	}
	if got := meshtest.Clean(t, book); got.Repairs.NonManifoldEdges != 1 || got.Found != 1 {
		t.Errorf("book: %+v, found %d", got.Repairs, got.Found)
	}
}
