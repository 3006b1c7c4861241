package clearance

import (
	"cmp"
	"maps"
	"math"
	"slices"
)

// Sock is one sock of a stack. Ply is a maker's number; Material is "single"
// for a single-material sock, "blended", or empty when it is not known.
type Sock struct {
	Ply      int
	Material string
	WornThin bool
}

// ThickPly is the ply from which a sock counts as thick (common practice).
const ThickPly = 3

// Thick tells whether the sock counts as a thick one.
func (s Sock) Thick() bool { return s.Ply >= ThickPly }

// CountThick counts the thick socks of a stack.
func CountThick(socks []Sock) int {
	n := 0
	for _, s := range socks {
		if s.Thick() {
			n++
		}
	}
	return n
}

// tabled is the thickness of one sock in mm under walking load at 1, 3 and
// 5 ply: single-material and blended from Sanders et al. 2012 (Prosthet Orthot
// Int 36:77–86); for an unknown material 0.6 ± 0.2 at 1 ply (row S4) and the
// middle and half of the range at 3 and 5 ply (row S5). The uncertainty of a
// known material, 15 % and at least 0.1 mm, stands for makers and age: common
// practice, no source.
var tabled = map[string][3]struct{ thickness, u float64 }{
	"single":  {{0.7, 0.105}, {1.2, 0.18}, {1.5, 0.225}},
	"blended": {{0.4, 0.1}, {0.7, 0.105}, {0.8, 0.12}},
	"":        {{0.6, 0.2}, {0.95, 0.25}, {1.15, 0.35}},
}

// tabledPly are the plies of the table.
var tabledPly = [3]float64{1, 3, 5}

// ThicknessMM returns the thickness of the sock under walking load in mm and
// its standard uncertainty. It is looked up, never ply times a constant: a
// 3-ply sock is not three 1-ply ones (Sanders et al. 2012). Plies between the
// tabled ones are interpolated linearly and those above 5 follow the last
// slope, with 1.5 and 2 times the uncertainty; below 1 ply (a sheath) half of
// one ply stands, with as much uncertainty. A sock worn thin keeps its
// thickness and gains 25 % of it as uncertainty, because wear has been seen to
// change thickness but not by how much. An unknown material takes the row of
// the unspecified one.
func (s Sock) ThicknessMM() (thicknessMM, uMM float64) {
	row, known := tabled[s.Material]
	if !known {
		row = tabled[""]
	}
	ply := float64(s.Ply)
	switch i := slices.Index(tabledPly[:], ply); {
	case i >= 0:
		thicknessMM, uMM = row[i].thickness, row[i].u
	case ply < 1:
		thicknessMM = row[0].thickness / 2
		uMM = thicknessMM
	case ply > 5:
		slope := (row[2].thickness - row[1].thickness) / (tabledPly[2] - tabledPly[1])
		thicknessMM, uMM = row[2].thickness+slope*(ply-tabledPly[2]), 2*row[2].u
	default:
		lower := 0
		if ply > tabledPly[1] {
			lower = 1
		}
		a, b := row[lower], row[lower+1]
		t := (ply - tabledPly[lower]) / (tabledPly[lower+1] - tabledPly[lower])
		thicknessMM, uMM = a.thickness+t*(b.thickness-a.thickness), 1.5*math.Max(a.u, b.u)
	}
	if s.WornThin {
		uMM = math.Hypot(uMM, thicknessMM/4)
	}
	return thicknessMM, uMM
}

// SockStack returns the estimated thickness of a stack of socks in mm and its
// standard uncertainty. Each sock is looked up by itself. Equal socks share
// what is not known of them, so their errors add up; the errors of different
// socks are independent. The order of the stack does not matter here, though it
// is known to matter a little on a limb (Jasken and Hall 2018).
func SockStack(socks []Sock) (thicknessMM, uMM float64) {
	return thicknessOf(counts(socks, 1))
}

// StackChange returns how much thicker the stack now is than the stack then, in
// mm, and its standard uncertainty. Socks worn on both days cancel, with their
// errors.
func StackChange(then, now []Sock) (changeMM, uMM float64) {
	change := counts(now, 1)
	for sock, n := range counts(then, -1) {
		change[sock] += n
	}
	return thicknessOf(change)
}

// counts tells how often each sock occurs, times sign.
func counts(socks []Sock, sign int) map[Sock]int {
	n := make(map[Sock]int, len(socks))
	for _, s := range socks {
		n[s] += sign
	}
	return n
}

// thicknessOf adds up counted socks in a fixed order.
func thicknessOf(counted map[Sock]int) (thicknessMM, uMM float64) {
	order := slices.SortedFunc(maps.Keys(counted), func(a, b Sock) int {
		return cmp.Or(cmp.Compare(a.Ply, b.Ply), cmp.Compare(a.Material, b.Material), compareBool(a.WornThin, b.WornThin))
	})
	for _, sock := range order {
		n := float64(counted[sock])
		t, u := sock.ThicknessMM()
		thicknessMM += n * t
		uMM = math.Hypot(uMM, n*u)
	}
	return thicknessMM, uMM
}

// compareBool orders false before true.
func compareBool(a, b bool) int {
	switch {
	case a == b:
		return 0
	case a:
		return 1
	}
	return -1
}
