package mesh

import "fairlead/analytics/geom"

// mostClipped is the largest polygon whose ears are clipped, which takes n²
// steps; what is larger and not convex is cut into a fan, whose volume is the
// same.
const mostClipped = 256

// triangulate splits a polygon of at least four corners into triangles, given
// by the places of the corners in it. A convex one becomes a fan from its first
// corner, any other is clipped ear by ear (G. H. Meisters, Am. Math. Mon.
// 1975;82:648–651) as it is seen along its own normal (M. E. Newell's). A
// polygon that crosses itself gives some split that covers its corners.
func triangulate(p []geom.Vec) [][3]int {
	normal := newell(p)
	out := make([][3]int, 0, len(p)-2)
	if len(p) > mostClipped || convex(p, normal) {
		for i := 1; i+1 < len(p); i++ {
			out = append(out, [3]int{0, i, i + 1})
		}
		return out
	}
	left := make([]int, len(p))
	for i := range left {
		left[i] = i
	}
	for len(left) > 3 {
		ear := findEar(p, left, normal)
		n := len(left)
		out = append(out, [3]int{left[(ear+n-1)%n], left[ear], left[(ear+1)%n]})
		left = append(left[:ear], left[ear+1:]...)
	}
	return append(out, [3]int{left[0], left[1], left[2]})
}

// newell returns twice the area vector of a closed line of corners.
func newell(p []geom.Vec) geom.Vec {
	var normal geom.Vec
	for i := 1; i+1 < len(p); i++ {
		normal = normal.Add(p[i].Sub(p[0]).Cross(p[i+1].Sub(p[0])))
	}
	return normal
}

// turn is above 0 where a → b → c turns left, seen against the normal.
func turn(a, b, c, normal geom.Vec) float64 { return b.Sub(a).Cross(c.Sub(b)).Dot(normal) }

func convex(p []geom.Vec, normal geom.Vec) bool {
	n := len(p)
	for i := range p {
		if turn(p[i], p[(i+1)%n], p[(i+2)%n], normal) < 0 {
			return false
		}
	}
	return true
}

// findEar returns where among the corners that are left one can be cut off:
// it turns left and no other corner lies in its triangle. A polygon that
// crosses itself may have none; then the first corner is as good as any.
func findEar(p []geom.Vec, left []int, normal geom.Vec) int {
	n := len(left)
	for i := range left {
		before, at, after := left[(i+n-1)%n], left[i], left[(i+1)%n]
		a, b, c := p[before], p[at], p[after]
		if turn(a, b, c, normal) <= 0 {
			continue
		}
		empty := true
		for _, j := range left {
			if j == before || j == at || j == after {
				continue
			}
			q := p[j]
			if turn(a, b, q, normal) >= 0 && turn(b, c, q, normal) >= 0 && turn(c, a, q, normal) >= 0 {
				empty = false
				break
			}
		}
		if empty {
			return i
		}
	}
	return 0
}
