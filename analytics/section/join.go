package section

import (
	"cmp"
	"math"
	"slices"

	"fairlead/analytics/mesh"
)

// joiner joins the pieces that a level cuts out of faces into contours.
type joiner struct {
	mesh     *mesh.Mesh
	axis     Axis
	heights  *heights
	measured int32
	pieces   []piece
	next     []int32            // the piece that goes on where this one ends, −1 for none
	starts   map[[2]int32]int32 // edge → the piece that starts on it
}

// piece is the straight line across a face. It starts on the edge where the
// face's corners run down through the level and ends where they run up, so that
// the solid lies on its left seen against the axis.
type piece struct {
	from, to [2]int32 // edges, lower vertex first
	a, b     Point
	filling  bool
}

// section returns the section at a level from the faces that cross it.
func (j *joiner) section(level float64, faces ...[]int32) Section {
	s := Section{LevelMM: level, Complete: true}
	j.pieces = j.pieces[:0]
	for _, list := range faces {
		for _, f := range list {
			j.pieces = append(j.pieces, j.cut(f, level))
		}
	}
	open := j.link()
	chains := make([][]int32, 0, 1)
	seen := make([]bool, len(j.pieces))
	follow := func(i int32) []int32 {
		var chain []int32
		for ; i >= 0 && !seen[i]; i = j.next[i] {
			seen[i] = true
			chain = append(chain, i)
		}
		return chain
	}
	for _, i := range open {
		chains = append(chains, follow(i))
	}
	for _, order := range j.closeChains(chains) {
		j.addContour(&s, order)
	}
	for i := range j.pieces {
		if !seen[i] {
			j.addContour(&s, [][]int32{follow(int32(i))})
		}
	}
	s.measure()
	return s
}

// cut returns the piece of a face that crosses a level.
func (j *joiner) cut(f int32, level float64) piece {
	p := piece{filling: f >= j.measured}
	face := j.mesh.Faces[f]
	for k, v := range face {
		w := face[(k+1)%3]
		beyond, beyondNext := j.heights.at[v] >= level, j.heights.at[w] >= level
		switch {
		case beyond && !beyondNext:
			p.from, p.a = j.onEdge(v, w, level)
		case !beyond && beyondNext:
			p.to, p.b = j.onEdge(v, w, level)
		}
	}
	return p
}

// onEdge returns an edge and where it crosses a level; both faces of the edge
// get the same point to the last bit.
func (j *joiner) onEdge(v, w int32, level float64) ([2]int32, Point) {
	v, w = min(v, w), max(v, w)
	dv, dw := j.heights.at[v]-level, j.heights.at[w]-level
	t := dv / (dv - dw)
	p, q := j.axis.point(j.mesh.Vertices[v]), j.axis.point(j.mesh.Vertices[w])
	return [2]int32{v, w}, Point{p.U + float64(t*(q.U-p.U)), p.V + float64(t*(q.V-p.V))}
}

// link finds for each piece the one that goes on, and returns those that follow
// on none.
func (j *joiner) link() (open []int32) {
	if j.starts == nil {
		j.starts = make(map[[2]int32]int32, len(j.pieces))
	}
	clear(j.starts)
	also := make(map[int32]int32) // where several start on an edge of many faces
	for i, p := range j.pieces {
		if other, taken := j.starts[p.from]; taken {
			also[int32(i)] = other
		}
		j.starts[p.from] = int32(i)
	}
	j.next = slices.Grow(j.next[:0], len(j.pieces))[:len(j.pieces)]
	follows := make([]bool, len(j.pieces))
	for i, p := range j.pieces {
		n, ok := j.starts[p.to]
		if !ok {
			j.next[i] = -1
			continue
		}
		j.next[i] = n
		follows[n] = true
		if other, more := also[n]; more {
			j.starts[p.to] = other
		} else {
			delete(j.starts, p.to)
		}
	}
	for i := range follows {
		if !follows[i] {
			open = append(open, int32(i))
		}
	}
	return open
}

// fewChains is up to how many open chains each goes on to the nearest one; more
// are put in the order of their angles about their middle.
const fewChains = 256

// closeChains puts open chains together to contours, each a list of chains that
// follow one another.
func (j *joiner) closeChains(chains [][]int32) [][][]int32 {
	if len(chains) > fewChains {
		var middle Point
		for _, c := range chains {
			middle.U += j.pieces[c[0]].a.U / float64(len(chains))
			middle.V += j.pieces[c[0]].a.V / float64(len(chains))
		}
		angle := func(c []int32) float64 { return math.Atan2(j.pieces[c[0]].a.V-middle.V, j.pieces[c[0]].a.U-middle.U) }
		slices.SortStableFunc(chains, func(a, b []int32) int { return cmp.Compare(angle(a), angle(b)) })
		return [][][]int32{chains}
	}
	var contours [][][]int32
	for len(chains) > 0 {
		contour := [][]int32{chains[0]}
		chains = chains[1:]
		for {
			last := contour[len(contour)-1]
			end := j.pieces[last[len(last)-1]].b
			nearest, gap := -1, end.distance(j.pieces[contour[0][0]].a)
			for i, c := range chains {
				if d := end.distance(j.pieces[c[0]].a); d < gap {
					nearest, gap = i, d
				}
			}
			if nearest < 0 {
				break
			}
			contour = append(contour, chains[nearest])
			chains = slices.Delete(chains, nearest, nearest+1)
		}
		contours = append(contours, contour)
	}
	return contours
}

// addContour adds the closed line through some chains, and its gaps: runs of
// filling, and the straight lines between chains.
func (j *joiner) addContour(s *Section, chains [][]int32) {
	var line []Point
	var scanned [][2]Point // ends of each run that was scanned
	running := false
	for _, chain := range chains {
		for _, i := range chain {
			p := &j.pieces[i]
			if len(line) == 0 || line[len(line)-1] != p.a {
				line = append(line, p.a)
				running = false
			}
			if p.b != p.a {
				line = append(line, p.b)
			}
			switch {
			case p.filling:
				running = false
			case running:
				scanned[len(scanned)-1][1] = p.b
			default:
				scanned = append(scanned, [2]Point{p.a, p.b})
				running = true
			}
		}
	}
	if n := len(line); n > 1 && line[0] == line[n-1] {
		line = line[:n-1]
	}
	s.Contours = append(s.Contours, line)
	if len(scanned) == 0 {
		length := 0.0
		for i, p := range line {
			length += p.distance(line[(i+1)%len(line)])
		}
		s.addGap(length / 2) // there and back: no chord within it is longer
		return
	}
	for i, run := range scanned {
		if gap := run[1].distance(scanned[(i+1)%len(scanned)][0]); gap > 0 {
			s.addGap(gap)
		}
	}
}
