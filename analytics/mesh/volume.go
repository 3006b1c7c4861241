package mesh

import (
	"math"
	"sync"

	"fairlead/analytics/geom"
)

// block is how many faces are summed plainly before the sum goes into one that
// keeps what rounding loses. Blocks make the result the same however many
// processors work on them.
const block = 1 << 12

// Volume returns the volume that the faces enclose, in mm³, by the divergence
// theorem: a sixth of Σ a·(b × c), measured from the middle of the mesh so that
// its place costs no digits. It is exact to rounding (about 1e-15 of the volume
// times √block) for a closed mesh that is turned outward, whatever its shape;
// for an open one it means nothing until Caps are added.
func (m *Mesh) Volume() float64 {
	o := geom.BoxOf(m.Vertices).Centre()
	return m.sum(func(faces []Face) float64 {
		total := 0.0
		for _, f := range faces {
			a, b, c := m.Vertices[f[0]].Sub(o), m.Vertices[f[1]].Sub(o), m.Vertices[f[2]].Sub(o)
			total += a.Dot(b.Cross(c))
		}
		return total
	}) / 6
}

// Surface returns the area of the faces in mm².
func (m *Mesh) Surface() float64 {
	return m.sum(func(faces []Face) float64 {
		total := 0.0
		for _, f := range faces {
			a, b, c := m.corners(f)
			total += math.Sqrt(norm2(b.Sub(a).Cross(c.Sub(a))))
		}
		return total
	}) / 2
}

func norm2(a geom.Vec) float64 { return a.Dot(a) }

// sum adds up what each block of faces gives, in their order. Two blocks are
// worked on at a time.
func (m *Mesh) sum(of func([]Face) float64) float64 {
	blocks := (len(m.Faces) + block - 1) / block
	parts := make([]float64, blocks)
	work := func(first int) {
		for i := first; i < blocks; i += 2 {
			parts[i] = of(m.Faces[i*block : min((i+1)*block, len(m.Faces))])
		}
	}
	if blocks > 1 {
		var odd sync.WaitGroup
		odd.Go(func() { work(1) })
		work(0)
		odd.Wait()
	} else {
		work(0)
	}
	var total geom.Sum
	for _, p := range parts {
		total.Add(p)
	}
	return total.Total()
}
