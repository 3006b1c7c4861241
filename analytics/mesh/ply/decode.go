package ply

import (
	"bufio"
	"io"

	"fairlead/analytics/mesh"
)

// buffered is how much of a file is read at once.
const buffered = 256 << 10

// mostCorners is the largest polygon that is taken.
const mostCorners = 100_000

// Decode reads PLY. Vertices at the same place come back welded, polygons as
// triangles. The error is a *mesh.Fault for bad content.
func Decode(from io.Reader, limits mesh.Limits) (*mesh.File, error) {
	source := mesh.NewSource(from, limits)
	in := bufio.NewReaderSize(source, buffered)
	h, err := readHeader(in)
	if err != nil {
		return nil, err
	}
	text := h.format == "ascii"
	vertices, triangles, err := h.room(source.Size(), text, limits)
	if err != nil {
		return nil, err
	}
	builder := mesh.NewBuilder(limits, vertices, triangles)
	if text {
		err = decodeText(in, h, builder)
	} else {
		err = decodeBinary(in, h, builder)
	}
	if err != nil {
		return nil, err
	}
	return builder.File(formats[h.format], source.Bytes())
}

// room returns for how many vertices and triangles memory may be set aside: as
// many as the heading says if the data could hold them, none when its size is
// not known. The error is a *mesh.Fault when it could not.
func (h *header) room(size int64, text bool, limits mesh.Limits) (vertices, triangles int, err error) {
	vertex, face := h.element("vertex"), h.element("face")
	if face.count > int64(limits.Faces) || vertex.count > 3*int64(limits.Faces) {
		return 0, 0, mesh.TooManyFaces(limits)
	}
	if size < 0 {
		return 0, 0, nil
	}
	for i := range h.elements {
		e := &h.elements[i]
		least := e.leastRow(text)
		if text {
			least-- // the last row needs no end of its line
		}
		if least > 0 && e.count > size/least {
			return 0, 0, mesh.ReadError(io.ErrUnexpectedEOF, 0, "before the rows that its heading promises")
		}
	}
	return int(vertex.count), int(face.count), nil
}
