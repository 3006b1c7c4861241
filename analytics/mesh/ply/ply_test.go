package ply

import (
	"bytes"
	"encoding/binary"
	"errors"
	"io"
	"math"
	"strings"
	"testing"
	"testing/iotest"

	"fairlead/analytics/geom"
	"fairlead/analytics/mesh"
	"fairlead/analytics/mesh/meshtest"
)

const textCube = `ply
format ascii 1.0
comment a cube of four-cornered faces, made by hand
element vertex 8
property float x
property float y
property float z
property uchar red
element face 6
property uchar flags
property list uchar int vertex_indices
property list int float texcoord
element edge 1
property int vertex1
property int vertex2
end_header
0 0 0 255
10 0 0 0
0 10 0 0
10 10 0 0
0 0 10 0
10 0 10 0
0 10 10 0
10 10 10 nan
0 4 0 2 3 1 2 0.5 0.5
0 4 4 5 7 6 0
0 4 0 1 5 4 0
0 4 2 6 7 3 0
0 4 0 4 6 2 0
0 4 1 3 7 5 0
0 1
`

// binaryCube is the same in binary: other types, a list of doubles in the faces,
// an element that nothing reads.
func binaryCube(order binary.AppendByteOrder) []byte {
	name := map[bool]string{true: "binary_little_endian", false: "binary_big_endian"}[order == binary.AppendByteOrder(binary.LittleEndian)]
	out := []byte("ply\r\nformat " + name + " 1.0\r\nelement material 1\r\nproperty list uint int8 k\r\nelement vertex 8\r\nproperty short s\r\n" +
		"property float64 z\r\nproperty int16 y\r\nproperty float x\r\nelement face 6\r\nproperty list ushort double w\r\n" +
		"property list uint8 uint16 vertex_index\r\nend_header\r\n")
	out = append(order.AppendUint32(out, 3), 1, 2, 3)
	for _, p := range meshtest.Cube(10).Vertices {
		out = order.AppendUint16(out, 7)
		out = order.AppendUint64(out, math.Float64bits(p.Z))
		out = order.AppendUint16(out, uint16(p.Y))
		out = order.AppendUint32(out, math.Float32bits(float32(p.X)))
	}
	for _, q := range [][4]uint16{{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}} {
		out = order.AppendUint64(order.AppendUint16(out, 1), math.Float64bits(0.5))
		out = append(out, 4)
		for _, c := range q {
			out = order.AppendUint16(out, c)
		}
	}
	return out
}

func decode(data string) (*mesh.File, error) {
	return Decode(strings.NewReader(data), mesh.DefaultLimits)
}

