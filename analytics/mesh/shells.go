package mesh

import (
	"cmp"
	"slices"
)

// fragmentShare is the share of all surface below which a piece that floats
// about is a fragment: on a limb of 80,000 mm² a piece as large as the palm of
// a child. A larger piece is kept and counted, since it may be the limb itself
// or a second body.
const fragmentShare = 0.05

// Shell is a piece of surface that hangs together by its edges.
type Shell struct {
	Faces      int
	SurfaceMM2 float64
	Closed     bool
}

// shellsOf joins patches that touch along edges of more than two faces, and
// returns the shell of each patch and the shells.
func (m *Mesh) shellsOf(e *edges, p *patches) ([]int32, []Shell) {
	root := make([]int32, len(p.all))
	for i := range root {
		root[i] = int32(i)
	}
	find := func(i int32) int32 {
		for root[i] != i {
			root[i] = root[root[i]]
			i = root[i]
		}
		return i
	}
	if e.many > 0 {
		seen := make(map[[2]int32]int32, e.many)
		for h, t := range e.twin {
			if t != manyTwins {
				continue
			}
			a, b := m.start(int32(h)), m.end(int32(h))
			key := [2]int32{min(a, b), max(a, b)}
			n := find(p.of[h/3])
			if other, ok := seen[key]; ok {
				other = find(other)
				root[max(n, other)] = min(n, other)
				n = min(n, other)
			}
			seen[key] = n
		}
	}
	number := make([]int32, len(p.all))
	var shells []Shell
	for i := range p.all {
		r := find(int32(i))
		if r == int32(i) {
			number[i] = int32(len(shells))
			shells = append(shells, Shell{Closed: true})
		} else {
			number[i] = number[r] // a root is never after what hangs on it
		}
		s := &shells[number[i]]
		s.Faces += p.all[i].faces
		s.SurfaceMM2 += p.all[i].area
		s.Closed = s.Closed && p.all[i].rimMM == 0
	}
	return number, shells
}

// fragmentsOf tells which shells are fragments: those below fragmentShare of
// the surface, but never the largest.
func fragmentsOf(shells []Shell) []bool {
	total, largest := 0.0, 0
	for i, s := range shells {
		total += s.SurfaceMM2
		if s.SurfaceMM2 > shells[largest].SurfaceMM2 {
			largest = i
		}
	}
	fragment := make([]bool, len(shells))
	for i, s := range shells {
		fragment[i] = i != largest && s.SurfaceMM2 < fragmentShare*total
	}
	return fragment
}

// dropFragments takes out the faces of fragments, with their vertices and
// edges, and returns the shells that are left, the largest first.
func (m *Mesh) dropFragments(e *edges, p *patches, shellOf []int32, shells []Shell) (left []Shell, dropped []Shell) {
	fragment := fragmentsOf(shells)
	for i, s := range shells {
		if fragment[i] {
			dropped = append(dropped, s)
		} else {
			left = append(left, s)
		}
	}
	slices.SortStableFunc(left, func(a, b Shell) int { return cmp.Compare(b.SurfaceMM2, a.SurfaceMM2) })
	if len(dropped) == 0 {
		return left, nil
	}
	number := make([]int32, len(m.Faces))
	kept := int32(0)
	for f := range m.Faces {
		number[f] = -1
		if !fragment[shellOf[p.of[f]]] {
			number[f] = kept
			m.Faces[kept] = m.Faces[f]
			copy(e.twin[3*kept:3*kept+3], e.twin[3*f:3*f+3])
			kept++
		}
	}
	m.Faces, e.twin = m.Faces[:kept], e.twin[:3*kept]
	for h, t := range e.twin {
		if t >= 0 {
			e.twin[h] = 3*number[t/3] + t%3
		}
	}
	m.dropUnused()
	return left, dropped
}
