package mesh

import (
	"math"

	"fairlead/analytics/geom"
)

// Filling is what was added to close a surface, and how wrong it may be.
type Filling struct {
	OpeningMM2 float64 // flat, over the proximal opening
	HolesMM2   float64 // curved, over the holes
	// HolesMM3 bounds the error of a volume for the holes: half a ball over
	// each, which no surface leaves that is nowhere bent more sharply than the
	// hole itself.
	HolesMM3 float64
}

// mostRings is how finely a hole is filled at most.
const mostRings = 8

// Fill returns the mesh closed over its rims. The proximal opening gets a flat
// lid; a hole gets the quadratic surface that goes through its rim with the
// slope that the faces beside it have on average, since a flat lid would lose
// the bulge. The mesh itself is returned when there is nothing to fill.
func (c *Cleaned) Fill() (*Mesh, Filling) {
	if len(c.Rims) == 0 {
		return &c.Mesh, Filling{}
	}
	var filling Filling
	closed := &Mesh{
		Vertices: append(make([]geom.Vec, 0, len(c.Vertices)+len(c.Vertices)/16), c.Vertices...),
		Faces:    append(make([]Face, 0, len(c.Faces)+len(c.Faces)/16), c.Faces...),
	}
	for i := range c.Rims {
		r := &c.Rims[i]
		before := len(closed.Faces)
		closed.fill(r, c.rises(r))
		area := (&Mesh{closed.Vertices, closed.Faces[before:]}).Surface()
		if r.Kind == ProximalOpening {
			filling.OpeningMM2 += area
			continue
		}
		filling.HolesMM2 += area
		filling.HolesMM3 += 2. / 3 * math.Pi * math.Pow(r.RadiusMM(), 3)
	}
	return closed, filling
}

// rises returns how far the middle of a rim's filling lies above its centre,
// 0 for an opening. On a surface z = h − k(direction)·ρ², of which the rim is at
// z and ρ, the slope beside it at the distance s is −2(h − z)s/ρ²; so each face
// beside the rim gives h = z − slope·ρ²/2s.
func (c *Cleaned) rises(r *Rim) float64 {
	if r.Kind == ProximalOpening {
		return 0
	}
	sum, n := 0.0, 0
	for i, h := range r.half {
		a, b, third := c.Vertices[r.Vertices[i]], c.Vertices[r.Vertices[(i+1)%len(r.Vertices)]], c.Vertices[c.across(h)]
		normal, ok := b.Sub(a).Cross(third.Sub(a)).Unit()
		steep := normal.Dot(r.Outward)
		if !ok || steep < steepest {
			continue
		}
		middle := a.Add(b).Mul(0.5).Sub(r.Centre)
		z := middle.Dot(r.Outward)
		rho := middle.Sub(r.Outward.Mul(z)).Norm()
		side := a.Add(b).Add(third).Mul(1. / 3).Sub(r.Centre)
		side = side.Sub(r.Outward.Mul(side.Dot(r.Outward)))
		direction, ok := side.Unit()
		if !ok || rho == 0 {
			continue
		}
		slope := -normal.Dot(direction) / steep
		sum += z - slope*rho*rho/(2*side.Norm())
		n++
	}
	if n == 0 {
		return 0
	}
	most := r.RadiusMM() / 2
	return max(-most, min(most, sum/float64(n)))
}

// steepest is the cosine of the slope beyond which a face beside a hole says
// nothing about the bulge over it.
const steepest = 0.3

// fill adds rings of faces from a rim to its middle, which lies rise above the
// centre.
func (m *Mesh) fill(r *Rim, rise float64) {
	n := len(r.Vertices)
	rings := 1
	if r.Kind == Hole && r.LengthMM > 0 {
		rings = max(1, min(mostRings, int(math.Round(r.RadiusMM()*float64(n)/r.LengthMM))))
	}
	rim := make([]geom.Vec, n)
	outer := make([]int32, n)
	for i := range rim { // against the rim's direction, so that the filling looks outward
		outer[i] = r.Vertices[n-1-i]
		rim[i] = m.Vertices[outer[i]].Sub(r.Centre)
	}
	for ring := rings - 1; ring > 0; ring-- {
		t := float64(ring) / float64(rings)
		inner := make([]int32, n)
		for i, p := range rim {
			z := p.Dot(r.Outward)
			flat := p.Sub(r.Outward.Mul(z))
			at := r.Centre.Add(flat.Mul(t)).Add(r.Outward.Mul(t*t*z + (1-t*t)*rise))
			inner[i] = int32(len(m.Vertices))
			m.Vertices = append(m.Vertices, at)
		}
		for i := range outer {
			k := (i + 1) % n
			m.Faces = append(m.Faces, Face{outer[i], outer[k], inner[k]}, Face{outer[i], inner[k], inner[i]})
		}
		outer = inner
	}
	top := int32(len(m.Vertices))
	m.Vertices = append(m.Vertices, r.Centre.Add(r.Outward.Mul(rise)))
	for i := range outer {
		m.Faces = append(m.Faces, Face{outer[i], outer[(i+1)%n], top})
	}
}
