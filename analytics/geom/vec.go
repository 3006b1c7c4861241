package geom

import "math"

// Vec is a point or a direction.
type Vec struct{ X, Y, Z float64 }

// Add returns a + b.
func (a Vec) Add(b Vec) Vec { return Vec{a.X + b.X, a.Y + b.Y, a.Z + b.Z} }

// Sub returns a − b.
func (a Vec) Sub(b Vec) Vec { return Vec{a.X - b.X, a.Y - b.Y, a.Z - b.Z} }

// Mul returns k·a.
func (a Vec) Mul(k float64) Vec { return Vec{k * a.X, k * a.Y, k * a.Z} }

// Dot returns the scalar product of a and b.
func (a Vec) Dot(b Vec) float64 {
	return float64(a.X*b.X) + float64(a.Y*b.Y) + float64(a.Z*b.Z)
}

// Cross returns the vector product of a and b.
func (a Vec) Cross(b Vec) Vec {
	return Vec{
		float64(a.Y*b.Z) - float64(a.Z*b.Y),
		float64(a.Z*b.X) - float64(a.X*b.Z),
		float64(a.X*b.Y) - float64(a.Y*b.X),
	}
}

// Norm returns the length of a.
func (a Vec) Norm() float64 { return math.Sqrt(a.Dot(a)) }

// Distance returns the distance of a and b.
func (a Vec) Distance(b Vec) float64 { return a.Sub(b).Norm() }

// Unit returns the direction of a, and whether it has one: the zero vector and
// what is not finite have none.
func (a Vec) Unit() (Vec, bool) {
	n := a.Norm()
	if !(n > 0) || math.IsInf(n, 0) {
		return Vec{}, false
	}
	return Vec{a.X / n, a.Y / n, a.Z / n}, true
}

// Across returns a unit vector square to a unit vector a. It changes smoothly
// but where a turns from one nearest axis to another.
func (a Vec) Across() Vec {
	other := Vec{X: 1}
	if math.Abs(a.X) > math.Abs(a.Y) {
		other = Vec{Y: 1}
	}
	across, _ := a.Cross(other).Unit()
	return across
}

// Box is the smallest box along the axes that holds some points.
type Box struct{ Min, Max Vec }

// BoxOf returns the box of points; the empty box has Min above Max.
func BoxOf(points []Vec) Box {
	inf := math.Inf(1)
	b := Box{Vec{inf, inf, inf}, Vec{-inf, -inf, -inf}}
	for _, p := range points {
		b.Min = Vec{min(b.Min.X, p.X), min(b.Min.Y, p.Y), min(b.Min.Z, p.Z)}
		b.Max = Vec{max(b.Max.X, p.X), max(b.Max.Y, p.Y), max(b.Max.Z, p.Z)}
	}
	return b
}

// Centre returns the middle of the box.
func (b Box) Centre() Vec { return b.Min.Add(b.Max).Mul(0.5) }

// Size returns the lengths of the sides.
func (b Box) Size() Vec { return b.Max.Sub(b.Min) }
