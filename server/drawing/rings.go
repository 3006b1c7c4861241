package drawing

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"fairlead/analytics/quantity"
)

// Gap is what is known of the clearance on one side of a section.
type Gap struct {
	MM      float64 // the reading, in millimetres; not used when Contact or not Known
	Known   bool    // a figure was read, or contact was seen
	Contact bool    // drawn as touching
	Tight   bool    // outside its limit: drawn heavier
	Words   string  // what stands at the side, such as "2.4", "contact" or "not reached"
	Name    string  // short name of the side, such as "post"
}

// Section is a cross-section of cover and socket at one level and posture at
// one visit. A direction that is not in Gaps was not read and is left open.
type Section struct {
	Gaps        map[quantity.Direction]Gap
	Caption     string // such as "25 November"
	Description string // the figures in words, for those who can't see the drawing
}

// RingLabel is the text at one side of a section.
type RingLabel struct {
	X, Y   float64
	Anchor string // SVG text-anchor
	Name   string
	Lines  []string // the words, one line above and below, one word a line at the narrow left and right
	Tight  bool
	Stack  bool // name above the words instead of before them
}

// Ring is one drawn section. The view box is Width by Height.
type Ring struct {
	Width, Height float64
	CX, CY, R     float64 // the cover's circle, in the middle of its wall
	Wall          float64 // width of the cover's wall
	Inner         string  // path of the socket as far as it is known, empty when no side is
	Closed        bool    // all four sides are known: Inner is one closed curve and may be hatched
	Heavy         string  // path along the tight sides, empty when none is
	Labels        []RingLabel
	Caption       string
	Description   string
}

// Rings is a row of sections drawn to one scale.
type Rings struct {
	Rings []Ring
	// Times says how many times larger than the circle of the cover the gaps
	// are drawn, a whole number to be put into the caption; 0 when the size
	// of the section isn't known and no such figure can be given.
	Times int
}

// The layout of a section, in CSS pixels.
const (
	ringWidth   = 216.0
	ringHeight  = 176.0
	ringRadius  = 60.0 // to the middle of the wall
	ringWall    = 4.0
	ringInside  = ringRadius - ringWall/2
	ringLeast   = 20.0 // the least half-width left for the socket
	ringTimes   = 4    // the largest magnification of the gaps
	ringUnsized = 4.0  // pixels per millimetre of gap where the section's size isn't known
)

// heading gives where a direction lies in a section: seen from above, anterior
// at the top. From above, a client's right side is on the right of the picture,
// so medial is on the left of a right limb and on the right of a left limb.
func heading(d quantity.Direction, side quantity.Side) (dx, dy float64) {
	lateral := 1.0
	if side == quantity.Left {
		lateral = -1
	}
	switch d {
	case quantity.Anterior:
		return 0, -1
	case quantity.Posterior:
		return 0, 1
	case quantity.Lateral:
		return lateral, 0
	case quantity.Medial:
		return -lateral, 0
	}
	panic(fmt.Sprintf("drawing: unknown direction %q", string(d)))
}

// DrawRings draws sections of one limb beside each other to one scale. side is
// the side of the body. radiusMM is the radius of the section at that level
// (girth of the cover, or of what is inside, over 2π), 0 when it isn't known.
// A gap that is negative, above 200 mm or not finite is an error that names its
// direction.
func DrawRings(sections []Section, side quantity.Side, radiusMM float64) (Rings, error) {
	if side != quantity.Left && side != quantity.Right {
		return Rings{}, fmt.Errorf("drawing: unknown side %q", string(side))
	}
	if !(radiusMM >= 0) || math.IsInf(radiusMM, 0) {
		return Rings{}, errors.New("drawing: the radius of a section is not a length")
	}
	for i, s := range sections {
		for d, g := range s.Gaps {
			if g.Known && !g.Contact && !(g.MM >= 0 && g.MM <= 200) {
				return Rings{}, fmt.Errorf("drawing: section %d: gap %v mm %s is not between 0 and 200", i+1, g.MM, d)
			}
		}
	}
	perMM, times := ringScale(sections, radiusMM)
	out := Rings{Times: times}
	for _, s := range sections {
		out.Rings = append(out.Rings, s.draw(side, perMM))
	}
	return out, nil
}

// ringScale returns pixels per millimetre of gap so that the widest gap of all
// sections leaves room for the socket, and how many times larger than the
// circle that is: the largest whole number that fits, 1 to ringTimes.
func ringScale(sections []Section, radiusMM float64) (perMM float64, times int) {
	widest := 0.0
	for _, s := range sections {
		for _, g := range s.Gaps {
			if g.Known && !g.Contact {
				widest = max(widest, g.MM)
			}
		}
	}
	room := ringInside - ringLeast
	if radiusMM == 0 {
		if widest*ringUnsized > room {
			return room / widest, 0
		}
		return ringUnsized, 0
	}
	life := ringInside / radiusMM
	for times = ringTimes; times > 1; times-- {
		if widest*life*float64(times) <= room {
			return life * float64(times), times
		}
	}
	if widest*life > room {
		return room / widest, 0 // wider than the section itself allows: no honest figure
	}
	return life, 1
}

// draw lays out one section.
func (s Section) draw(side quantity.Side, perMM float64) Ring {
	r := Ring{
		Width: ringWidth, Height: ringHeight, CX: ringWidth / 2, CY: ringHeight / 2, R: ringRadius, Wall: ringWall,
		Caption: s.Caption, Description: s.Description,
	}
	reach := map[quantity.Direction]float64{}
	for _, d := range quantity.Directions {
		g, read := s.Gaps[d]
		if !read {
			continue
		}
		r.Labels = append(r.Labels, r.label(d, side, g))
		if g.Contact {
			reach[d] = ringInside
		} else if g.Known {
			reach[d] = ringInside - g.MM*perMM
		}
	}
	r.Closed = len(reach) == len(quantity.Directions)
	r.Inner, r.Heavy = r.contour(s, side, reach)
	return r
}

// label places the text of one side outside the cover.
func (r Ring) label(d quantity.Direction, side quantity.Side, g Gap) RingLabel {
	dx, dy := heading(d, side)
	l := RingLabel{X: r.CX, Y: r.CY, Anchor: "middle", Name: g.Name, Lines: []string{g.Words}, Tight: g.Tight}
	outside := r.R + r.Wall/2
	switch {
	case dy < 0:
		l.Y = r.CY - outside - 8
	case dy > 0:
		l.Y = r.CY + outside + 17
	case dx > 0:
		l.X, l.Anchor, l.Stack = r.CX+outside+7, "start", true
	default:
		l.X, l.Anchor, l.Stack = r.CX-outside-7, "end", true
	}
	if l.Stack {
		l.Lines = strings.Fields(g.Words)
	}
	return l
}
