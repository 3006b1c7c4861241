package ply

import (
	"bufio"
	"encoding/binary"
	"errors"
	"io"
	"math"

	"fairlead/analytics/geom"
	"fairlead/analytics/mesh"
)

// decodeBinary reads the rows of all elements.
func decodeBinary(in *bufio.Reader, h *header, b *mesh.Builder) error {
	d := &binaryDecoder{in: in, order: binary.LittleEndian, builder: b}
	if h.format == "binary_big_endian" {
		d.order = binary.BigEndian
	}
	for i := range h.elements {
		e := &h.elements[i]
		d.element = e
		d.axes = [3]int{e.property("x"), e.property("y"), e.property("z")}
		d.corners = e.corners()
		row := d.skipRow
		switch e.name {
		case "vertex":
			row = d.vertex
		case "face":
			row = d.face
		}
		for range e.count {
			if err := row(); err != nil {
				return err
			}
		}
	}
	return d.checkRest()
}

type binaryDecoder struct {
	in      *bufio.Reader
	order   binary.ByteOrder
	builder *mesh.Builder
	element *element
	axes    [3]int
	corners int
	polygon []int
}

// next returns the next n bytes, at most buffered; they are good until the next
// call.
func (d *binaryDecoder) next(n int) ([]byte, error) {
	data, err := d.in.Peek(n)
	if err != nil {
		return nil, mesh.ReadError(err, 0, "before the rows that its heading promises")
	}
	_, _ = d.in.Discard(n) // it was just peeked
	return data, nil
}

// discard passes over n bytes.
func (d *binaryDecoder) discard(n int64) error {
	if _, err := io.CopyN(io.Discard, d.in, n); err != nil {
		return mesh.ReadError(err, 0, "before the rows that its heading promises")
	}
	return nil
}

// number reads a number of a kind.
func (d *binaryDecoder) number(k kind) (float64, error) {
	data, err := d.next(k.size())
	if err != nil {
		return 0, err
	}
	switch k {
	case float32s:
		return float64(math.Float32frombits(d.order.Uint32(data))), nil
	case float64s:
		return math.Float64frombits(d.order.Uint64(data)), nil
	}
	return float64(d.whole(data, k)), nil
}

// whole turns the bytes of a whole number into it.
func (d *binaryDecoder) whole(data []byte, k kind) int {
	switch k {
	case int8s:
		return int(int8(data[0]))
	case uint8s:
		return int(data[0])
	case int16s:
		return int(int16(d.order.Uint16(data)))
	case uint16s:
		return int(d.order.Uint16(data))
	case int32s:
		return int(int32(d.order.Uint32(data)))
	}
	return int(d.order.Uint32(data))
}

// length reads the length of a list.
func (d *binaryDecoder) length(p property) (int, error) {
	data, err := d.next(p.count.size())
	if err != nil {
		return 0, err
	}
	n := d.whole(data, p.count)
	if n < 0 {
		return 0, mesh.Broken(0, "a list %q has the length %d", p.name, n)
	}
	return n, nil
}

// skip passes over the value of a property.
func (d *binaryDecoder) skip(p property) error {
	n := 1
	if p.count != 0 {
		var err error
		if n, err = d.length(p); err != nil {
			return err
		}
	}
	size := n * p.kind.size()
	if size <= buffered {
		_, err := d.next(size)
		return err
	}
	return d.discard(int64(size))
}

func (d *binaryDecoder) skipRow() error {
	for _, p := range d.element.properties {
		if err := d.skip(p); err != nil {
			return err
		}
	}
	return nil
}

func (d *binaryDecoder) vertex() error {
	var at [3]float64
	for i, p := range d.element.properties {
		axis := -1
		for a, where := range d.axes {
			if where == i {
				axis = a
			}
		}
		if axis < 0 {
			if err := d.skip(p); err != nil {
				return err
			}
			continue
		}
		var err error
		if at[axis], err = d.number(p.kind); err != nil {
			return err
		}
	}
	return d.builder.Vertex(geom.Vec{X: at[0], Y: at[1], Z: at[2]})
}

func (d *binaryDecoder) face() error {
	for i, p := range d.element.properties {
		if i != d.corners {
			if err := d.skip(p); err != nil {
				return err
			}
			continue
		}
		n, err := d.length(p)
		if err != nil {
			return err
		}
		if n > mostCorners {
			return mesh.Broken(0, "a face has %d corners", n)
		}
		d.polygon = d.polygon[:0]
		for range n {
			data, err := d.next(p.kind.size())
			if err != nil {
				return err
			}
			d.polygon = append(d.polygon, d.whole(data, p.kind))
		}
	}
	return d.builder.Polygon(d.polygon)
}

// mostRest is how many bytes may follow the last row: the end of a line, or a
// round number of bytes.
const mostRest = 16

// checkRest refuses a file that goes on after what its heading promises.
func (d *binaryDecoder) checkRest() error {
	rest, err := d.in.Peek(mostRest)
	switch {
	case err == nil:
		return mesh.Broken(0, "the file goes on after the rows that its heading promises")
	case !errors.Is(err, io.EOF):
		return mesh.ReadError(err, 0, "")
	}
	_, _ = d.in.Discard(len(rest)) // it was just peeked
	return nil
}
