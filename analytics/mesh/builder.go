package mesh

import (
	"math"

	"fairlead/analytics/geom"
)

// MaxCoordinate is the largest coordinate, in whatever unit, that is taken for
// a place: a million times a person. What is above, infinite or not a number is
// a broken file.
const MaxCoordinate = 1e9

// Builder gathers the vertices and faces that a decoder reads.
type Builder struct {
	limits     Limits
	weld       weld
	faces      []Face
	index      []int32 // number in the file → number after welding
	triangles  int
	corners    int
	degenerate int
	flat       []geom.Vec // for polygons
}

// NewBuilder returns a builder that sets memory aside for so many vertices
// (after welding) and triangles. Both must follow from the size of the data,
// not from a header; 0 is for not known.
func NewBuilder(limits Limits, vertices, triangles int) *Builder {
	return &Builder{
		limits: limits,
		weld:   weld{vertices: make([]geom.Vec, 0, max(vertices, 0))},
		faces:  make([]Face, 0, max(min(triangles, limits.Faces), 0)),
	}
}

// Vertices tells how many vertices Vertex took.
func (b *Builder) Vertices() int { return len(b.index) }

// Vertex takes the next vertex of a file that numbers its vertices. The error
// is a *Fault: a coordinate that is not a place, or more vertices than the most
// triangles could use.
func (b *Builder) Vertex(p geom.Vec) error {
	if !isPlace(p) {
		return Broken(0, "vertex %d has a coordinate that is not a place (%g, %g, %g)", len(b.index)+1, p.X, p.Y, p.Z)
	}
	if len(b.index) >= 3*b.limits.Faces {
		return TooManyFaces(b.limits)
	}
	b.corners++
	b.index = append(b.index, b.weld.add(withoutSign(p)))
	if len(b.weld.vertices) > b.limits.Faces+mostLoose {
		return loose()
	}
	return nil
}

// mostLoose is by how many vertices may outnumber the faces. A surface has half
// as many vertices as faces, a strip about as many, and each piece that hangs
// together with nothing two more: what is beyond is no surface, and would take
// memory many times over before that is found.
const mostLoose = 1_000_000

func loose() *Fault {
	return &Fault{What: "the triangles do not hang together to a surface", Do: "export the scan as one joined mesh"}
}

// Triangle takes a triangle by the places of its corners. The error is a
// *Fault as for Vertex.
func (b *Builder) Triangle(p, q, r geom.Vec) error {
	if !isPlace(p) || !isPlace(q) || !isPlace(r) {
		return Broken(0, "triangle %d has a coordinate that is not a place", b.triangles+1)
	}
	if b.triangles >= b.limits.Faces {
		return TooManyFaces(b.limits)
	}
	b.corners += 3
	b.add(Face{b.weld.add(withoutSign(p)), b.weld.add(withoutSign(q)), b.weld.add(withoutSign(r))})
	if len(b.weld.vertices) > b.triangles+mostLoose {
		return loose()
	}
	return nil
}

// Polygon takes a face by the numbers of its corners in the file, counted from
// 0, and splits what has more than three. The error is a *Fault: fewer than
// three corners, a corner that is not there, too many triangles.
func (b *Builder) Polygon(corners []int) error {
	if len(corners) < 3 {
		return Broken(0, "a face has %d corners and needs 3", len(corners))
	}
	for _, c := range corners {
		if c < 0 || c >= len(b.index) {
			return Broken(0, "a face names vertex %d and there are %d before it", c+1, len(b.index))
		}
	}
	if b.triangles+len(corners)-2 > b.limits.Faces {
		return TooManyFaces(b.limits)
	}
	if len(corners) == 3 {
		b.add(Face{b.index[corners[0]], b.index[corners[1]], b.index[corners[2]]})
		return nil
	}
	b.flat = b.flat[:0]
	for _, c := range corners {
		b.flat = append(b.flat, b.weld.vertices[b.index[c]])
	}
	for _, t := range triangulate(b.flat) {
		b.add(Face{b.index[corners[t[0]]], b.index[corners[t[1]]], b.index[corners[t[2]]]})
	}
	return nil
}

func (b *Builder) add(f Face) {
	b.triangles++
	if f[0] == f[1] || f[1] == f[2] || f[2] == f[0] {
		b.degenerate++
		return
	}
	b.faces = append(b.faces, f)
}

// File returns what was gathered; the builder must not be used again. The error
// is a *Fault when there are no triangles at all.
func (b *Builder) File(format string, bytes int64) (*File, error) {
	if len(b.faces) == 0 {
		do := "export it as a mesh, with its surface"
		if b.triangles == 0 {
			return nil, &Fault{What: "there is no triangle in the file", Do: do}
		}
		return nil, &Fault{What: "no triangle in the file has an area", Do: do}
	}
	f := &File{
		Mesh:       Mesh{Vertices: b.weld.vertices, Faces: b.faces},
		Format:     format,
		Bytes:      bytes,
		Triangles:  b.triangles,
		Corners:    b.corners,
		Welded:     b.corners - len(b.weld.vertices),
		Degenerate: b.degenerate,
	}
	b.weld.table = nil
	if b.degenerate > 0 || len(b.index) > 0 {
		f.Unused = f.dropUnused()
	}
	return f, nil
}

// dropUnused leaves out the vertices that no face names and returns how many.
func (m *Mesh) dropUnused() int {
	number := make([]int32, len(m.Vertices))
	for _, f := range m.Faces {
		number[f[0]], number[f[1]], number[f[2]] = 1, 1, 1
	}
	kept := int32(0)
	for i, used := range number {
		if used == 0 {
			continue
		}
		m.Vertices[kept] = m.Vertices[i]
		number[i] = kept
		kept++
	}
	unused := len(m.Vertices) - int(kept)
	if unused == 0 {
		return 0
	}
	m.Vertices = m.Vertices[:kept]
	for i, f := range m.Faces {
		m.Faces[i] = Face{number[f[0]], number[f[1]], number[f[2]]}
	}
	return unused
}

func isPlace(p geom.Vec) bool {
	return math.Abs(p.X) <= MaxCoordinate && math.Abs(p.Y) <= MaxCoordinate && math.Abs(p.Z) <= MaxCoordinate
}

// withoutSign turns negative zeros into zeros, which are the same place.
func withoutSign(p geom.Vec) geom.Vec { return geom.Vec{X: p.X + 0, Y: p.Y + 0, Z: p.Z + 0} }

// TooManyFaces returns the Fault of a mesh beyond the limit.
func TooManyFaces(limits Limits) *Fault {
	return &Fault{
		What: "the mesh has more than " + grouped(limits.Faces) + " triangles",
		Do:   "export it coarser, or cut away what is not the limb",
	}
}
