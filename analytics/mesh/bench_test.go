package mesh_test

import (
	"testing"

	"fairlead/analytics/mesh"
	"fairlead/analytics/mesh/meshtest"
)

// A million faces each.

func BenchmarkClean(b *testing.B) {
	limb := meshtest.Limb(1_000_000)
	for b.Loop() {
		mesh.Clean(&mesh.File{Mesh: mesh.Mesh{Vertices: limb.Vertices, Faces: append([]mesh.Face{}, limb.Faces...)}})
	}
}

func BenchmarkVolume(b *testing.B) {
	limb := meshtest.Limb(1_000_000)
	for b.Loop() {
		limb.Volume()
	}
}
