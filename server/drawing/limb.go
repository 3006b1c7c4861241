package drawing

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"fairlead/analytics/girth"
	"fairlead/analytics/quantity"
)

// Shape is a limb at one visit: its girths and what is known of its end.
type Shape struct {
	Profile girth.Profile
	// Cap is how the end below the last level is drawn. NoCap with a depth is
	// a broad end, as of a disarticulation.
	Cap quantity.CapKind
	// CapDepthMM is the length below the last level; 0 leaves the end open.
	CapDepthMM float64
}

// Limb is the outline of a limb, distal end down, in the view box Width by
// Height. An outline is open at its proximal end.
type Limb struct {
	Width, Height float64
	Now, Then     string   // paths; Then is empty when there is nothing to compare with
	Leaders       []string // one polyline per row of the table, from the middle of the limb to the row
	PerMM         float64  // view box units per millimetre, the same both ways
	// OfLife is how large the drawing is compared with life when one unit is
	// one CSS pixel of 1/96 inch.
	OfLife float64
}

// The layout beside the table of girths, in CSS pixels.
const (
	limbWidth  = 220.0
	limbRoom   = 176.0 // the widest that an outline may be
	limbCX     = 94.0
	RowHeight  = 44.0 // of a row of the table beside the drawing
	HeadHeight = 36.0 // of the head of that table
	limbBelow  = 8.0  // kept free below the end
	leaderBend = 18.0 // over which a leader runs from its level to its row
	cssPerMM   = 96 / 25.4
)

// DrawLimb draws the outline of a limb from its girths, each level as wide as a
// circle of that girth (C/π), true to scale: the same scale along and across.
// Between the levels it follows the profile's own curve. rowsMM are the levels
// of the table rows beside it, ascending; rows are RowHeight high below a head
// of HeadHeight. The scale puts the levels beside their rows where they are
// evenly spaced and the limb is not too broad; otherwise the leaders bend.
// then may be empty.
//
// girth.ErrTooFewLevels comes back when now has fewer than two levels; rows out
// of order, none, or a depth that is not a length are errors.
func DrawLimb(now, then Shape, rowsMM []float64) (Limb, error) {
	if len(now.Profile) < 2 {
		return Limb{}, girth.ErrTooFewLevels
	}
	if len(rowsMM) == 0 {
		return Limb{}, errors.New("drawing: a limb without table rows")
	}
	for i := 1; i < len(rowsMM); i++ {
		if !(rowsMM[i] > rowsMM[i-1]) {
			return Limb{}, fmt.Errorf("drawing: row %d, level %v mm, does not follow level %v mm", i+1, rowsMM[i], rowsMM[i-1])
		}
	}
	for _, s := range []Shape{now, then} {
		if !(s.CapDepthMM >= 0 && s.CapDepthMM <= girth.MaxLevelMM) {
			return Limb{}, fmt.Errorf("drawing: depth of the end %v mm is not a length", s.CapDepthMM)
		}
	}
	p := place(now, then, rowsMM)
	limb := Limb{Width: limbWidth, PerMM: p.perMM, OfLife: p.perMM / cssPerMM, Now: p.outline(now)}
	if len(then.Profile) >= 2 {
		limb.Then = p.outline(then)
	}
	for i, level := range rowsMM {
		limb.Leaders = append(limb.Leaders, p.leader(level, row(i)))
	}
	_, end := extent(now, then)
	limb.Height = math.Ceil(max(p.y(end)+limbBelow, HeadHeight+RowHeight*float64(len(rowsMM))))
	return limb, nil
}

// row returns the height of the middle of a table row.
func row(i int) float64 { return HeadHeight + RowHeight*(float64(i)+0.5) }

// placing maps levels and girths to the view box.
type placing struct {
	perMM, zeroY float64
	right        float64 // of the broadest outline
}

func (p placing) y(levelMM float64) float64      { return p.zeroY + levelMM*p.perMM }
func (p placing) radius(girthMM float64) float64 { return girthMM / (2 * math.Pi) * p.perMM }

