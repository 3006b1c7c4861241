package mesh

import (
	"cmp"
	"math"
	"slices"

	"fairlead/analytics/geom"
)

// RimKind is what a rim surrounds.
type RimKind string

// The kinds of rims.
const (
	ProximalOpening RimKind = "proximal opening" // where the scan was meant to end
	Hole            RimKind = "hole"             // where it has a gap
)

// Rim is a closed line of edges that only one face has.
type Rim struct {
	Vertices []int32 // in the order that the faces beside it run
	LengthMM float64
	AreaMM2  float64  // of the flat surface that it surrounds
	Outward  geom.Vec // square to that surface
	Centre   geom.Vec
	Kind     RimKind
	half     []int32 // the half-edge from each vertex to the next
}

// RadiusMM returns the radius of the circle of the same area.
func (r *Rim) RadiusMM() float64 { return math.Sqrt(r.AreaMM2 / math.Pi) }

// findRims follows the half-edges without a twin, and parts a line that comes
// through the same corner again: two holes that touch there are two.
func (m *Mesh) findRims(e *edges) []Rim {
	var rims []Rim
	seen := map[int32]bool{}
	for first, t := range e.twin {
		if t != noTwin || seen[int32(first)] {
			continue
		}
		var line []int32
		at := map[int32]int{} // corner → where the line left it
		for h := int32(first); h >= 0 && !seen[h]; h = e.nextOfRim(h) {
			seen[h] = true
			at[m.start(h)] = len(line)
			line = append(line, h)
			if from, again := at[m.end(h)]; again {
				rims = append(rims, m.newRim(line[from:]))
				for _, g := range line[from:] {
					delete(at, m.start(g))
				}
				line = line[:from]
			}
		}
		if len(line) > 0 { // it ran into an edge of many faces
			rims = append(rims, m.newRim(line))
		}
	}
	slices.SortStableFunc(rims, func(a, b Rim) int { return cmp.Compare(b.LengthMM, a.LengthMM) })
	m.tellOpening(rims)
	return rims
}

// nextOfRim returns the half-edge without a twin that goes on where h ends,
// found by walking round the corner from face to face; −1 when an edge of many
// faces is in the way.
func (e *edges) nextOfRim(h int32) int32 {
	n := next(h)
	for steps := 0; e.twin[n] >= 0 && steps < len(e.twin); steps++ {
		n = next(e.twin[n])
	}
	if e.twin[n] != noTwin {
		return -1
	}
	return n
}

// newRim returns the rim along some half-edges, one after the other.
func (m *Mesh) newRim(half []int32) Rim {
	r := Rim{half: slices.Clone(half)}
	for _, h := range half {
		r.Vertices = append(r.Vertices, m.start(h))
	}
	m.measureRim(&r)
	return r
}

// measureRim works out length, area, direction and centre.
func (m *Mesh) measureRim(r *Rim) {
	var centre geom.Vec
	for i, v := range r.Vertices {
		a, b := m.Vertices[v], m.Vertices[r.Vertices[(i+1)%len(r.Vertices)]]
		length := a.Distance(b)
		r.LengthMM += length
		centre = centre.Add(a.Add(b).Mul(length / 2))
	}
	r.Centre = m.Vertices[r.Vertices[0]]
	if r.LengthMM > 0 {
		r.Centre = centre.Mul(1 / r.LengthMM)
	}
	var double geom.Vec
	for i, v := range r.Vertices {
		a, b := m.Vertices[v], m.Vertices[r.Vertices[(i+1)%len(r.Vertices)]]
		double = double.Sub(a.Sub(r.Centre).Cross(b.Sub(r.Centre))) // the rim runs against what would fill it
	}
	r.AreaMM2 = double.Norm() / 2
	r.Outward, _ = double.Unit()
	r.Kind = Hole
}

// openingShare is how much of the breadth of the body an opening must take to
// be where the scan was meant to end. Of the ellipse that the body fills seen
// along the opening, the opening of a limb has 0.7 to 1.1; a hole in the side
// is held against the length of the limb and has less than 0.1.
const openingShare = 0.35

// tellOpening names the rim of the largest area a proximal opening when it is
// nearly as broad as the body.
func (m *Mesh) tellOpening(rims []Rim) {
	if len(rims) == 0 {
		return
	}
	largest := &rims[0]
	for i := range rims {
		if rims[i].AreaMM2 > largest.AreaMM2 {
			largest = &rims[i]
		}
	}
	if largest.Outward == (geom.Vec{}) {
		return
	}
	u := largest.Outward.Across()
	v := largest.Outward.Cross(u)
	lowU, highU, lowV, highV := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	for _, p := range m.Vertices {
		lowU, highU = min(lowU, p.Dot(u)), max(highU, p.Dot(u))
		lowV, highV = min(lowV, p.Dot(v)), max(highV, p.Dot(v))
	}
	if largest.AreaMM2 >= openingShare*math.Pi/4*(highU-lowU)*(highV-lowV) {
		largest.Kind = ProximalOpening
	}
}