func TestDecode(t *testing.T) {
	cases := []struct {
		name, format string
		data         []byte
	}{
		{"text", "PLY text", []byte(textCube)},
		{"text with CRLF and blank lines", "PLY text", []byte(strings.ReplaceAll(strings.Replace(textCube, "end_header", "comment\nend_header\n\n", 1), "\n", "\r\n"))},
		{"little-endian", "PLY binary", binaryCube(binary.LittleEndian)},
		{"big-endian", "PLY binary, big-endian", binaryCube(binary.BigEndian)},
	}
	for _, c := range cases {
		for how, from := range map[string]io.Reader{
			"at once":            bytes.NewReader(c.data),
			"of unknown size":    io.MultiReader(bytes.NewReader(c.data)),
			"one byte at a time": iotest.OneByteReader(bytes.NewReader(c.data)),
		} {
			t.Run(c.name+" "+how, func(t *testing.T) {
				got, err := Decode(from, mesh.DefaultLimits)
				if err != nil {
					t.Fatal(err)
				}
				if got.Format != c.format || len(got.Vertices) != 8 || got.Triangles != 12 || got.Corners != 8 || got.Bytes != int64(len(c.data)) {
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
	change := func(old, to string) string { return strings.Replace(textCube, old, to, 1) }
	cases := []struct {
		name, data string
		line       int
		what       string
	}{
		{"another beginning", "plx\n", 1, "does not begin with ply"},
		{"no end of the heading", "ply\nformat ascii 1.0\n", 3, "the file ends within its heading"},
		{"an unknown format", change("ascii", "utf8"), 2, "the format is none of"},
		{"no format", change("format ascii 1.0\n", ""), 15, "names no format"},
		{"a line without meaning", change("comment", "remark"), 3, `begins with "remark"`},
		{"a negative count", change("vertex 8", "vertex -8"), 4, `the count of "vertex" is "-8"`},
		{"an unknown type", change("float x", "real x"), 5, "no type that PLY knows"},
		{"no z", change("float z", "float depth"), 16, "no number z"},
		{"no list of corners", change("vertex_indices", "corners"), 16, "no list vertex_indices"},
		{"points only", change("element face 6", "element facet 6"), 16, "points without faces"},
		{"vertices twice", change("element edge 1", "element vertex 1"), 13, "there twice"},
		{"a list with a fraction of corners", change("list uchar int vertex", "list float int vertex"), 11, "no whole number"},
		{"a list that is too long", change("0 4 0 2 3 1 2 0.5 0.5", "0 9 0 2 3 1 2 0.5 0.5"), 25, `there is "0.5" where the number of a vertex`},
		{"a list that is too short", change("0 4 0 2 3 1 2 0.5 0.5", "0 3 0 2 3 1 2 0.5 0.5"), 25, "where the end of the line"},
		{"a list longer than its line", change("0 4 4 5 7 6 0", "0 5 4 5 7 6"), 26, "too short for its properties"},
		{"a negative length", change("0 4 4 5 7 6 0", "0 -1 4 5 7 6 0"), 26, "where the length of a list"},
		{"a face of two", change("0 4 4 5 7 6 0", "0 2 4 5 0"), 26, "a face has 2 corners"},
		{"a corner that is not there", change("0 4 4 5 7 6 0", "0 4 4 5 7 8 0"), 26, "names vertex 9 and there are 8"},
		{"a negative corner", change("0 4 4 5 7 6 0", "0 4 4 5 7 -6 0"), 26, "names vertex -5"},
		{"not a number", change("10 10 10 nan", "10 10 nan 0"), 24, "vertex 8 has a coordinate that is not a place"},
		{"rows missing", change("element edge 1", "element edge 3"), 32, "the file ends before the rows"},
		{"more rows", textCube + "0 0\n", 32, "where the end of the file"},
		{"four billion vertices", change("vertex 8", "vertex 4294967295"), 0, "more than 5,000,000 triangles"},
		{"a million faces that are not there", change("face 6", "face 1000000"), 0, "the file ends before"},
		{"rows without properties", "ply\nformat ascii 1.0\nelement vertex 3\nproperty float x\nproperty float y\nproperty float z\nelement nothing 9000000000000\n" +
			"element face 1\nproperty list uchar int vertex_indices\nend_header\n0 0 0\n1 0 0\n0 1 0\n3 0 1 2\n", 10, "rows without properties"},
		{"faces first", "ply\nformat ascii 1.0\nelement face 1\nproperty list uchar int vertex_indices\nelement vertex 3\nproperty float x\nproperty float y\nproperty float z\n" +
			"end_header\n3 0 1 2\n0 0 0\n1 0 0\n0 1 0\n", 9, "faces stand before the vertices"},
		{"no faces", "ply\nformat ascii 1.0\nelement vertex 0\nproperty float x\nproperty float y\nproperty float z\nelement face 0\nproperty list uchar int vertex_indices\nend_header\n", 0, "there is no triangle"},
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

func TestBinaryRefuses(t *testing.T) {
	data := binaryCube(binary.LittleEndian)
	for n := range len(data) {
		for _, from := range []io.Reader{bytes.NewReader(data[:n]), io.MultiReader(bytes.NewReader(data[:n]))} {
			_, err := Decode(from, mesh.DefaultLimits)
			var fault *mesh.Fault
			if !errors.As(err, &fault) {
				t.Fatalf("cut off after %d of %d bytes: got %v, want a fault", n, len(data), err)
			}
		}
	}
	for name, c := range map[string]struct {
		data []byte
		what string
	}{
		"goes on":        {append(bytes.Clone(data), bytes.Repeat([]byte("more"), 9)...), "goes on after"},
		"length too big": {bytes.Replace(data, []byte{4, 0, 0}, []byte{255, 0, 0}, 1), "ends before the rows"},
		"length too low": {bytes.Replace(data, []byte{4, 0, 0}, []byte{2, 0, 0}, 1), "a face has 2 corners"},
	} {
		_, err := Decode(bytes.NewReader(c.data), mesh.DefaultLimits)
		if err == nil || !strings.Contains(err.Error(), c.what) {
			t.Errorf("%s: got %v, want …%q…", name, err, c.what)
		}
	}
}

// Text that was cut off within a row, or before its last one, is refused; only
// digits of the very last number can go unseen.
func TestTextTruncatedAnywhere(t *testing.T) {
	for n := range len(textCube) - 2 {
		_, err := decode(textCube[:n])
		var fault *mesh.Fault
		if !errors.As(err, &fault) {
			t.Fatalf("cut off after %d of %d bytes: got %v, want a fault", n, len(textCube), err)
		}
	}
}

func TestEncode(t *testing.T) {
	m := meshtest.Sphere(49.7, 2)
	colours := make([]Colour, len(m.Vertices))
	for name, c := range map[string][]Colour{"plain": nil, "in colours": colours} {
		var out bytes.Buffer
		if err := Encode(&out, m, c); err != nil {
			t.Fatal(err)
		}
		got, err := Decode(&out, mesh.DefaultLimits)
		if err != nil || len(got.Faces) != len(m.Faces) || got.Volume() != m.Volume() {
			t.Errorf("%s: got %+v, %v, want the same mesh", name, got, err)
		}
	}
}

func TestVerticesOfNoFaceAndDoubledOnes(t *testing.T) {
	data := strings.Replace(textCube, "vertex 8", "vertex 10", 1)
	data = strings.Replace(data, "10 10 10 nan\n", "10 10 10 nan\n0 0 0 1\n50 50 50 1\n", 1)
	got, err := decode(data)
	if err != nil || got.Corners != 10 || got.Welded != 1 || got.Unused != 1 || len(got.Vertices) != 8 {
		t.Errorf("got %+v, %v, want one welded and one unused of 10", got, err)
	}
	if b := geom.BoxOf(got.Vertices); b.Max.X != 10 {
		t.Errorf("box %v", b)
	}
}

func FuzzDecode(f *testing.F) {
	f.Add([]byte(textCube))
	f.Add(binaryCube(binary.LittleEndian))
	f.Add(binaryCube(binary.BigEndian))
	f.Fuzz(func(t *testing.T, data []byte) {
		got, err := Decode(bytes.NewReader(data), mesh.Limits{Bytes: 1 << 20, Faces: 10_000})
		meshtest.Sound(t, got, err)
	})
}
