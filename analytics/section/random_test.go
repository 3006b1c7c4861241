package section

import (
	"math"
	"testing"

	"fairlead/analytics/geom"
	"fairlead/analytics/mesh"
	"fairlead/analytics/mesh/meshtest"
	"pgregory.net/rapid"
)

// Whatever faces there are between a few points, cleaning, filling and cutting
// end and give numbers; what could be turned one way is closed after filling,
// edge by edge.
func TestAnyFaces(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		points := rapid.IntRange(3, 12).Draw(rt, "points")
		place := rapid.IntRange(-4, 4)
		m := &mesh.Mesh{}
		for range points {
			m.Vertices = append(m.Vertices, geom.Vec{X: float64(place.Draw(rt, "x")), Y: float64(place.Draw(rt, "y")), Z: float64(place.Draw(rt, "z"))})
		}
		corner := rapid.Int32Range(0, int32(points-1))
		real := 0
		for range rapid.IntRange(1, 30).Draw(rt, "faces") {
			f := mesh.Face{corner.Draw(rt, "a"), corner.Draw(rt, "b"), corner.Draw(rt, "c")}
			m.Faces = append(m.Faces, f)
			a, b, c := m.Vertices[f[0]], m.Vertices[f[1]], m.Vertices[f[2]]
			if a != b && b != c && c != a {
				real++
			}
		}
		if real == 0 {
			return
		}
		c := meshtest.Clean(t, m)
		filled, filling := c.Fill()
		if c.Repairs.NonManifoldEdges == 0 && c.Repairs.TwistedEdges == 0 {
			balance := map[[2]int32]int{}
			for _, f := range filled.Faces {
				for k := range f {
					a, b := f[k], f[(k+1)%3]
					balance[[2]int32{min(a, b), max(a, b)}] += map[bool]int{true: 1, false: -1}[a < b]
				}
			}
			for edge, n := range balance {
				if n != 0 {
					rt.Fatalf("edge %v is not closed: %+v, %d rims", edge, c.Repairs, len(c.Rims))
				}
			}
		}
		axis, _ := NewAxis(geom.Vec{}, geom.Vec{Z: 1}, geom.Vec{})
		levels := []float64{-4, -1.5, 0, 0.3, 4}
		numbers := []float64{filled.Volume(), filled.Surface(), filling.HolesMM3}
		numbers = append(numbers, Beyond(filled, axis, levels)...)
		for _, s := range append(Cut(filled, len(c.Faces), axis, levels), Cut(&c.Mesh, len(c.Faces), axis, levels)...) {
			numbers = append(numbers, s.GirthMM, s.ContourMM, s.AreaMM2, s.Centroid.U, s.Centroid.V, s.GirthBoundMM, s.AreaBoundMM2)
		}
		for i, n := range numbers {
			if math.IsNaN(n) || math.IsInf(n, 0) {
				rt.Fatalf("number %d is %g", i, n)
			}
		}
	})
}
