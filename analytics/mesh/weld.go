package mesh

import (
	"math"
	"math/bits"

	"fairlead/analytics/geom"
)

// weld gives the same number to points at exactly the same place: an open
// addressing table whose entries hold half of the hash beside the number, so
// that a vertex is looked at only when it is almost surely the right one.
type weld struct {
	vertices []geom.Vec
	table    []uint64 // hash in the upper half, number + 1 in the lower; 0 is free
}

// firstTable is the size of the table to begin with, a power of two.
const firstTable = 1 << 10

// add returns the number of the vertex at p.
func (w *weld) add(p geom.Vec) int32 {
	if 3*len(w.vertices) >= 2*len(w.table) {
		w.grow()
	}
	h := hash(p)
	mask := uint64(len(w.table) - 1)
	tag := h &^ math.MaxUint32
	for i := h >> 32 & mask; ; i = (i + 1) & mask {
		entry := w.table[i]
		if entry == 0 {
			w.vertices = append(w.vertices, p)
			w.table[i] = tag | uint64(len(w.vertices))
			return int32(len(w.vertices) - 1)
		}
		if entry&^math.MaxUint32 == tag {
			if n := uint32(entry) - 1; w.vertices[n] == p {
				return int32(n)
			}
		}
	}
}

// grow doubles the table.
func (w *weld) grow() {
	old := w.table
	w.table = make([]uint64, max(firstTable, 2*len(old)))
	mask := uint64(len(w.table) - 1)
	for _, entry := range old {
		if entry == 0 {
			continue
		}
		i := entry >> 32 & mask
		for w.table[i] != 0 {
			i = (i + 1) & mask
		}
		w.table[i] = entry
	}
}

// hash mixes a point's bits by folded products (the mixing step of W. Yi's
// wyhash; the constants are its own). A point must not hold a negative zero.
func hash(p geom.Vec) uint64 {
	hi, lo := bits.Mul64(math.Float64bits(p.X)^0xa0761d6478bd642f, math.Float64bits(p.Y)^0xe7037ed1a0b428db)
	hi, lo = bits.Mul64(hi^lo^0x8ebc6af09c88c6e3, math.Float64bits(p.Z)^0x589965cc75374cc3)
	return hi ^ lo
}
