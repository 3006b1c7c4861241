package drawing

import (
	"fmt"
	"slices"

	"fairlead/analytics/quantity"
)

// The sizes of the map of a leg or arm, in the units of its view box, which is
// as wide as the narrowest phone has room for: so a cell is 46 wide and 48 high
// there, more than a finger needs.
const (
	bodyCellWidth  = 46.0
	bodyCellHeight = 48.0
	bodyViewGap    = 12.0
	bodyHead       = 44.0 // above the cells, for the words
)

// Body is a leg or an arm seen from the front and from the back, in cells that
// each stand for an area.
type Body struct {
	Width, Height float64
	Views         []BodyView
}

// BodyView is one of the two views. Columns are the directions that its cells
// face, from left to right on the page; Outline is the path of the limb.
type BodyView struct {
	Facing  quantity.Direction // anterior or posterior
	Middle  float64
	Columns []BodyColumn
	Cells   []BodyCell
	Outline string
}

// BodyColumn is where the name of a direction stands.
type BodyColumn struct {
	Direction quantity.Direction
	Middle    float64
}

// BodyCell is the rectangle of one area.
type BodyCell struct {
	Area                quantity.Area
	X, Y, Width, Height float64
}

// halfWidths are half the widths of each segment at its upper and lower end. They
// only have to look like a limb; no measure is taken from them.
var halfWidths = map[quantity.Segment][2]float64{
	quantity.Hip: {52, 50}, quantity.Thigh: {50, 38}, quantity.Knee: {36, 32}, quantity.Calf: {36, 20},
	quantity.Ankle: {18, 18}, quantity.Foot: {22, 34},
	quantity.Shoulder: {40, 36}, quantity.UpperArm: {34, 28}, quantity.Elbow: {27, 27}, quantity.Forearm: {30, 19},
	quantity.Wrist: {17, 18}, quantity.Hand: {26, 20},
}

// DrawBody draws the segments, given from the trunk outwards, of a limb of the
// side; where the side is not known it draws a left one. Seen from the front the
// outer side of a left limb is on the right of the page, seen from the back on
// the left.
func DrawBody(segments []quantity.Segment, side quantity.Side) Body {
	width := 3 * bodyCellWidth
	b := Body{Width: 2*width + bodyViewGap, Height: bodyHead + bodyCellHeight*float64(len(segments)) + 2}
	for i, facing := range []quantity.Direction{quantity.Anterior, quantity.Posterior} {
		columns := []quantity.Direction{quantity.Medial, facing, quantity.Lateral}
		if (facing == quantity.Posterior) != (side == quantity.Right) {
			slices.Reverse(columns)
		}
		b.Views = append(b.Views, bodyView(segments, columns, facing, float64(i)*(width+bodyViewGap)))
	}
	return b
}

func bodyView(segments []quantity.Segment, columns []quantity.Direction, facing quantity.Direction, left float64) BodyView {
	v := BodyView{Facing: facing, Middle: left + 1.5*bodyCellWidth}
	for i, d := range columns {
		v.Columns = append(v.Columns, BodyColumn{Direction: d, Middle: left + (float64(i)+0.5)*bodyCellWidth})
	}
	var down, up []bodyPoint
	for row, segment := range segments {
		y := bodyHead + float64(row)*bodyCellHeight
		for i, d := range columns {
			v.Cells = append(v.Cells, BodyCell{
				Area: quantity.AreaOf(segment, d), X: left + float64(i)*bodyCellWidth, Y: y, Width: bodyCellWidth, Height: bodyCellHeight,
			})
		}
		for end, half := range halfWidths[segment] {
			at := y + 6 + float64(end)*(bodyCellHeight-12)
			down, up = append(down, bodyPoint{v.Middle + half, at}), append(up, bodyPoint{v.Middle - half, at})
		}
	}
	slices.Reverse(up)
	v.Outline = "M" + smooth(down) + " L" + smooth(up) + " Z"
	return v
}

type bodyPoint struct{ x, y float64 }

// smooth is a path through the points, from the first on, that bends as a
// Catmull-Rom spline does: each piece is a cubic whose ends run parallel to the
// line between the neighbours.
func smooth(through []bodyPoint) string {
	at := func(i int) bodyPoint { return through[min(max(i, 0), len(through)-1)] }
	path := fmt.Sprintf("%.1f %.1f", through[0].x, through[0].y)
	for i := range len(through) - 1 {
		a, b, c, d := at(i-1), at(i), at(i+1), at(i+2)
		path += fmt.Sprintf(" C%.1f %.1f %.1f %.1f %.1f %.1f", b.x+(c.x-a.x)/6, b.y+(c.y-a.y)/6, c.x-(d.x-b.x)/6, c.y-(d.y-b.y)/6, c.x, c.y)
	}
	return path
}
