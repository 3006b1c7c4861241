package mesh

import (
	"cmp"
	"slices"
)

// What stands for the twin of a half-edge that has none, or that shares its
// edge with more than one other.
const (
	noTwin    int32 = -1
	manyTwins int32 = -2
)

// edges tells which faces share an edge. Half-edge 3f + k runs from corner k of
// face f to the next one.
type edges struct {
	twin      []int32 // the half-edge of the other face, noTwin or manyTwins
	many      int     // edges of more than two faces
	duplicate []int32 // faces that have the same corners as an earlier one
}

// start and end are the corners of half-edge h, across the third corner.
func (m *Mesh) start(h int32) int32  { return m.Faces[h/3][h%3] }
func (m *Mesh) end(h int32) int32    { return m.Faces[h/3][(h+1)%3] }
func (m *Mesh) across(h int32) int32 { return m.Faces[h/3][(h+2)%3] }

// next is the half-edge after h in its face.
func next(h int32) int32 {
	if h%3 == 2 {
		return h - 2
	}
	return h + 1
}

// findEdges matches the half-edges of a mesh: those of an edge lie in the bucket
// of its lower corner, side by side with its other edges. It takes time in
// proportion to the faces, with a logarithm where very many meet in one corner.
func (m *Mesh) findEdges() *edges {
	first := make([]int32, len(m.Vertices)+1)
	for _, f := range m.Faces {
		first[min(f[0], f[1])]++
		first[min(f[1], f[2])]++
		first[min(f[2], f[0])]++
	}
	total := int32(0)
	for i, n := range first {
		total += n
		first[i] = total
	}
	bucket := make([]int32, 3*len(m.Faces))
	for f := len(m.Faces) - 1; f >= 0; f-- {
		face := &m.Faces[f]
		for k, ends := range [3][2]int32{{face[0], face[1]}, {face[1], face[2]}, {face[2], face[0]}} {
			lower := min(ends[0], ends[1])
			first[lower]--
			bucket[first[lower]] = int32(3*f + k)
		}
	}
	e := &edges{twin: make([]int32, len(bucket))}
	var upper []int32
	for v := range m.Vertices {
		half := bucket[first[v]:first[v+1]]
		upper = upper[:0]
		for _, h := range half {
			upper = append(upper, m.start(h)+m.end(h)-int32(v))
		}
		if len(half) <= fewHalfEdges {
			e.matchFew(m, half, upper)
		} else {
			e.matchMany(m, half, int32(v))
		}
	}
	slices.Sort(e.duplicate)
	e.duplicate = slices.Compact(e.duplicate)
	return e
}

// fewHalfEdges is up to how many half-edges of a corner are compared one by one.
const fewHalfEdges = 24

// matchFew matches the half-edges of a corner; upper are their other ends.
func (e *edges) matchFew(m *Mesh, half, upper []int32) {
	for i, h := range half {
		if upper[i] < 0 {
			continue
		}
		partner, more := -1, false
		for j := i + 1; j < len(half); j++ {
			if upper[j] != upper[i] {
				continue
			}
			if partner >= 0 {
				more = true
				break
			}
			partner = j
		}
		switch {
		case partner < 0:
			e.twin[h] = noTwin
		case more:
			same := []int32{h}
			for j := i + 1; j < len(half); j++ {
				if upper[j] == upper[i] {
					same = append(same, half[j])
					upper[j] = -1
				}
			}
			e.join(m, same)
		default:
			upper[partner] = -1
			e.pair(m, h, half[partner])
		}
	}
}

// matchMany sorts the half-edges of a corner by their other ends.
func (e *edges) matchMany(m *Mesh, half []int32, corner int32) {
	other := func(h int32) int32 { return m.start(h) + m.end(h) - corner }
	slices.SortFunc(half, func(a, b int32) int { return cmp.Or(cmp.Compare(other(a), other(b)), cmp.Compare(a, b)) })
	for len(half) > 0 {
		n := 1
		for n < len(half) && other(half[n]) == other(half[0]) {
			n++
		}
		switch n {
		case 1:
			e.twin[half[0]] = noTwin
		case 2:
			e.pair(m, half[0], half[1])
		default:
			e.join(m, half[:n])
		}
		half = half[n:]
	}
}

// pair makes twins of two half-edges.
func (e *edges) pair(m *Mesh, a, b int32) {
	e.twin[a], e.twin[b] = b, a
	if m.across(a) == m.across(b) {
		e.duplicate = append(e.duplicate, max(a, b)/3)
	}
}

// join marks the half-edges of an edge of more than two faces.
func (e *edges) join(m *Mesh, half []int32) {
	e.many++
	for _, h := range half {
		e.twin[h] = manyTwins
	}
	byAcross := slices.Clone(half)
	slices.SortFunc(byAcross, func(a, b int32) int { return cmp.Or(cmp.Compare(m.across(a), m.across(b)), cmp.Compare(a, b)) })
	for i := 1; i < len(byAcross); i++ {
		if m.across(byAcross[i]) == m.across(byAcross[i-1]) {
			e.duplicate = append(e.duplicate, byAcross[i]/3)
		}
	}
}

// withoutDuplicates returns the edges of the mesh after it took out faces that
// are there again, and how many those were.
func (m *Mesh) withoutDuplicates() (*edges, int) {
	e := m.findEdges()
	n := len(e.duplicate)
	if n == 0 {
		return e, 0
	}
	drop := make([]bool, len(m.Faces))
	for _, f := range e.duplicate {
		drop[f] = true
	}
	kept := m.Faces[:0]
	for f, face := range m.Faces {
		if !drop[f] {
			kept = append(kept, face)
		}
	}
	m.Faces = kept
	return m.findEdges(), n
}
