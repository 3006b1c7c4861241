package chart

// shapes are the outlines of points in a box of 12 by 12, one for each source: circle,
// square, triangle, the same upside down, star and plus; the last, a cross, is that of
// all further sources. They differ in shape alone, so that print and every eye can
// tell them apart. The diamond is left to the sound limb.
var shapes = []string{
	"M6 2a4 4 0 1 0 0 8a4 4 0 1 0 0-8z",
	"M2.4 2.4h7.2v7.2h-7.2z",
	"M6 1.2 10.8 10.2h-9.6z",
	"M1.2 1.8h9.6L6 10.8z",
	"M6 .6 7.5 4.5 11.4 6 7.5 7.5 6 11.4 4.5 7.5.6 6 4.5 4.5z",
	"M4.5 1.2h3v3.3h3.3v3H7.5v3.3h-3V7.5H1.2v-3h3.3z",
	"M3 1.2 6 4.2 9 1.2 10.8 3 7.8 6l3 3L9 10.8l-3-3-3 3L1.2 9l3-3-3-3z",
}

// drawn begins the name of a symbol that is an outline.
const drawn = "path://"

// shapeOf is the place of the shape of a source.
func shapeOf(source int) int { return min(source, len(shapes)-1) }

// crowd is how many points share the width before they are drawn smaller.
const crowd = 20

// readings counts the points.
func (c Course) readings() int {
	n := 0
	for _, v := range c.Visits {
		n += len(v.Readings)
	}
	return n
}

// pointPX is the size of points, smaller where many share the width.
func (c Course) pointPX() int {
	switch n := c.readings(); {
	case n > 2*crowd:
		return 6
	case n > crowd:
		return 8
	}
	return 10
}

// narrowPointPX is the size on a phone.
func (c Course) narrowPointPX() int {
	switch n := c.readings(); {
	case n > 2*crowd:
		return 4
	case n > crowd:
		return 6
	}
	return c.pointPX()
}

// barPX is the width of an interval's stroke.
func (c Course) barPX() float32 {
	if c.readings() > 2*crowd {
		return 0.8
	}
	return 1.3
}

// key explains the symbols that occur.
func (c Course) key() []KeyEntry {
	var entries []KeyEntry
	seen, doubtful, sound := map[int]bool{}, -1, false
	for _, v := range c.Visits {
		for _, r := range v.Readings {
			seen[r.Source] = true
			if r.Doubtful {
				doubtful = shapeOf(r.Source)
			}
		}
		sound = sound || v.Sound != nil
	}
	others := false
	for i, source := range c.Sources {
		switch {
		case !seen[i]:
		case i < len(shapes)-1 || len(c.Sources) == len(shapes):
			entries = append(entries, KeyEntry{"point", shapes[i], source})
		default:
			others = true
		}
	}
	if others {
		entries = append(entries, KeyEntry{"point", shapes[len(shapes)-1], c.Words.Others})
	}
	if doubtful >= 0 {
		entries = append(entries, KeyEntry{"hollow", shapes[doubtful], c.Words.Doubtful})
	}
	if sound {
		entries = append(entries, KeyEntry{"sound", "", c.Words.SoundLimb})
	}
	if len(c.Smooth) > 0 {
		entries = append(entries, KeyEntry{"course", "", c.Words.Course})
	}
	if len(c.Ahead) > 0 {
		entries = append(entries, KeyEntry{"fan", "", c.Words.Forecast})
	}
	return entries
}
