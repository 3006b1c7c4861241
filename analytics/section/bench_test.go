package section

import (
	"testing"

	"fairlead/analytics/geom"
	"fairlead/analytics/mesh"
	"fairlead/analytics/mesh/meshtest"
)

// A million faces, 30 levels.

func BenchmarkCut(b *testing.B) {
	limb, axis, levels := thirtyLevels(b)
	for b.Loop() {
		Cut(limb, len(limb.Faces), axis, levels)
	}
}

func BenchmarkBeyond(b *testing.B) {
	limb, axis, levels := thirtyLevels(b)
	for b.Loop() {
		Beyond(limb, axis, levels)
	}
}

func thirtyLevels(b *testing.B) (*mesh.Mesh, Axis, []float64) {
	levels := make([]float64, 30)
	for i := range levels {
		levels[i] = 240 * (0.08 + 0.86*float64(i)/29)
	}
	return meshtest.Limb(1_000_000), axisOf(b, geom.Vec{}, up, geom.Vec{}), levels
}
