package clearance_test

import (
	"slices"
	"testing"

	"fairlead/analytics/clearance"
	"pgregory.net/rapid"
)

func TestStackReadsBackAsWritten(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		socks := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) clearance.Sock {
			return clearance.Sock{
				Ply:      rapid.IntRange(0, 12).Draw(t, "ply"),
				Material: rapid.SampledFrom([]string{"", "single", "blended"}).Draw(t, "material"),
				WornThin: rapid.Bool().Draw(t, "worn thin"),
			}
		}), 0, 6).Draw(t, "socks")
		code := clearance.StackCode(socks)
		slices.SortFunc(socks, clearance.CompareSocks)
		if read, ok := clearance.ParseStack(code); !ok || !slices.Equal(read, socks) {
			t.Fatalf("%v became %q and read back as %v, %v", socks, code, read, ok)
		}
	})
}

func TestNoStack(t *testing.T) {
	for _, code := range []string{"", "3", "a:single", "3:single:new", "3:single+", "3:a:worn:b"} {
		if socks, ok := clearance.ParseStack(code); ok {
			t.Errorf("%q is read as %v", code, socks)
		}
	}
}
