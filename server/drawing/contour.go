package drawing

import (
	"math"
	"strings"

	"fairlead/analytics/quantity"
)

// heavyAngle is how far the heavy stroke of a tight side reaches to each side
// of its direction, as an angle of the ellipse it follows.
const heavyAngle = math.Pi / 7

// contour returns the path of the socket and of its tight sides. Between two
// known sides it follows a quarter of an ellipse round the middle of the cover,
// so that the gap on each axis is exactly the reading; beside a side that isn't
// known it stops after an eighth of a turn and stays open.
func (r Ring) contour(s Section, side quantity.Side, reach map[quantity.Direction]float64) (inner, heavy string) {
	var all, tight strings.Builder
	for i, d := range quantity.Directions {
		from, known := reach[d]
		if !known {
			continue
		}
		before := quantity.Directions[(i+3)%4]
		after := quantity.Directions[(i+1)%4]
		for _, neighbour := range []quantity.Direction{before, after} {
			to, ok := reach[neighbour]
			switch {
			case !ok:
				r.arc(&all, side, d, neighbour, from, from, math.Pi/4)
			case neighbour == after && !r.Closed:
				r.arc(&all, side, d, neighbour, from, to, math.Pi/2)
			}
			if s.Gaps[d].Tight {
				if !ok {
					to = from
				}
				r.arc(&tight, side, d, neighbour, from, to, heavyAngle)
			}
		}
	}
	if r.Closed {
		r.loop(&all, side, reach)
	}
	return strings.TrimSpace(all.String()), strings.TrimSpace(tight.String())
}

// arc draws from direction d an angle towards its neighbour, on the ellipse
// whose half-axes are the reaches of both.
func (r Ring) arc(out *strings.Builder, side quantity.Side, d, neighbour quantity.Direction, from, to, angle float64) {
	dx, dy := heading(d, side)
	nx, ny := heading(neighbour, side)
	sin, cos := math.Sincos(angle)
	out.WriteString(" M" + point(r.CX+dx*from, r.CY+dy*from))
	r.elliptic(out, dx != 0, dx*ny-dy*nx > 0, from, to,
		r.CX+dx*from*cos+nx*to*sin, r.CY+dy*from*cos+ny*to*sin)
}

// loop draws the closed curve through all four sides.
func (r Ring) loop(out *strings.Builder, side quantity.Side, reach map[quantity.Direction]float64) {
	first := quantity.Directions[0]
	dx, dy := heading(first, side)
	out.WriteString(" M" + point(r.CX+dx*reach[first], r.CY+dy*reach[first]))
	for i, d := range quantity.Directions {
		next := quantity.Directions[(i+1)%4]
		dx, dy := heading(d, side)
		nx, ny := heading(next, side)
		r.elliptic(out, dx != 0, dx*ny-dy*nx > 0, reach[d], reach[next],
			r.CX+nx*reach[next], r.CY+ny*reach[next])
	}
	out.WriteString(" Z")
}

// elliptic writes one arc command. along says whether the half-axis from lies
// along x; clockwise is as seen on the page.
func (r Ring) elliptic(out *strings.Builder, along, clockwise bool, from, to, x, y float64) {
	rx, ry := to, from
	if along {
		rx, ry = from, to
	}
	sweep := "0"
	if clockwise {
		sweep = "1"
	}
	out.WriteString(" A" + point(rx, ry) + " 0 0 " + sweep + " " + point(x, y))
}
