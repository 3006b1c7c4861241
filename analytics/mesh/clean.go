package mesh

// Repairs counts what Clean and the decoder before it did to a file's mesh.
type Repairs struct {
	Welded       int // vertices that fell on another one
	Unused       int // vertices that no face named
	Degenerate   int // faces with two equal corners, left out
	Duplicate    int // faces with the corners of another one, left out
	Fragments    int // pieces that floated about, left out
	FragmentsMM2 float64
	Flipped      int // faces that were turned over
	// What could not be repaired and is left:
	NonManifoldEdges int // edges of more than two faces
	TwistedEdges     int // edges whose faces can't be turned the same way, as on a Möbius band
}

// Cleaned is a mesh that is fit for measuring.
type Cleaned struct {
	Mesh
	Repairs Repairs
	Found   int     // shells in the file, fragments included
	Shells  []Shell // that are left, the largest first
	Rims    []Rim   // where the surface ends, the longest first
	edges   *edges
}

// Clean takes out of a decoded file the faces that are there again and the
// fragments, turns what is left outward, each shell by itself, and finds the
// rims of what is missing. The file's mesh is used up. Lengths are taken for
// millimetres: Scale the file before.
//
// A shell is turned outward even when it lies inside another one: a hollow body
// of two closed shells counts its cavity twice, where it should be taken away.
func Clean(f *File) *Cleaned {
	c := &Cleaned{Mesh: f.Mesh, Repairs: Repairs{Welded: f.Welded, Unused: f.Unused, Degenerate: f.Degenerate}}
	f.Mesh = Mesh{}
	c.edges, c.Repairs.Duplicate = c.withoutDuplicates()
	p := c.findPatches(c.edges)
	shellOf, shells := c.shellsOf(c.edges, p)
	c.Found = len(shells)
	c.Repairs.Flipped = c.turn(c.edges, p.turned)
	var dropped []Shell
	c.Shells, dropped = c.dropFragments(c.edges, p, shellOf, shells)
	c.Repairs.Fragments = len(dropped)
	for _, s := range dropped {
		c.Repairs.FragmentsMM2 += s.SurfaceMM2
	}
	c.Repairs.NonManifoldEdges, c.Repairs.TwistedEdges = c.edges.many, p.twisted
	c.Rims = c.findRims(c.edges)
	return c
}

// Closed tells whether the surface encloses a body without any filling.
func (c *Cleaned) Closed() bool {
	return len(c.Rims) == 0 && c.Repairs.NonManifoldEdges == 0 && c.Repairs.TwistedEdges == 0
}
