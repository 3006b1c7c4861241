package mesh_test

import (
	"math"
	"testing"

	"fairlead/analytics/geom"
	"fairlead/analytics/mesh"
	"fairlead/analytics/mesh/meshtest"
)

func near(t *testing.T, what string, got, want, relative float64) {
	t.Helper()
	if !(math.Abs(got-want) <= relative*math.Abs(want)) {
		t.Errorf("%s: got %.12g, want %.12g within %g of it", what, got, want, relative)
	}
}

// fileOf returns a mesh as a decoder would give it.
func fileOf(t testing.TB, m *mesh.Mesh) *mesh.File {
	t.Helper()
	b := mesh.NewBuilder(mesh.DefaultLimits, 0, 0)
	for _, f := range m.Faces {
		if err := b.Triangle(m.Vertices[f[0]], m.Vertices[f[1]], m.Vertices[f[2]]); err != nil {
			t.Fatal(err)
		}
	}
	f, err := b.File("test", 0)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// Closed forms (geometry): see meshtest.
func TestVolumeAndSurface(t *testing.T) {
	n := 40.
	ngon := n / 2 * math.Sin(2*math.Pi/n)
	side := 2 * math.Sin(math.Pi/n) // of the n-gon of circumradius 1
	inner := math.Cos(math.Pi / n)
	cases := []struct {
		name            string
		mesh            *mesh.Mesh
		volume, surface float64
	}{
		{"tetrahedron", meshtest.Tetrahedron(30), 27000. / 6, 900 * (3 + math.Sqrt(3)) / 2},
		{"cube", meshtest.Cube(30), 27000, 5400},
		{"octahedron", meshtest.Sphere(30, 0), 4. / 3 * 27000, 4 * math.Sqrt(3) * 900},
		{"prism", meshtest.Frustum(200, 50, 50, 7, 40), 200 * ngon * 2500, 2*ngon*2500 + n*side*50*200},
		{"frustum", meshtest.Frustum(200, 40, 60, 7, 40), 200 * ngon * (1600 + 2400 + 3600) / 3,
			ngon*(1600+3600) + n*side*50*math.Hypot(200, 20*inner)},
	}
	for _, c := range cases {
		for _, d := range []geom.Vec{{}, {X: 1000, Y: -2000, Z: 500}} {
			m := meshtest.Moved(c.mesh, d)
			near(t, c.name+" volume", m.Volume(), c.volume, 1e-12)
			near(t, c.name+" surface", m.Surface(), c.surface, 1e-12)
		}
		c.mesh.Scale(25.4)
		near(t, c.name+" in inches", c.mesh.Volume(), 25.4*25.4*25.4*c.volume, 1e-12)
	}
}

// A finer sphere comes four times nearer to 4πr³/3 and 4πr².
func TestVolumeConvergesQuadratically(t *testing.T) {
	var volume, surface []float64
	for steps := 3; steps <= 6; steps++ {
		m := meshtest.Sphere(50, steps)
		volume = append(volume, 4./3*math.Pi*125000-m.Volume())
		surface = append(surface, 4*math.Pi*2500-m.Surface())
	}
	for i := 1; i < len(volume); i++ {
		near(t, "volume", volume[i-1]/volume[i], 4, 0.05)
		near(t, "surface", surface[i-1]/surface[i], 4, 0.05)
	}
}

// The same faces in any order, and however many processors, give the volume
// within the rounding of one sum.
func TestVolumeOfManyBlocks(t *testing.T) {
	m := meshtest.Frustum(240, 45, 58, 300, 300)
	want := 240 * 150 * math.Sin(math.Pi/150) * (45*45 + 45*58 + 58*58) / 3.
	near(t, "volume", m.Volume(), want, 1e-13)
	for i, j := 0, len(m.Faces)-1; i < j; i, j = i+2, j-2 {
		m.Faces[i], m.Faces[j] = m.Faces[j], m.Faces[i]
	}
	near(t, "shuffled", m.Volume(), want, 1e-13)
}
