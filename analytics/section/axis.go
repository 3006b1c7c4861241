package section

import (
	"errors"
	"math"

	"fairlead/analytics/geom"
)

// Axis is the line across which sections are cut. Levels grow along Direction
// and are 0 at Origin; U and V span the planes of the sections, V = Direction × U.
type Axis struct{ Origin, Direction, U, V geom.Vec }

// ErrNoDirection is the error of NewAxis.
var ErrNoDirection = errors.New("section: an axis needs a direction of finite length that is not zero")

// NewAxis returns the axis through a point in a direction of any length. U is
// as near to towards as the planes of the sections allow; the zero vector leaves
// the choice free.
func NewAxis(origin, direction, towards geom.Vec) (Axis, error) {
	d, ok := direction.Unit()
	if !ok {
		return Axis{}, ErrNoDirection
	}
	u, ok := towards.Sub(d.Mul(towards.Dot(d))).Unit()
	if !ok {
		u = d.Across()
	}
	return Axis{Origin: origin, Direction: d, U: u, V: d.Cross(u)}, nil
}

// Level returns how far along the axis a point is.
func (a Axis) Level(p geom.Vec) float64 { return p.Sub(a.Origin).Dot(a.Direction) }

// At returns the point of a section at a level.
func (a Axis) At(level float64, p Point) geom.Vec {
	return a.Origin.Add(a.Direction.Mul(level)).Add(a.U.Mul(p.U)).Add(a.V.Mul(p.V))
}

// Point is a place within a section, in mm along U and V.
type Point struct{ U, V float64 }

func (p Point) distance(q Point) float64 { return math.Hypot(p.U-q.U, p.V-q.V) }

// point returns the place of p seen along the axis.
func (a Axis) point(p geom.Vec) Point {
	d := p.Sub(a.Origin)
	return Point{d.Dot(a.U), d.Dot(a.V)}
}
