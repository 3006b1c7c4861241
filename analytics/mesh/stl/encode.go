package stl

import (
	"bufio"
	"encoding/binary"
	"fmt"
	"io"
	"math"

	"fairlead/analytics/geom"
	"fairlead/analytics/mesh"
)

// heading begins a file; it must not begin with "solid".
const heading = "Fairlead, binary STL, lengths in mm"

// Encode writes a mesh as binary STL. Coordinates are rounded to float32, which
// the format holds.
func Encode(to io.Writer, m *mesh.Mesh) error {
	out := bufio.NewWriterSize(to, batch*facetSize)
	var head [facetsAt]byte
	copy(head[:headerSize], fmt.Sprintf("%-80s", heading))
	binary.LittleEndian.PutUint32(head[headerSize:], uint32(len(m.Faces)))
	_, _ = out.Write(head[:]) // Flush gives the first error
	var facet [facetSize]byte
	for _, f := range m.Faces {
		a, b, c := m.Vertices[f[0]], m.Vertices[f[1]], m.Vertices[f[2]]
		normal, _ := b.Sub(a).Cross(c.Sub(a)).Unit()
		put(facet[0:], normal)
		put(facet[12:], a)
		put(facet[24:], b)
		put(facet[36:], c)
		_, _ = out.Write(facet[:])
	}
	if err := out.Flush(); err != nil {
		return fmt.Errorf("stl: write: %w", err)
	}
	return nil
}

func put(to []byte, p geom.Vec) {
	binary.LittleEndian.PutUint32(to[0:], math.Float32bits(float32(p.X)))
	binary.LittleEndian.PutUint32(to[4:], math.Float32bits(float32(p.Y)))
	binary.LittleEndian.PutUint32(to[8:], math.Float32bits(float32(p.Z)))
}
