package section

import (
	"slices"

	"fairlead/analytics/mesh"
)

// heights holds for each vertex its level and how many of the asked levels it
// is not below.
type heights struct {
	levels []float64 // ascending, each once
	at     []float64
	passed []int32
}

// buckets is into how many equal parts the levels are split to find a vertex
// among them.
const buckets = 4096

// newHeights sorts the levels and places the vertices among them.
func newHeights(m *mesh.Mesh, axis Axis, levels []float64) *heights {
	h := &heights{
		levels: slices.Compact(slices.Sorted(slices.Values(levels))),
		at:     make([]float64, len(m.Vertices)),
		passed: make([]int32, len(m.Vertices)),
	}
	n := len(h.levels)
	if n == 0 {
		return h
	}
	low, span := h.levels[0], h.levels[n-1]-h.levels[0]
	var passed [buckets + 2]int32 // at the lower end of each part, about
	scale := 0.0
	if span > 0 {
		scale = buckets / span
	}
	for i, k := 0, 0; i < len(passed); i++ {
		for k < n && (h.levels[k]-low)*scale < float64(i-1) {
			k++
		}
		passed[i] = int32(k)
	}
	atBoth(len(m.Vertices), func(from, to int) {
		for i := from; i < to; i++ {
			z := axis.Level(m.Vertices[i])
			part := int(max(0, min(buckets+1, (z-low)*scale+1)))
			k := passed[part]
			for int(k) < n && h.levels[k] <= z {
				k++
			}
			for k > 0 && h.levels[k-1] > z {
				k--
			}
			h.at[i], h.passed[i] = z, k
		}
	})
	return h
}

// span returns between which of the levels a face lies: it crosses those from
// low up to before high.
func (h *heights) span(f mesh.Face) (low, high int32) {
	a, b, c := h.passed[f[0]], h.passed[f[1]], h.passed[f[2]]
	return min(a, b, c), max(a, b, c)
}
