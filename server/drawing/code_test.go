package drawing_test

import (
	"fmt"
	"strings"
	"testing"

	"fairlead/server/drawing"
)

// TestCode reads the path back into modules and looks for what every code has:
// the three squares by which a reader finds it (ISO/IEC 18004: 7 by 7 modules,
// dark, light, dark from the edge in), and four empty modules all round.
func TestCode(t *testing.T) {
	code, err := drawing.NewCode("https://fairlead.example/r/" + strings.Repeat("a", 43))
	if err != nil {
		t.Fatal(err)
	}
	dark := modules(t, code)
	for i := range code.Size {
		for edge := range 4 {
			for _, m := range [][2]int{{i, edge}, {i, code.Size - 1 - edge}, {edge, i}, {code.Size - 1 - edge, i}} {
				if dark[m] {
					t.Fatalf("module %v of the margin is dark", m)
				}
			}
		}
	}
	far := code.Size - 4 - 7
	for _, corner := range [][2]int{{4, 4}, {far, 4}, {4, far}} {
		for y := range 7 {
			for x := range 7 {
				ring := min(x, y, 6-x, 6-y)
				if want := ring != 1; dark[[2]int{corner[0] + x, corner[1] + y}] != want {
					t.Errorf("module %d, %d of the square at %v is dark: %v", x, y, corner, !want)
				}
			}
		}
	}
	if _, err := drawing.NewCode(strings.Repeat("a", 5000)); err == nil {
		t.Error("5000 characters were drawn")
	}
}

// modules are the dark modules of a path.
func modules(t *testing.T, code drawing.Code) map[[2]int]bool {
	t.Helper()
	dark := map[[2]int]bool{}
	for run := range strings.SplitSeq(strings.TrimPrefix(code.Path, "M"), "M") {
		var x, y, length, back int
		if _, err := fmt.Sscanf(run, "%d %dh%dv1h-%dz", &x, &y, &length, &back); err != nil || length != back {
			t.Fatalf("run %q: %v", run, err)
		}
		for i := range length {
			dark[[2]int{x + i, y}] = true
		}
	}
	return dark
}
