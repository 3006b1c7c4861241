package stl

import (
	"bytes"
	"encoding/binary"
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

func binaryOf(t testing.TB, m *mesh.Mesh) []byte {
	t.Helper()
	var out bytes.Buffer
	if err := Encode(&out, m); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

func textOf(m *mesh.Mesh) []byte {
	var out bytes.Buffer
	out.WriteString("solid a vertex of names\n")
	for _, f := range m.Faces {
		out.WriteString("facet normal nan nan nan\n outer loop\n")
		for _, c := range f {
			p := m.Vertices[c]
			fmt.Fprintf(&out, "  vertex %.9g %.9g %.9g\n", p.X, p.Y, p.Z)
		}
		out.WriteString(" endloop\nendfacet\n")
	}
	out.WriteString("endsolid a vertex of names\n")
	return out.Bytes()
}

func decode(data []byte) (*mesh.File, error) {
	return Decode(bytes.NewReader(data), mesh.DefaultLimits)
}

// withCount returns a binary file whose heading promises so many triangles.
func withCount(data []byte, count uint32) []byte {
	out := bytes.Clone(data)
	binary.LittleEndian.PutUint32(out[80:], count)
	return out
}

func TestDecode(t *testing.T) {
	cube := meshtest.Cube(10)
	solid := binaryOf(t, cube)
	copy(solid, "solid by a program that says so in binary too")
	cases := []struct {
		name, format string
		data         []byte
	}{
		{"binary", "STL binary", binaryOf(t, cube)},
		{"binary that begins with solid", "STL binary", solid},
		{"binary with zeros at the end", "STL binary", append(binaryOf(t, cube), make([]byte, 500)...)},
		{"binary with a few bytes at the end", "STL binary", append(binaryOf(t, cube), "\r\nend"...)},
		{"text", "STL text", textOf(cube)},
		{"text in capital letters", "STL text", bytes.ReplaceAll(bytes.ToUpper(textOf(cube)), []byte("NAN"), []byte("0"))},
		{"text with CRLF and a byte order mark", "STL text", append([]byte("\ufeff"), bytes.ReplaceAll(textOf(cube), []byte("\n"), []byte("\r\n"))...)},
		{"text without its last end of line", "STL text", bytes.TrimSpace(textOf(cube))},
	}
	for _, c := range cases {
		for how, from := range map[string]io.Reader{
			"at once":            bytes.NewReader(c.data),
			"of unknown size":    io.MultiReader(bytes.NewReader(c.data)),
			"one byte at a time": iotest.OneByteReader(bytes.NewReader(c.data)),
			"with the end":       iotest.DataErrReader(bytes.NewReader(c.data)),
		} {
			t.Run(c.name+" "+how, func(t *testing.T) {
				got, err := Decode(from, mesh.DefaultLimits)
				if err != nil {
					t.Fatal(err)
				}
				if got.Format != c.format || len(got.Vertices) != 8 || len(got.Faces) != 12 || got.Triangles != 12 || got.Corners != 36 || got.Welded != 28 {
					t.Errorf("got %+v", got)
				}
				if v := got.Volume(); math.Abs(v-1000) > 1e-9 {
					t.Errorf("volume %g, want 1000", v)
				}
				if got.Bytes != int64(len(c.data)) {
					t.Errorf("read %d bytes of %d", got.Bytes, len(c.data))
				}
			})
		}
	}
}

func TestTwoSolidsAreOneMesh(t *testing.T) {
	two := append(textOf(meshtest.Cube(10)), textOf(meshtest.Tetrahedron(5))...)
	got, err := decode(two)
	if err != nil || got.Triangles != 16 {
		t.Fatalf("got %+v, %v, want 16 triangles", got, err)
	}
}

func TestDecodeRefuses(t *testing.T) {
	cube := binaryOf(t, meshtest.Cube(10))
	text := string(textOf(meshtest.Cube(10)))
	place := func(value float32) []byte {
		out := bytes.Clone(cube)
		binary.LittleEndian.PutUint32(out[facetsAt+50+12:], math.Float32bits(value))
		return out
	}
	cases := []struct {
		name string
		data []byte
		line int
		what string
	}{
		{"nothing", nil, 0, "ends within its first 84 bytes"},
		{"four billion triangles", withCount(cube, math.MaxUint32), 0, "says it has 4294967295 triangles and ends after 12"},
		{"one triangle too many", withCount(cube, 13), 0, "says it has 13 triangles and ends after 12"},
		{"more triangles than it says", withCount(cube, 10), 0, "says it has 10 triangles and goes on for 100 bytes"},
		{"no triangles in binary", withCount(cube[:facetsAt], 0), 0, "there is no triangle"},
		{"no triangles in text", []byte("solid a\nendsolid a\n"), 0, "there is no triangle"},
		{"only degenerate triangles", make([]byte, 0), 0, "ends within"},
		{"not a number", place(float32(math.NaN())), 0, "triangle 2 has a coordinate that is not a place"},
		{"infinite", place(float32(math.Inf(1))), 0, "triangle 2 has a coordinate that is not a place"},
		{"beyond all lengths", place(3e38), 0, "triangle 2 has a coordinate that is not a place"},
		{"infinite in text", []byte(strings.Replace(text, "vertex 10", "vertex inf", 1)), 8, "triangle 1 has a coordinate"},
		{"a word for a number", []byte(strings.Replace(text, "vertex 10", "vertex ten", 1)), 6, `there is "ten" where a number should be`},
		{"four corners", []byte(strings.Replace(text, " endloop", " vertex 1 1 1\n endloop", 1)), 7, `there is "vertex" where endloop should be`},
		{"two corners", []byte(strings.Replace(text, "  vertex 0 0 0\n", "", 1)), 6, `there is "endloop" where vertex should be`},
		{"no endsolid", []byte(strings.Replace(text, "endsolid", "", 1)), 86, "where facet or endsolid should be"},
		{"HTML after solid", []byte("solid\n<html>"), 2, `there is "<html>" where facet or endsolid`},
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

// A file that was cut off is refused wherever it was.
func TestTruncatedAnywhere(t *testing.T) {
	for name, data := range map[string][]byte{"binary": binaryOf(t, meshtest.Cube(10)), "text": textOf(meshtest.Cube(10))} {
		end := bytes.LastIndex(data, []byte("endsolid")) + len("endsolid")
		if name == "binary" {
			end = len(data)
		}
		for n := range end {
			for _, from := range []io.Reader{bytes.NewReader(data[:n]), io.MultiReader(bytes.NewReader(data[:n]))} {
				_, err := Decode(from, mesh.DefaultLimits)
				var fault *mesh.Fault
				if !errors.As(err, &fault) {
					t.Fatalf("%s cut off after %d of %d bytes: got %v, want a fault", name, n, len(data), err)
				}
			}
		}
	}
}

func TestLimits(t *testing.T) {
	sphere := meshtest.Sphere(50, 4)
	for name, data := range map[string][]byte{"binary": binaryOf(t, sphere), "text": textOf(sphere)} {
		for what, limits := range map[string]mesh.Limits{
			"1,000 triangles": {Bytes: 1 << 30, Faces: 1000},
			"larger than 0":   {Bytes: 1000, Faces: 1 << 20},
		} {
			for _, from := range []io.Reader{bytes.NewReader(data), io.MultiReader(bytes.NewReader(data))} {
				_, err := Decode(from, limits)
				var fault *mesh.Fault
				if !errors.As(err, &fault) || !strings.Contains(fault.What, what) {
					t.Errorf("%s: got %v, want …%q…", name, err, what)
				}
			}
		}
	}
}

// A heading must not make memory: four billion triangles promised by a stream
// of unknown size take what the stream holds.
func TestHeadingMakesNoMemory(t *testing.T) {
	data := withCount(binaryOf(t, meshtest.Cube(10)), math.MaxUint32)
	got := testing.Benchmark(func(b *testing.B) {
		for b.Loop() {
			_, _ = Decode(io.MultiReader(bytes.NewReader(data)), mesh.DefaultLimits)
		}
	})
	if most := int64(1 << 20); got.AllocedBytesPerOp() > most {
		t.Errorf("took %d bytes, want at most %d", got.AllocedBytesPerOp(), most)
	}
}

func TestTroubleOfTheReaderIsNoFault(t *testing.T) {
	broken := errors.New("the disk is gone")
	for _, data := range [][]byte{binaryOf(t, meshtest.Cube(10)), textOf(meshtest.Cube(10))} {
		for _, n := range []int{0, 10, 200, len(data)} {
			_, err := Decode(io.MultiReader(bytes.NewReader(data[:n]), iotest.ErrReader(broken)), mesh.DefaultLimits)
			if !errors.Is(err, broken) {
				t.Errorf("after %d bytes: got %v, want the reader's error", n, err)
			}
		}
	}
}

func TestEncodeTellsTroubleOfTheWriter(t *testing.T) {
	broken := errors.New("the disk is full")
	if err := Encode(failing{broken}, meshtest.Cube(1)); !errors.Is(err, broken) {
		t.Errorf("got %v, want the writer's error", err)
	}
}

type failing struct{ err error }

func (f failing) Write([]byte) (int, error) { return 0, f.err }

func FuzzDecode(f *testing.F) {
	f.Add(binaryOf(f, meshtest.Tetrahedron(10)))
	f.Add(textOf(meshtest.Tetrahedron(10)))
	f.Add([]byte("solid a\nendsolid a"))
	f.Fuzz(func(t *testing.T, data []byte) {
		got, err := Decode(bytes.NewReader(data), mesh.Limits{Bytes: 1 << 20, Faces: 10_000})
		again, errAgain := Decode(iotest.HalfReader(bytes.NewReader(data)), mesh.Limits{Bytes: 1 << 20, Faces: 10_000})
		if (err == nil) != (errAgain == nil) || (err == nil && len(got.Faces) != len(again.Faces)) {
			t.Fatalf("%v and %v by the same bytes", err, errAgain)
		}
		meshtest.Sound(t, got, err)
	})
}
