package clearance

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// Thickness under walking stance: Sanders et al. 2012, Prosthet Orthot Int
// 36:77–86, single-material 0.7, 1.2, 1.5 mm and blended 0.4, 0.7, 0.8 mm for
// 1, 3 and 5 ply. Unknown material: rows S4 (0.6 ± 0.2) and S5 (0.7–1.2,
// 0.8–1.5: middle, half the range).
func TestSockThickness(t *testing.T) {
	tests := []struct {
		name   string
		sock   Sock
		mm, u  float64
		source string
	}{
		{"1 ply single", Sock{Ply: 1, Material: "single"}, 0.7, 0.105, "Sanders 2012"},
		{"3 ply single", Sock{Ply: 3, Material: "single"}, 1.2, 0.18, "Sanders 2012"},
		{"5 ply single", Sock{Ply: 5, Material: "single"}, 1.5, 0.225, "Sanders 2012"},
		{"1 ply blended", Sock{Ply: 1, Material: "blended"}, 0.4, 0.1, "Sanders 2012"},
		{"3 ply blended", Sock{Ply: 3, Material: "blended"}, 0.7, 0.105, "Sanders 2012"},
		{"5 ply blended", Sock{Ply: 5, Material: "blended"}, 0.8, 0.12, "Sanders 2012"},
		{"1 ply unknown", Sock{Ply: 1}, 0.6, 0.2, "S4"},
		{"3 ply unknown", Sock{Ply: 3}, 0.95, 0.25, "S5"},
		{"5 ply unknown", Sock{Ply: 5}, 1.15, 0.35, "S5"},
		{"2 ply between", Sock{Ply: 2, Material: "single"}, 0.95, 0.27, "interpolation"},
		{"4 ply between", Sock{Ply: 4, Material: "blended"}, 0.75, 0.18, "interpolation"},
		{"7 ply beyond", Sock{Ply: 7, Material: "blended"}, 0.9, 0.24, "last slope"},
		{"sheath", Sock{Ply: 0, Material: "single"}, 0.35, 0.35, "common practice, no source"},
		{"unknown word is an unknown material", Sock{Ply: 1, Material: "?"}, 0.6, 0.2, "S4"},
		{"worn thin", Sock{Ply: 3, WornThin: true}, 0.95, math.Hypot(0.25, 0.2375), "common practice, no source"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			mm, u := tt.sock.ThicknessMM()
			if math.Abs(mm-tt.mm) > 1e-9 || math.Abs(u-tt.u) > 1e-9 {
				t.Errorf("%v = %v ± %v mm, want %v ± %v mm (%s)", tt.sock, mm, u, tt.mm, tt.u, tt.source)
			}
		})
	}
}

// A 3-ply sock is not three 1-ply ones (Sanders 2012).
func TestPlyDoNotAddUp(t *testing.T) {
	for _, material := range []string{"single", "blended", ""} {
		three, _ := SockStack([]Sock{{Ply: 3, Material: material}})
		ones, _ := SockStack([]Sock{{Ply: 1, Material: material}, {Ply: 1, Material: material}, {Ply: 1, Material: material}})
		if three >= ones {
			t.Errorf("material %q: one 3-ply sock %v mm, three 1-ply socks %v mm; want the single sock thinner", material, three, ones)
		}
	}
}

func TestThicknessRisesWithPly(t *testing.T) {
	for _, material := range []string{"single", "blended", ""} {
		last := 0.0
		for ply := range 21 {
			mm, u := Sock{Ply: ply, Material: material}.ThicknessMM()
			if mm <= last || u <= 0 {
				t.Errorf("material %q, %d ply: %v ± %v mm after %v mm", material, ply, mm, u, last)
			}
			last = mm
		}
	}
}

// Equal socks share their error, different ones don't.
func TestSockStackErrors(t *testing.T) {
	tests := []struct {
		name  string
		socks []Sock
		mm, u float64
	}{
		{"none", nil, 0, 0},
		{"two equal", []Sock{{Ply: 1}, {Ply: 1}}, 1.2, 0.4},
		{"two different", []Sock{{Ply: 1}, {Ply: 3}}, 1.55, math.Hypot(0.2, 0.25)},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			mm, u := SockStack(tt.socks)
			if math.Abs(mm-tt.mm) > 1e-12 || math.Abs(u-tt.u) > 1e-12 {
				t.Errorf("got %v ± %v mm, want %v ± %v mm", mm, u, tt.mm, tt.u)
			}
		})
	}
}

func TestSockStackProperties(t *testing.T) {
	sock := rapid.Custom(func(t *rapid.T) Sock {
		return Sock{
			Ply:      rapid.IntRange(0, 12).Draw(t, "ply"),
			Material: rapid.SampledFrom([]string{"", "single", "blended"}).Draw(t, "material"),
			WornThin: rapid.Bool().Draw(t, "worn"),
		}
	})
	rapid.Check(t, func(t *rapid.T) {
		then := rapid.SliceOfN(sock, 0, 6).Draw(t, "then")
		now := rapid.SliceOfN(sock, 0, 6).Draw(t, "now")
		shuffled := rapid.Permutation(now).Draw(t, "shuffled")
		mm, u := SockStack(now)
		if m, v := SockStack(shuffled); m != mm || v != u {
			t.Errorf("%v ± %v mm in one order, %v ± %v mm in another", mm, u, m, v)
		}
		before, _ := SockStack(then)
		change, _ := StackChange(then, now)
		if math.Abs(change-(mm-before)) > 1e-9 {
			t.Errorf("change %v mm, but the stacks differ by %v mm", change, mm-before)
		}
		if same, v := StackChange(now, shuffled); same != 0 || v != 0 {
			t.Errorf("the same socks changed by %v ± %v mm", same, v)
		}
	})
}