// place chooses the scale and where level zero stands.
func place(now, then Shape, rowsMM []float64) placing {
	broadest := 0.0
	for _, s := range []Shape{now, then} {
		for _, at := range s.Profile {
			broadest = max(broadest, at.GirthMM/math.Pi)
		}
	}
	p := placing{perMM: limbRoom / broadest}
	first, last := rowsMM[0], rowsMM[len(rowsMM)-1]
	if last > first {
		p.perMM = min(p.perMM, (row(len(rowsMM)-1)-row(0))/(last-first))
	}
	// The middles of limb and table meet, as far as the top leaves room.
	middle := (row(0) + row(len(rowsMM)-1)) / 2
	p.zeroY = middle - (first+last)/2*p.perMM
	top, _ := extent(now, then)
	if above := limbBelow - p.y(top); above > 0 {
		p.zeroY += above
	}
	p.right = limbCX + broadest*p.perMM/2
	return p
}

// extent returns the most proximal level and the most distal end of both shapes.
func extent(now, then Shape) (top, end float64) {
	top, last := now.Profile.Span()
	end = last + now.CapDepthMM
	if len(then.Profile) >= 2 {
		from, to := then.Profile.Span()
		top, end = min(top, from), max(end, to+then.CapDepthMM)
	}
	return top, end
}

// leader runs from the middle of the limb at its level to a table row.
func (p placing) leader(levelMM, rowY float64) string {
	y := p.y(levelMM)
	from := min(p.right+4, limbWidth-leaderBend-6)
	points := []string{point(limbCX, y), point(from, y), point(from+leaderBend, rowY), point(limbWidth, rowY)}
	return strings.Join(points, " ")
}

// outline draws a shape: down its left side, round the end, up its right side.
func (p placing) outline(s Shape) string {
	var out strings.Builder
	left := p.side(s.Profile, -1)
	right := p.side(s.Profile, 1)
	out.WriteString("M" + left[0].at())
	for i := 0; i+1 < len(left); i++ {
		left[i].curveTo(&out, left[i+1])
	}
	end := left[len(left)-1]
	if s.CapDepthMM > 0 {
		p.end(&out, s, limbCX-end.x, end.y)
	} else {
		out.WriteString(" M" + right[len(right)-1].at())
	}
	for i := len(right) - 1; i > 0; i-- {
		right[i].curveTo(&out, right[i-1])
	}
	return out.String()
}

// knot is a point of an outline with dx/dy there.
type knot struct{ x, y, slope float64 }

func (k knot) at() string { return point(k.x, k.y) }

// curveTo writes the cubic with the knots' slopes: the Bézier form of a cubic
// Hermite segment, whose handles are a third of the step long.
func (k knot) curveTo(out *strings.Builder, to knot) {
	h := (to.y - k.y) / 3
	out.WriteString(" C" + point(k.x+h*k.slope, k.y+h) + " " + point(to.x-h*to.slope, to.y-h) + " " + to.at())
}

// side returns the knots of the left (sign −1) or right (1) side.
func (p placing) side(profile girth.Profile, sign float64) []knot {
	knots := make([]knot, len(profile))
	for i, slope := range profile.Slopes() {
		at := profile[i]
		knots[i] = knot{
			x: limbCX + sign*p.radius(at.GirthMM), y: p.y(at.LevelMM),
			slope: sign * slope / (2 * math.Pi),
		}
	}
	return knots
}

// end draws the distal end from left to right: half an ellipse, a parabola, a
// cone, or a broad end with rounded corners.
func (p placing) end(out *strings.Builder, s Shape, r, y float64) {
	depth := s.CapDepthMM * p.perMM
	tip := point(limbCX, y+depth)
	right := point(limbCX+r, y)
	switch s.Cap {
	case quantity.ConeCap:
		out.WriteString(" L" + tip + " L" + right)
	case quantity.Paraboloid:
		out.WriteString(" Q" + point(limbCX, y+2*depth) + " " + right)
	case quantity.SemiEllipsoid:
		radii := " A" + point(r, depth) + " 0 0 0 "
		out.WriteString(radii + tip + radii + right)
	default:
		corner := min(r, depth) * 0.6
		out.WriteString(" L" + point(limbCX-r, y+depth-corner) +
			" Q" + point(limbCX-r, y+depth) + " " + point(limbCX-r+corner, y+depth) +
			" L" + point(limbCX+r-corner, y+depth) +
			" Q" + point(limbCX+r, y+depth) + " " + point(limbCX+r, y+depth-corner) +
			" L" + right)
	}
}
