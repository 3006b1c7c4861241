package format

import (
	"bytes"
	"compress/gzip"
	"errors"
	"io"
	"strings"
	"testing"

	"fairlead/analytics/mesh"
	"fairlead/analytics/mesh/meshtest"
	"fairlead/analytics/mesh/ply"
	"fairlead/analytics/mesh/stl"
)

const (
	tinyText = "solid t\nfacet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 1 0 0\nvertex 0 1 0\nendloop\nendfacet\nendsolid t\n"
	tinyOBJ  = "v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\n"
	tinyPLY  = "ply\nformat ascii 1.0\nelement vertex 3\nproperty float x\nproperty float y\nproperty float z\nelement face 1\n" +
		"property list uchar int vertex_indices\nend_header\n0 0 0\n1 0 0\n0 1 0\n3 0 1 2\n"
)

func written(t testing.TB, encode func(io.Writer) error) string {
	t.Helper()
	var out bytes.Buffer
	if err := encode(&out); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

func TestFormatIsToldByContent(t *testing.T) {
	binary := written(t, func(w io.Writer) error { return stl.Encode(w, meshtest.Cube(10)) })
	cases := []struct{ name, data, format string }{
		{"STL binary", binary, "STL binary"},
		{"STL binary that begins with solid", "solid" + binary[5:], "STL binary"},
		{"STL binary that begins with a letter of OBJ", "v 1 2 3\n" + binary[8:], "STL binary"},
		{"STL text", tinyText, "STL text"},
		{"STL text after blanks", "\r\n  " + tinyText, "STL text"},
		{"PLY text", tinyPLY, "PLY text"},
		{"PLY binary", written(t, func(w io.Writer) error { return ply.Encode(w, meshtest.Cube(10), nil) }), "PLY binary"},
		{"OBJ", tinyOBJ, "OBJ"},
		{"OBJ after a long comment", strings.Repeat("# made by hand\n", 1000) + tinyOBJ, "OBJ"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			for _, from := range []io.Reader{strings.NewReader(c.data), io.MultiReader(strings.NewReader(c.data))} {
				got, err := Decode(from, mesh.DefaultLimits)
				if err != nil || got.Format != c.format || got.Bytes != int64(len(c.data)) {
					t.Errorf("got %+v, %v, want %s of %d bytes", got, err, c.format, len(c.data))
				}
			}
		})
	}
}

func TestDecodeRefuses(t *testing.T) {
	squeezed := written(t, func(w io.Writer) error {
		z := gzip.NewWriter(w)
		_, err := io.WriteString(z, tinyText)
		return errors.Join(err, z.Close())
	})
	cases := []struct{ name, data, what string }{
		{"nothing", "", "the file is empty"},
		{"blanks", " \n\n", "the file is empty"},
		{"web page", "<!DOCTYPE html>\n<html><body>Sign in</body></html>", "is a web page"},
		{"web page after blanks", "\n\n  <HTML>", "is a web page"},
		{"XML", "<?xml version=\"1.0\"?><mesh/>", "is XML"},
		{"ZIP", "PK\x03\x04rest of it", "a ZIP archive or 3MF"},
		{"gzip", squeezed, "compressed by gzip"},
		{"glTF", "glTF\x02\x00\x00\x00", "is glTF"},
		{"letter", "Dear colleague,\nthe scan follows.\n", "neither STL, PLY nor OBJ"},
		{"table", "level_mm,girth_mm\n0,320\n", "neither STL, PLY nor OBJ"},
		{"comment only", "# nothing\n", "neither STL, PLY nor OBJ"},
		{"any bytes", strings.Repeat("\x00\xfe\x01", 100), "triangles and ends after"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			got, err := Decode(strings.NewReader(c.data), mesh.DefaultLimits)
			var fault *mesh.Fault
			if got != nil || !errors.As(err, &fault) || !strings.Contains(fault.What, c.what) || fault.Do == "" {
				t.Errorf("got %v, %v, want …%q…", got, err, c.what)
			}
		})
	}
}

func TestTooLarge(t *testing.T) {
	for _, data := range []string{tinyText, tinyOBJ, tinyPLY} {
		_, err := Decode(strings.NewReader(data), mesh.Limits{Bytes: 20, Faces: 10})
		if err == nil || !strings.Contains(err.Error(), "larger than") {
			t.Errorf("got %v, want it too large", err)
		}
	}
}

func FuzzDecode(f *testing.F) {
	for _, data := range []string{tinyText, tinyOBJ, tinyPLY, "<html>", "PK\x03\x04"} {
		f.Add([]byte(data))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		got, err := Decode(bytes.NewReader(data), mesh.Limits{Bytes: 1 << 20, Faces: 10_000})
		meshtest.Sound(t, got, err)
	})
}
