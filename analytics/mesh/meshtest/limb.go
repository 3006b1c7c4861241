package meshtest

import (
	"math"

	"fairlead/analytics/mesh"
)

// Limb returns a closed body of about the given number of faces that is shaped
// like a limb: 240 mm long, some 330 mm round, hollowed along three lines,
// rounded at its distal end, which is at z = 0. For benchmarks.
func Limb(faces int) *mesh.Mesh {
	n := int(math.Sqrt(float64(faces) / 2))
	return Body(240, n, n, true, true, func(z, a float64) float64 {
		q := max(0, (45-z)/45)
		return (47 + z/25) * (1 + 0.06*math.Cos(3*a-0.8) + 0.04*math.Cos(5*a)) * math.Sqrt(1-0.98*q*q)
	})
}
