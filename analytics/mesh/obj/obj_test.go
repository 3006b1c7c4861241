package obj

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
	"testing"
	"testing/iotest"

	"fairlead/analytics/mesh"
	"fairlead/analytics/mesh/meshtest"
)

const cube = `# a cube of quads, numbered in every way
mtllib ../../etc/passwd.mtl
o cube
v 0 0 0
v 10 0 0 1.0
v 0 10 0 0.5 0.5 0.5
v 10 10 0
v 0 0 10
v 10 0 \
  10
v 0 10 10
v 10 10 10
vn 0 0 1
vt 0.5 0.5
g sides
usemtl skin
s off
f 1 3 4 2
f 5/1 6/1 8/1 7/1 # a remark
f 1//1 2//1 6//1 5//1
f 3/1/1 7/1/1 8/1/1 4/1/1
g ends
f -8 -4 -2 \
-6
l 1 2 3
f 2 4 8 6
`

func decode(data string) (*mesh.File, error) {
	return Decode(strings.NewReader(data), mesh.DefaultLimits)
}

func TestDecode(t *testing.T) {
	for name, data := range map[string]string{
		"as written":                    cube,
		"CRLF and a byte order mark":    "\ufeff" + strings.ReplaceAll(cube, "\n", "\r\n"),
		"without the last end of line":  strings.TrimSpace(cube),
		"with statements nobody needs":  "curv 0 1 1 2\n" + cube + "end\n",
		"with a very long comment line": "#" + strings.Repeat(" long", 100_000) + "\n" + cube,
	} {
		for how, from := range map[string]io.Reader{
			"at once":            strings.NewReader(data),
			"of unknown size":    io.MultiReader(strings.NewReader(data)),
			"one byte at a time": iotest.OneByteReader(strings.NewReader(data)),
		} {
			t.Run(name+" "+how, func(t *testing.T) {
				got, err := Decode(from, mesh.DefaultLimits)
				if err != nil {
					t.Fatal(err)
				}
				if got.Format != "OBJ" || len(got.Vertices) != 8 || got.Triangles != 12 || got.Bytes != int64(len(data)) {
					t.Errorf("got %+v", got)
				}
				if v := got.Volume(); math.Abs(v-1000) > 1e-9 {
					t.Errorf("volume %g, want 1000", v)
				}
			})
		}
	}
}

func TestDecodeRefuses(t *testing.T) {
	const corners = "v 0 0 0\nv 1 0 0\nv 0 1 0\n"
	cases := []struct {
		name, data string
		line       int
		what       string
	}{
		{"no faces", corners, 0, "there is no triangle"},
		{"two coordinates", "v 0 0\n", 1, "fewer than 3 coordinates"},
		{"cut off in a vertex", "v 0 0 0\nv 1 0", 2, "the file ends within a line"},
		{"a word for a coordinate", "v 0 zero 0\n", 1, `there is "zero" where a coordinate`},
		{"not a number", "v 0 nan 0\n", 1, "not a place"},
		{"infinite", "v 0 1e999 0\n", 1, `there is "1e999"`},
		{"two corners", corners + "f 1 2\n", 4, "fewer than 3 corners"},
		{"corner 0", corners + "f 0 1 2\n", 4, `there is "0" where the number of a vertex`},
		{"a corner that is not there", corners + "f 1 2 4\n", 4, "names vertex 4 and there are 3"},
		{"back too far", corners + "f -1 -2 -4\n", 4, "names vertex 0"},
		{"a corner that comes later", corners + "f 1 2 4\nv 1 1 1\n", 4, "names vertex 4 and there are 3"},
		{"texture only", corners + "f /1 /2 /3\n", 4, `there is "/1"`},
		{"one point thrice", corners + "f 1 1 1\n", 0, "no triangle in the file has an area"},
		{"another file", "call other.obj\n" + corners + "f 1 2 3\n", 1, "asks for another file"},
		{"a command", "csh rm -rf .\n" + corners + "f 1 2 3\n", 1, "asks for another file or a command"},
		{"a word without end", "v " + strings.Repeat("1", 1<<20), 1, "more than 262144 characters"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			got, err := decode(c.data)
			var fault *mesh.Fault
			if got != nil || !errors.As(err, &fault) {
				t.Fatalf("got %v, %v, want a fault", got, err)
			}
			if !strings.Contains(fault.What, c.what) || fault.Line != c.line || fault.Do == "" {
				t.Errorf("line %d: %q, want line %d: …%q…", fault.Line, fault.Error(), c.line, c.what)
			}
		})
	}
}

// A polygon of any shape covers what its corners enclose.
func TestPolygons(t *testing.T) {
	circle := func(n int) string {
		var s strings.Builder
		for i := range n {
			a := 2 * math.Pi * float64(i) / float64(n)
			fmt.Fprintf(&s, "v %.17g %.17g 0\n", math.Cos(a), math.Sin(a))
		}
		s.WriteString("f")
		for i := range n {
			fmt.Fprintf(&s, " %d", i+1)
		}
		return s.String() + "\n"
	}
	cases := []struct {
		name, data string
		area       float64
	}{
		{"arrow head", "v 0 0 0\nv 4 2 0\nv 0 4 0\nv 1 2 0\nf 1 2 3 4\n", 6},
		{"arrow head that starts at its notch", "v 0 0 0\nv 4 2 0\nv 0 4 0\nv 1 2 0\nf 4 1 2 3\n", 6},
		{"the letter U", "v 0 0 0\nv 3 0 0\nv 3 3 0\nv 2 3 0\nv 2 1 0\nv 1 1 0\nv 1 3 0\nv 0 3 0\nf 1 2 3 4 5 6 7 8\n", 7},
		{"twenty corners", circle(20), 10 * math.Sin(math.Pi/10)},
		{"a thousand corners", circle(1000), 500 * math.Sin(math.Pi/500)},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			got, err := decode(c.data)
			if err != nil {
				t.Fatal(err)
			}
			if area := got.Surface(); math.Abs(area-c.area) > 1e-12*c.area {
				t.Errorf("area %.15g, want %.15g", area, c.area)
			}
		})
	}
}

func TestNeverPanicsWhereverItWasCutOff(t *testing.T) {
	for n := range len(cube) {
		got, err := decode(cube[:n])
		meshtest.Sound(t, got, err)
	}
}

func FuzzDecode(f *testing.F) {
	f.Add([]byte(cube))
	f.Add([]byte("v 0 0 0\nv 1 0 0\nv 0 1 0\nf -3 -2 -1"))
	f.Fuzz(func(t *testing.T, data []byte) {
		got, err := Decode(bytes.NewReader(data), mesh.Limits{Bytes: 1 << 20, Faces: 10_000})
		meshtest.Sound(t, got, err)
	})
}
