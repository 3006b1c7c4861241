package scan

import (
	"math"

	"fairlead/analytics/geom"
	"fairlead/analytics/mesh"
	"fairlead/analytics/section"
	"gonum.org/v1/gonum/mat"
)

// Frame is where the limb lies in the file: the axis from proximal to distal,
// whose origin is level with the outermost distal point.
type Frame struct {
	section.Axis
	LengthMM float64
	How      string
}

// How a frame came about.
const (
	FrameStated  = "stated"
	FrameOpening = "long axis of the surface, distal away from the opening"
	FrameEnds    = "long axis of the surface, distal at the smaller end"
)

// NewFrame returns the frame along a direction from proximal to distal.
func NewFrame(m *mesh.Mesh, direction geom.Vec, how string) (Frame, error) {
	o := geom.BoxOf(m.Vertices).Centre()
	axis, err := section.NewAxis(o, direction, geom.Vec{})
	if err != nil {
		return Frame{}, err
	}
	low, high := math.Inf(1), math.Inf(-1)
	for _, p := range m.Vertices {
		z := axis.Level(p)
		low, high = min(low, z), max(high, z)
	}
	axis.Origin = o.Add(axis.Direction.Mul(high))
	return Frame{Axis: axis, LengthMM: high - low, How: how}, nil
}

// Propose returns a frame from the shape alone: the axis of the least moment of
// the surface, distal away from the proximal opening, or, without one, at the
// end whose section near the tip is the smaller one. It is a proposal: a limb
// that is hardly longer than broad, or is scanned with its joint bent, needs
// the axis to be stated. The error wraps section.ErrNoDirection when the
// surface has no extent.
func (s *Scan) Propose() (Frame, error) {
	direction := longAxis(&s.Mesh)
	for i := range s.Rims {
		if r := &s.Rims[i]; r.Kind == mesh.ProximalOpening {
			if direction.Dot(r.Outward) > 0 {
				direction = direction.Mul(-1)
			}
			return NewFrame(&s.Mesh, direction, FrameOpening)
		}
	}
	f, err := NewFrame(&s.Mesh, direction, FrameEnds)
	if err != nil {
		return f, err
	}
	tip := nearTip * f.LengthMM
	ends := section.Cut(&s.Mesh, len(s.Faces), f.Axis, []float64{-tip, tip - f.LengthMM})
	if ends[0].AreaMM2 > ends[1].AreaMM2 {
		return NewFrame(&s.Mesh, direction.Mul(-1), FrameEnds)
	}
	return f, nil
}

// nearTip is how far from a tip, in parts of the length, the ends are compared:
// a rounded end is well below its full breadth there.
const nearTip = 0.05

// longAxis returns the direction in which the surface spreads most: the first
// eigenvector of the second moments of its faces, each taken as its area at its
// middle.
func longAxis(m *mesh.Mesh) geom.Vec {
	o := geom.BoxOf(m.Vertices).Centre()
	var total, xx, xy, xz, yy, yz, zz float64
	var sum geom.Vec
	for _, f := range m.Faces {
		a, b, c := m.Vertices[f[0]], m.Vertices[f[1]], m.Vertices[f[2]]
		w := b.Sub(a).Cross(c.Sub(a)).Norm()
		p := a.Add(b).Add(c).Mul(1. / 3).Sub(o)
		total += w
		sum = sum.Add(p.Mul(w))
		xx, xy, xz = xx+w*p.X*p.X, xy+w*p.X*p.Y, xz+w*p.X*p.Z
		yy, yz, zz = yy+w*p.Y*p.Y, yz+w*p.Y*p.Z, zz+w*p.Z*p.Z
	}
	if total == 0 {
		return geom.Vec{}
	}
	c := sum.Mul(1 / total)
	moments := mat.NewSymDense(3, []float64{
		xx/total - c.X*c.X, xy/total - c.X*c.Y, xz/total - c.X*c.Z,
		0, yy/total - c.Y*c.Y, yz/total - c.Y*c.Z,
		0, 0, zz/total - c.Z*c.Z,
	})
	var eigen mat.EigenSym
	if !eigen.Factorize(moments, true) {
		return geom.Vec{}
	}
	var vectors mat.Dense
	eigen.VectorsTo(&vectors)
	return geom.Vec{X: vectors.At(0, 2), Y: vectors.At(1, 2), Z: vectors.At(2, 2)}
}
