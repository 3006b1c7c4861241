package section

import (
	"math"
	"sync"

	"fairlead/analytics/mesh"
)

// Section is a cut across the axis.
type Section struct {
	LevelMM   float64
	GirthMM   float64 // perimeter of the convex hull: what a tape reads
	ContourMM float64
	AreaMM2   float64
	Centroid  Point
	Complete  bool // the whole contour was scanned
	GapMM     float64
	// How far off the figures may be because of the gaps.
	GirthBoundMM   float64
	ContourBoundMM float64
	AreaBoundMM2   float64
	// Contours are closed lines, counter-clockwise about the solid as seen
	// against the axis; the first point is not repeated.
	Contours [][]Point
}

// Cut cuts a mesh that is turned outward at levels, in mm along the axis, and
// returns a section for each in their order. A level beyond the mesh gives a
// section without contours, which is not complete. measured is how many of the
// faces, from the first, were scanned; the rest are a filling, whose parts of a
// contour count as gaps.
//
// Time grows with the faces, hardly with the levels; the result does not depend
// on the number of processors.
func Cut(m *mesh.Mesh, measured int, axis Axis, levels []float64) []Section {
	h := newHeights(m, axis, levels)
	crossed := h.crossings(m)
	byLevel := make([]Section, len(h.levels))
	var odd sync.WaitGroup
	work := func(first int) {
		j := &joiner{mesh: m, axis: axis, heights: h, measured: int32(measured)}
		for i := first; i < len(byLevel); i += 2 {
			byLevel[i] = j.section(h.levels[i], crossed[0][i], crossed[1][i])
		}
	}
	odd.Go(func() { work(1) })
	work(0)
	odd.Wait()
	at := make(map[float64]int, len(h.levels))
	for i, z := range h.levels {
		at[z] = i
	}
	sections := make([]Section, len(levels))
	for i, z := range levels {
		sections[i] = byLevel[at[z]]
	}
	return sections
}

// crossings returns for each level the faces that cross it, in their order: the
// first half of the faces, then the second.
func (h *heights) crossings(m *mesh.Mesh) (halves [2][][]int32) {
	middle := len(m.Faces) / 2
	find := func(half, from, to int) {
		lists := make([][]int32, len(h.levels))
		for f := from; f < to; f++ {
			low, high := h.span(m.Faces[f])
			for ; low < high; low++ {
				lists[low] = append(lists[low], int32(f))
			}
		}
		halves[half] = lists
	}
	var second sync.WaitGroup
	second.Go(func() { find(1, middle, len(m.Faces)) })
	find(0, 0, middle)
	second.Wait()
	return halves
}

// atBoth does work on two halves of n at once.
func atBoth(n int, work func(from, to int)) {
	var second sync.WaitGroup
	second.Go(func() { work(n/2, n) })
	work(0, n/2)
	second.Wait()
}

// girthOverGap is by how much a half circle is longer than its chord.
const girthOverGap = math.Pi/2 - 1

// addGap counts a gap of a chord.
func (s *Section) addGap(chord float64) {
	s.GapMM += chord
	s.GirthBoundMM += girthOverGap * chord
	s.ContourBoundMM += girthOverGap * chord
	s.AreaBoundMM2 += math.Pi / 8 * chord * chord
	s.Complete = false
}

// measure works out the figures of the contours.
func (s *Section) measure() {
	if len(s.Contours) == 0 {
		s.Complete = false
		return
	}
	o := s.Contours[0][0] // a place nearby, so that far ones cost no digits
	var area, mu, mv float64
	var all []Point
	for _, line := range s.Contours {
		q := line[len(line)-1]
		for _, p := range line {
			s.ContourMM += p.distance(q)
			cross := float64((q.U-o.U)*(p.V-o.V)) - float64((p.U-o.U)*(q.V-o.V))
			area += cross / 2
			mu += cross * (q.U - o.U + p.U - o.U)
			mv += cross * (q.V - o.V + p.V - o.V)
			q = p
		}
		all = append(all, line...)
	}
	s.AreaMM2 = area
	s.Centroid = o
	if area != 0 {
		s.Centroid = Point{o.U + mu/(6*area), o.V + mv/(6*area)}
	}
	s.GirthMM = hullPerimeter(all)
}
