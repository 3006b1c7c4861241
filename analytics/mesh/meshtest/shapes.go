// Package meshtest makes bodies whose volume, surface and sections have closed
// forms, for tests of what handles meshes.
package meshtest

import (
	"math"
	"testing"

	"fairlead/analytics/geom"
	"fairlead/analytics/mesh"
)

// Tetrahedron returns the corner of a cube of side a cut off: volume a³/6,
// surface a²·(3 + √3)/2.
func Tetrahedron(a float64) *mesh.Mesh {
	return &mesh.Mesh{
		Vertices: []geom.Vec{{}, {X: a}, {Y: a}, {Z: a}},
		Faces:    []mesh.Face{{0, 2, 1}, {0, 1, 3}, {0, 3, 2}, {1, 2, 3}},
	}
}

// Cube returns a cube of side a from the origin: volume a³, surface 6 a².
func Cube(a float64) *mesh.Mesh {
	m := &mesh.Mesh{}
	for i := range 8 {
		m.Vertices = append(m.Vertices, geom.Vec{X: a * float64(i&1), Y: a * float64(i>>1&1), Z: a * float64(i>>2)})
	}
	for _, q := range [][4]int32{{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}} {
		m.Faces = append(m.Faces, mesh.Face{q[0], q[1], q[2]}, mesh.Face{q[0], q[2], q[3]})
	}
	return m
}

// Body returns a closed body of rows rings of n points each about the z axis
// from z = 0 to height, whose radius is given at a height and an angle; its ends
// are flat fans. It has 2·n·rows faces. The ends can be left out.
func Body(height float64, rows, n int, bottom, top bool, radius func(z, angle float64) float64) *mesh.Mesh {
	m := &mesh.Mesh{}
	for i := range rows + 1 {
		z := height * float64(i) / float64(rows)
		for k := range n {
			a := 2 * math.Pi * float64(k) / float64(n)
			r := radius(z, a)
			m.Vertices = append(m.Vertices, geom.Vec{X: r * math.Cos(a), Y: r * math.Sin(a), Z: z})
		}
	}
	at := func(i, k int) int32 { return int32(i*n + k%n) }
	for i := range rows {
		for k := range n {
			m.Faces = append(m.Faces, mesh.Face{at(i, k), at(i, k+1), at(i+1, k+1)}, mesh.Face{at(i, k), at(i+1, k+1), at(i+1, k)})
		}
	}
	if bottom {
		m.Vertices = append(m.Vertices, geom.Vec{})
		for k := range n {
			m.Faces = append(m.Faces, mesh.Face{at(0, k+1), at(0, k), int32(len(m.Vertices) - 1)})
		}
	}
	if top {
		m.Vertices = append(m.Vertices, geom.Vec{Z: height})
		for k := range n {
			m.Faces = append(m.Faces, mesh.Face{at(rows, k), at(rows, k+1), int32(len(m.Vertices) - 1)})
		}
	}
	return m
}

// Frustum returns a pyramid frustum on regular n-gons of circumradius r0 below
// and r1 above: volume (n/2)·sin(2π/n)·h·(r0² + r0 r1 + r1²)/3.
func Frustum(height, r0, r1 float64, rows, n int) *mesh.Mesh {
	return Body(height, rows, n, true, true, func(z, _ float64) float64 { return r0 + (r1-r0)*z/height })
}

// Sphere returns an octahedron whose faces were split into four steps times,
// with its vertices on the sphere of radius r: 8·4^steps faces. Volume and
// surface come near 4πr³/3 and 4πr² from below, four times nearer each step.
func Sphere(r float64, steps int) *mesh.Mesh {
	m := &mesh.Mesh{
		Vertices: []geom.Vec{{X: r}, {X: -r}, {Y: r}, {Y: -r}, {Z: r}, {Z: -r}},
		Faces:    []mesh.Face{{0, 2, 4}, {2, 1, 4}, {1, 3, 4}, {3, 0, 4}, {2, 0, 5}, {1, 2, 5}, {3, 1, 5}, {0, 3, 5}},
	}
	for range steps {
		middle := map[[2]int32]int32{}
		half := func(a, b int32) int32 {
			key := [2]int32{min(a, b), max(a, b)}
			if i, ok := middle[key]; ok {
				return i
			}
			p, _ := m.Vertices[a].Add(m.Vertices[b]).Unit()
			m.Vertices = append(m.Vertices, p.Mul(r))
			middle[key] = int32(len(m.Vertices) - 1)
			return middle[key]
		}
		var faces []mesh.Face
		for _, f := range m.Faces {
			ab, bc, ca := half(f[0], f[1]), half(f[1], f[2]), half(f[2], f[0])
			faces = append(faces, mesh.Face{f[0], ab, ca}, mesh.Face{f[1], bc, ab}, mesh.Face{f[2], ca, bc}, mesh.Face{ab, bc, ca})
		}
		m.Faces = faces
	}
	return m
}

// Join returns the faces of several meshes in one.
func Join(parts ...*mesh.Mesh) *mesh.Mesh {
	m := &mesh.Mesh{}
	for _, p := range parts {
		first := int32(len(m.Vertices))
		m.Vertices = append(m.Vertices, p.Vertices...)
		for _, f := range p.Faces {
			m.Faces = append(m.Faces, mesh.Face{f[0] + first, f[1] + first, f[2] + first})
		}
	}
	return m
}

// Moved returns a mesh moved by d.
func Moved(m *mesh.Mesh, d geom.Vec) *mesh.Mesh {
	out := &mesh.Mesh{Faces: m.Faces}
	for _, p := range m.Vertices {
		out.Vertices = append(out.Vertices, p.Add(d))
	}
	return out
}

// Clean welds and cleans a mesh as a decoder and mesh.Clean would.
func Clean(t testing.TB, m *mesh.Mesh) *mesh.Cleaned {
	t.Helper()
	b := mesh.NewBuilder(mesh.DefaultLimits, 0, 0)
	for _, f := range m.Faces {
		if err := b.Triangle(m.Vertices[f[0]], m.Vertices[f[1]], m.Vertices[f[2]]); err != nil {
			t.Fatal(err)
		}
	}
	f, err := b.File("made", 0)
	if err != nil {
		t.Fatal(err)
	}
	return mesh.Clean(f)
}
