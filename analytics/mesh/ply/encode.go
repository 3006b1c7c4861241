package ply

import (
	"bufio"
	"encoding/binary"
	"fmt"
	"io"
	"math"

	"fairlead/analytics/mesh"
)

// Colour is red, green and blue.
type Colour [3]uint8

// Encode writes a mesh as binary PLY, lengths in mm as double. colours, unless
// nil, has a colour for each vertex. It panics when there are not as many.
func Encode(to io.Writer, m *mesh.Mesh, colours []Colour) error {
	if colours != nil && len(colours) != len(m.Vertices) {
		panic("ply: one colour for each vertex")
	}
	out := bufio.NewWriterSize(to, buffered)
	_, _ = fmt.Fprintf(out, "ply\nformat binary_little_endian 1.0\ncomment Fairlead, lengths in mm\nelement vertex %d\n"+
		"property double x\nproperty double y\nproperty double z\n", len(m.Vertices)) // Flush gives the first error
	if colours != nil {
		_, _ = out.WriteString("property uchar red\nproperty uchar green\nproperty uchar blue\n")
	}
	_, _ = fmt.Fprintf(out, "element face %d\nproperty list uchar int vertex_indices\nend_header\n", len(m.Faces))
	var row [27]byte
	for i, p := range m.Vertices {
		binary.LittleEndian.PutUint64(row[0:], math.Float64bits(p.X))
		binary.LittleEndian.PutUint64(row[8:], math.Float64bits(p.Y))
		binary.LittleEndian.PutUint64(row[16:], math.Float64bits(p.Z))
		n := 24
		if colours != nil {
			n += copy(row[24:], colours[i][:])
		}
		_, _ = out.Write(row[:n])
	}
	row[0] = 3
	for _, f := range m.Faces {
		for k, c := range f {
			binary.LittleEndian.PutUint32(row[1+4*k:], uint32(c))
		}
		_, _ = out.Write(row[:13])
	}
	if err := out.Flush(); err != nil {
		return fmt.Errorf("ply: write: %w", err)
	}
	return nil
}
