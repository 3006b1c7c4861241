package section

import (
	"fairlead/analytics/geom"
	"fairlead/analytics/mesh"
)

// Beyond returns for each level the volume in mm³ of the solid beyond it, where
// the axis points: the flux of a field that grows along the axis and vanishes on
// the level, so that the plane of the cut adds nothing (divergence theorem). It
// is exact to rounding, and needs only what lies beyond the level to be closed
// and turned outward: a scan that is open at its proximal end has its volume
// beyond any level below the opening. Holes must be filled (mesh.Cleaned.Fill),
// with the error of the filling.
func Beyond(m *mesh.Mesh, axis Axis, levels []float64) []float64 {
	h := newHeights(m, axis, levels)
	n := len(h.levels)
	whole := make([]flux, n+1) // of the faces of which all corners passed so many levels
	cut := make([]geom.Sum, n)
	for _, f := range m.Faces {
		a, b, c := m.Vertices[f[0]], m.Vertices[f[1]], m.Vertices[f[2]]
		area := b.Sub(a).Cross(c.Sub(a)).Dot(axis.Direction) / 2
		low, high := h.span(f)
		d := [3]float64{h.at[f[0]], h.at[f[1]], h.at[f[2]]}
		w := &whole[low]
		w.area.Add(area)
		w.moment.Add(float64(area * (d[0] + d[1] + d[2]) / 3))
		for i := low; i < high; i++ {
			cut[i].Add(area * partBeyond(d[0]-h.levels[i], d[1]-h.levels[i], d[2]-h.levels[i]))
		}
	}
	byLevel := make(map[float64]float64, n)
	var area, moment geom.Sum
	for i := n - 1; i >= 0; i-- {
		w := &whole[i+1]
		area.Add(w.area.Total())
		moment.Add(w.moment.Total())
		byLevel[h.levels[i]] = moment.Total() - h.levels[i]*area.Total() + cut[i].Total()
	}
	volumes := make([]float64, len(levels))
	for i, z := range levels {
		volumes[i] = byLevel[z]
	}
	return volumes
}

// flux is what faces give to the flux through any level below them: their area
// seen along the axis, and that times their height.
type flux struct{ area, moment geom.Sum }

// Between returns the volume in mm³ of the solid between two levels of the
// axis, as Beyond.
func Between(m *mesh.Mesh, axis Axis, from, to float64) float64 {
	v := Beyond(m, axis, []float64{min(from, to), max(from, to)})
	return v[0] - v[1]
}

// partBeyond returns the mean of the height over a triangle of area 1, taken for
// 0 where it is negative, from the heights of the corners. One corner is alone
// on its side of the level; it spans the part t·u of the triangle.
func partBeyond(a, b, c float64) float64 {
	above := 0
	for _, d := range [...]float64{a, b, c} {
		if d >= 0 {
			above++
		}
	}
	for range 2 { // let a be the corner that is alone
		if (a >= 0) == (above == 1) && (b >= 0) != (above == 1) && (c >= 0) != (above == 1) {
			break
		}
		a, b, c = b, c, a
	}
	corner := a / (a - b) * (a / (a - c)) * a / 3
	if above == 1 {
		return corner
	}
	return (a+b+c)/3 - corner
}
