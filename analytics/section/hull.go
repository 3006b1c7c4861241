package section

import (
	"cmp"
	"slices"
)

// hullPerimeter returns the perimeter of the convex hull of points (A. M.
// Andrew, Inf. Process. Lett. 1979;9:216–219); twice their distance for two. The
// points are sorted.
func hullPerimeter(points []Point) float64 {
	slices.SortFunc(points, func(p, q Point) int {
		switch {
		case p.U < q.U:
			return -1
		case p.U > q.U:
			return 1
		}
		return cmp.Compare(p.V, q.V)
	})
	perimeter := 0.0
	hull := make([]Point, 0, 64)
	half := func() {
		for i := 1; i < len(hull); i++ {
			perimeter += hull[i].distance(hull[i-1])
		}
		hull = hull[:0]
	}
	add := func(p Point) {
		for n := len(hull); n > 1; n = len(hull) {
			a, b := hull[n-2], hull[n-1]
			if float64((b.U-a.U)*(p.V-a.V))-float64((b.V-a.V)*(p.U-a.U)) > 0 {
				break
			}
			hull = hull[:n-1]
		}
		hull = append(hull, p)
	}
	for _, p := range points {
		add(p)
	}
	half()
	for _, p := range slices.Backward(points) {
		add(p)
	}
	half()
	return perimeter
}
