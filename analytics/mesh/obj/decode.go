package obj

import (
	"bytes"
	"io"

	"fairlead/analytics/geom"
	"fairlead/analytics/mesh"
	"fairlead/analytics/mesh/token"
)

// mostCorners is the largest polygon that is taken.
const mostCorners = 100_000

// leastLine is about what a vertex and two faces take as text.
const leastLine = 60

// Decode reads OBJ. Vertices at the same place come back welded, polygons as
// triangles. The error is a *mesh.Fault for bad content.
func Decode(from io.Reader, limits mesh.Limits) (*mesh.File, error) {
	source := mesh.NewSource(from, limits)
	known := int(max(source.Size(), 0) / leastLine)
	d := &decoder{Reader: token.NewReader(source), builder: mesh.NewBuilder(limits, known, 2*known)}
	for {
		word, ok := d.Word()
		if !ok {
			break
		}
		if err := d.statement(word); err != nil {
			return nil, d.AtLine(err)
		}
		if !d.EndLine() {
			break
		}
	}
	if d.Err() != io.EOF {
		return nil, mesh.ReadError(d.Err(), d.Line(), "")
	}
	return d.builder.File("OBJ", source.Bytes())
}

type decoder struct {
	*token.Reader
	builder *mesh.Builder
	polygon []int
}

// statement reads a line that begins with word, up to where it makes no
// difference any more.
func (d *decoder) statement(word []byte) error {
	switch string(bytes.TrimPrefix(word, []byte("\ufeff"))) {
	case "v":
		return d.vertex()
	case "f", "fo": // fo is how old files write f
		return d.face()
	case "call", "csh":
		return &mesh.Fault{What: "the file asks for another file or a command, which is never followed", Do: "export everything into one file"}
	}
	return d.passOver()
}

// passOver goes to the last line of a statement; a backslash at the end of a
// line continues it.
func (d *decoder) passOver() error {
	for {
		if _, ok := d.word(); !ok {
			return nil
		}
	}
}

// word returns the next word of the statement; false at its end.
func (d *decoder) word() ([]byte, bool) {
	for {
		word, ok := d.WordOfLine()
		if !ok || !bytes.Equal(word, []byte(`\`)) {
			return word, ok
		}
		if _, ok := d.WordOfLine(); ok || !d.EndLine() {
			return nil, false
		}
	}
}

// vertex reads x y z; weights and colours may follow.
func (d *decoder) vertex() error {
	var p geom.Vec
	for _, to := range [...]*float64{&p.X, &p.Y, &p.Z} {
		word, ok := d.word()
		if !ok {
			return d.short("a vertex has fewer than 3 coordinates")
		}
		value, ok := token.Number(word)
		if !ok {
			return d.Fault(word, "a coordinate")
		}
		*to = value
	}
	return d.builder.Vertex(p)
}

// face reads corners such as 3, 3/1, 3//2 or -1, which counts back from the
// last vertex before it.
func (d *decoder) face() error {
	d.polygon = d.polygon[:0]
	for {
		word, ok := d.word()
		if !ok {
			break
		}
		if word[0] == '#' {
			break
		}
		number := word
		if i := bytes.IndexByte(word, '/'); i >= 0 {
			number = word[:i]
		}
		n, ok := token.Whole(number)
		if !ok || n == 0 {
			return d.Fault(word, "the number of a vertex")
		}
		if len(d.polygon) == mostCorners {
			return mesh.Broken(0, "a face has more than %d corners", mostCorners)
		}
		if n < 0 {
			n += d.builder.Vertices() + 1
		}
		d.polygon = append(d.polygon, n-1)
	}
	if len(d.polygon) < 3 {
		return d.short("a face has fewer than 3 corners")
	}
	return d.builder.Polygon(d.polygon)
}

// short is the error of a statement that ends too early.
func (d *decoder) short(what string) error {
	if d.Err() != nil {
		return mesh.ReadError(d.Err(), d.Line(), "within a line")
	}
	return mesh.Broken(0, "%s", what)
}
