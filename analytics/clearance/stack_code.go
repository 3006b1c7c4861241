package clearance

import (
	"cmp"
	"slices"
	"strconv"
	"strings"
)

// How the code of a stack is put together.
const (
	noSocks  = "none"
	wornThin = "worn"
)

// CompareSocks orders socks for a list: thin ones first, a worn one after its
// like.
func CompareSocks(a, b Sock) int {
	worn := 0
	switch {
	case a.WornThin && !b.WornThin:
		worn = 1
	case b.WornThin && !a.WornThin:
		worn = -1
	}
	return cmp.Or(cmp.Compare(a.Ply, b.Ply), cmp.Compare(a.Material, b.Material), worn)
}

// StackCode writes the socks of a stack, in the order of CompareSocks, as one word
// that ParseStack reads back: "1:single+3::worn", or "none" for an empty one.
func StackCode(socks []Sock) string {
	if len(socks) == 0 {
		return noSocks
	}
	codes := make([]string, len(socks))
	for i, s := range slices.SortedFunc(slices.Values(socks), CompareSocks) {
		codes[i] = strconv.Itoa(s.Ply) + ":" + s.Material
		if s.WornThin {
			codes[i] += ":" + wornThin
		}
	}
	return strings.Join(codes, "+")
}

// ParseStack reads what StackCode wrote; false when it is none of that.
func ParseStack(code string) ([]Sock, bool) {
	if code == noSocks {
		return nil, true
	}
	var socks []Sock
	for one := range strings.SplitSeq(code, "+") {
		parts := strings.Split(one, ":")
		ply, err := strconv.Atoi(parts[0])
		if err != nil || len(parts) < 2 || len(parts) > 3 || len(parts) == 3 && parts[2] != wornThin {
			return nil, false
		}
		socks = append(socks, Sock{Ply: ply, Material: parts[1], WornThin: len(parts) == 3})
	}
	return socks, true
}
