package meshtest

import (
	"errors"
	"testing"

	"fairlead/analytics/mesh"
)

// Sound fails a test when what a decoder gave is neither a *mesh.Fault with
// what to do nor a mesh whose numbers fit together.
func Sound(t testing.TB, f *mesh.File, err error) {
	t.Helper()
	if err != nil {
		var fault *mesh.Fault
		if f != nil || !errors.As(err, &fault) || fault.What == "" || fault.Do == "" {
			t.Fatalf("got %v, %v, want a fault that says what to do", f, err)
		}
		return
	}
	if len(f.Faces) == 0 || len(f.Faces)+f.Degenerate != f.Triangles || f.Corners-f.Welded-f.Unused != len(f.Vertices) {
		t.Fatalf("counts do not fit: %d faces, %d vertices, %+v", len(f.Faces), len(f.Vertices), *f)
	}
	used := make([]bool, len(f.Vertices))
	for _, face := range f.Faces {
		for k, c := range face {
			if c < 0 || int(c) >= len(f.Vertices) || c == face[(k+1)%3] {
				t.Fatalf("face %v of %d vertices", face, len(f.Vertices))
			}
			used[c] = true
		}
	}
	for i, u := range used {
		if !u {
			t.Fatalf("vertex %d belongs to no face", i)
		}
	}
}
