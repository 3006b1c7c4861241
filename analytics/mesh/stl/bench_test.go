package stl

import (
	"bytes"
	"testing"

	"fairlead/analytics/mesh"
	"fairlead/analytics/mesh/meshtest"
)

func BenchmarkDecodeBinary(b *testing.B) { benchmark(b, binaryOf(b, meshtest.Limb(1_000_000))) }
func BenchmarkDecodeText(b *testing.B)   { benchmark(b, textOf(meshtest.Limb(200_000))) }

func benchmark(b *testing.B, data []byte) {
	b.SetBytes(int64(len(data)))
	for b.Loop() {
		if _, err := Decode(bytes.NewReader(data), mesh.DefaultLimits); err != nil {
			b.Fatal(err)
		}
	}
}
