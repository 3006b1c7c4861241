package ply

import (
	"io"

	"fairlead/analytics/geom"
	"fairlead/analytics/mesh"
	"fairlead/analytics/mesh/token"
)

// decodeText reads rows, one on a line.
func decodeText(in io.Reader, h *header, b *mesh.Builder) error {
	t := &textDecoder{Reader: token.NewReaderAt(in, h.lines+1), builder: b}
	for i := range h.elements {
		e := &h.elements[i]
		t.element = e
		t.x, t.y, t.z, t.corners = e.property("x"), e.property("y"), e.property("z"), e.corners()
		for range e.count {
			if err := t.row(); err != nil {
				return t.AtLine(err)
			}
		}
	}
	word, ok := t.Word()
	if ok {
		return t.Fault(word, "the end of the file, after the rows that the heading promises")
	}
	if t.Err() != io.EOF {
		return mesh.ReadError(t.Err(), t.Line(), "")
	}
	return nil
}

type textDecoder struct {
	*token.Reader
	builder          *mesh.Builder
	element          *element
	x, y, z, corners int // properties; -1 for not there
	polygon          []int
}

// row reads a line and gives a vertex or a face to the builder.
func (t *textDecoder) row() error {
	word, ok := t.Word()
	var at geom.Vec
	for i, p := range t.element.properties {
		if i > 0 {
			word, ok = t.WordOfLine()
		}
		if !ok {
			return t.short()
		}
		switch {
		case p.count != 0:
			if err := t.list(word, t.element.name == "face" && i == t.corners); err != nil {
				return err
			}
		case t.element.name == "vertex" && (i == t.x || i == t.y || i == t.z):
			value, ok := token.Number(word)
			if !ok {
				return t.Fault(word, "a coordinate")
			}
			*[...]*float64{&at.X, &at.Y, &at.Z}[t.axis(i)] = value
		}
	}
	if word, ok := t.WordOfLine(); ok {
		return t.Fault(word, "the end of the line, by the properties and list lengths of its row")
	}
	switch t.element.name {
	case "vertex":
		return t.builder.Vertex(at)
	case "face":
		return t.builder.Polygon(t.polygon)
	}
	return nil
}

func (t *textDecoder) axis(property int) int {
	switch property {
	case t.x:
		return 0
	case t.y:
		return 1
	}
	return 2
}

// list reads a list, its length being the word read last.
func (t *textDecoder) list(length []byte, corners bool) error {
	n, ok := token.Whole(length)
	if !ok || n < 0 {
		return t.Fault(length, "the length of a list")
	}
	if corners {
		if n > mostCorners {
			return mesh.Broken(0, "a face has %d corners", n)
		}
		t.polygon = t.polygon[:0]
	}
	for range n {
		word, ok := t.WordOfLine()
		if !ok {
			return t.short()
		}
		if !corners {
			continue
		}
		c, ok := token.Whole(word)
		if !ok {
			return t.Fault(word, "the number of a vertex")
		}
		t.polygon = append(t.polygon, c)
	}
	return nil
}

// short is the error of a row that ends too early.
func (t *textDecoder) short() error {
	if t.Err() != nil {
		return mesh.ReadError(t.Err(), t.Line(), "before the rows that its heading promises")
	}
	return mesh.Broken(0, "a row of the element %q is too short for its properties and list lengths", t.element.name)
}
