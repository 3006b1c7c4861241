package mesh

import (
	"fmt"

	"fairlead/analytics/geom"
)

// Face is a triangle: the numbers of its corners, counter-clockwise seen from
// outside.
type Face [3]int32

// Mesh is a surface of triangles. Lengths are millimetres once Scale has turned
// a file's unit into them.
type Mesh struct {
	Vertices []geom.Vec
	Faces    []Face
}

// File is a mesh as a decoder read it: corners at the same place are one
// vertex, vertices of no face and faces with two equal corners are left out.
type File struct {
	Mesh
	Format     string // such as "STL binary"
	Bytes      int64  // that were read
	Triangles  int    // of the file, polygons counted by their triangles, before any repair
	Corners    int    // vertices as the file writes them; for STL three for each triangle
	Welded     int    // Corners that fell on another one
	Unused     int    // vertices that no face names
	Degenerate int    // triangles with two equal corners
}

// Scale multiplies all coordinates by k, such as the millimetres of the unit
// that the file was written in.
func (m *Mesh) Scale(k float64) {
	if k == 1 {
		return
	}
	for i, p := range m.Vertices {
		m.Vertices[i] = p.Mul(k)
	}
}

// corners returns where the corners of a face are.
func (m *Mesh) corners(f Face) (a, b, c geom.Vec) {
	return m.Vertices[f[0]], m.Vertices[f[1]], m.Vertices[f[2]]
}

// Limits bound what a decoder takes.
type Limits struct {
	Bytes int64 // of a file
	Faces int   // triangles
}

// DefaultLimits are the largest file and the most triangles that are taken: ten
// times what a scanner of limbs writes.
var DefaultLimits = Limits{Bytes: 250 << 20, Faces: 5_000_000}

// Fault is what is wrong with a file and what to do about it.
type Fault struct {
	Line int // of a text file, counted from 1; 0 where lines have no meaning
	What string
	Do   string
}

// Error returns "what is wrong; what to do", without the line.
func (f *Fault) Error() string { return f.What + "; " + f.Do }

// exportAgain is what to do about most broken files.
const exportAgain = "export it from the scanner again"

// Broken returns the Fault of a file whose content makes no sense. line is 0
// where lines have no meaning.
func Broken(line int, format string, args ...any) *Fault {
	return &Fault{Line: line, What: fmt.Sprintf(format, args...), Do: exportAgain}
}
