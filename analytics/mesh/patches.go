package mesh

import (
	"fairlead/analytics/geom"
)

// patches are the parts of a mesh that hang together by edges of two faces,
// each turned one way.
type patches struct {
	of      []int32 // face → patch
	turned  []bool  // face → has to be turned over
	all     []patch
	twisted int // edges whose faces can't be turned the same way
}

// patch is what is summed over the faces of one.
type patch struct {
	faces    int
	area     float64
	volume   float64 // signed, from the middle of its rim
	rim      geom.Vec
	rimMM    float64
	turnOver bool
}

// findPatches walks over the faces from one to the next, turns each like the
// one it came from, and then every patch outward.
func (m *Mesh) findPatches(e *edges) *patches {
	p := &patches{of: make([]int32, len(m.Faces)), turned: make([]bool, len(m.Faces))}
	for f := range p.of {
		p.of[f] = -1
	}
	var queue []int32
	for first := range m.Faces {
		if p.of[first] >= 0 {
			continue
		}
		number := int32(len(p.all))
		p.of[first] = number
		queue = append(queue[:0], int32(first))
		for len(queue) > 0 {
			f := queue[len(queue)-1]
			queue = queue[:len(queue)-1]
			for h := 3 * f; h < 3*f+3; h++ {
				t := e.twin[h]
				if t < 0 {
					continue
				}
				over := p.turned[f] != (m.start(t) == m.start(h))
				g := t / 3
				if p.of[g] < 0 {
					p.of[g], p.turned[g] = number, over
					queue = append(queue, g)
				} else if p.turned[g] != over && h < t {
					p.twisted++
				}
			}
		}
		p.all = append(p.all, patch{})
	}
	p.measure(m, e)
	for f, n := range p.of {
		p.turned[f] = p.turned[f] != p.all[n].turnOver
	}
	return p
}

// measure sums up area and signed volume of each patch. The volume of an open
// one is that of the patch closed by a cone over its rim, whose top is the
// middle of the rim and takes no part in the sum.
func (p *patches) measure(m *Mesh, e *edges) {
	for h, t := range e.twin {
		if t >= 0 {
			continue
		}
		a, b := m.Vertices[m.start(int32(h))], m.Vertices[m.end(int32(h))]
		length := a.Distance(b)
		q := &p.all[p.of[h/3]]
		q.rim = q.rim.Add(a.Add(b).Mul(length / 2))
		q.rimMM += length
	}
	for i := range p.all {
		if q := &p.all[i]; q.rimMM > 0 {
			q.rim = q.rim.Mul(1 / q.rimMM)
		}
	}
	centre := geom.BoxOf(m.Vertices).Centre()
	for f, face := range m.Faces {
		q := &p.all[p.of[f]]
		o := q.rim
		if q.rimMM == 0 {
			o = centre
		}
		a, b, c := m.corners(face)
		a, b, c = a.Sub(o), b.Sub(o), c.Sub(o)
		normal := b.Sub(a).Cross(c.Sub(a))
		sixth := a.Dot(normal)
		if p.turned[f] {
			sixth = -sixth
		}
		q.faces++
		q.area += normal.Norm() / 2
		q.volume += sixth / 6
	}
	for i := range p.all {
		q := &p.all[i]
		q.turnOver = q.volume < 0
		if q.turnOver {
			q.volume = -q.volume
		}
	}
}

// turn turns faces over, and their half-edges with them: of corners a b c
// become a c b, so that the first and the last half-edge change places.
func (m *Mesh) turn(e *edges, turned []bool) int {
	n := 0
	for f, over := range turned {
		if !over {
			continue
		}
		n++
		face := &m.Faces[f]
		face[1], face[2] = face[2], face[1]
		h := int32(3 * f)
		e.twin[h], e.twin[h+2] = e.twin[h+2], e.twin[h]
	}
	if n == 0 {
		return 0
	}
	for h, t := range e.twin { // twins name the half-edges as they were numbered before
		if t >= 0 && turned[t/3] && t%3 != 1 {
			e.twin[h] = t - t%3 + (2 - t%3)
		}
	}
	return n
}
