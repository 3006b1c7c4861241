package stl

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"

	"fairlead/analytics/geom"
	"fairlead/analytics/mesh"
)

// The sizes of the parts of a binary file in bytes.
const (
	headerSize = 80
	facetsAt   = headerSize + 4
	facetSize  = 50
	batch      = 1024 // facets that are read at once
)

// peeked is how much of a file decides whether it is text.
const peeked = 512

// Decode reads STL, decided by its content: text begins with "solid" and holds
// no control characters, everything else is binary. Corners come back welded.
// The error is a *mesh.Fault for bad content.
func Decode(from io.Reader, limits mesh.Limits) (*mesh.File, error) {
	source := mesh.NewSource(from, limits)
	in := bufio.NewReaderSize(source, batch*facetSize)
	head, err := in.Peek(peeked)
	if err != nil && !errors.Is(err, io.EOF) {
		return nil, mesh.ReadError(err, 0, "")
	}
	if IsText(head) {
		return decodeText(in, source, limits)
	}
	return decodeBinary(in, source, limits)
}

// IsText tells whether the beginning of an STL file is that of a text. Many
// binary files begin with "solid" too; what tells them apart is that their
// count of triangles has a zero among its bytes, or promises more triangles
// than anybody has.
func IsText(head []byte) bool {
	head = bytes.TrimPrefix(head, []byte("\ufeff"))
	word := bytes.TrimLeft(head, " \t\r\n")
	if len(word) < 5 || !bytes.EqualFold(word[:5], []byte("solid")) {
		return false
	}
	for _, c := range head {
		if c < ' ' && c != '\t' && c != '\r' && c != '\n' && c != '\f' {
			return false
		}
	}
	return true
}

// decodeBinary reads 80 bytes of heading, the count of triangles, and 50 bytes
// for each. The count is held against the data, never trusted.
func decodeBinary(in *bufio.Reader, source *mesh.Source, limits mesh.Limits) (*mesh.File, error) {
	var head [facetsAt]byte
	if _, err := io.ReadFull(in, head[:]); err != nil {
		return nil, mesh.ReadError(err, 0, "within its first 84 bytes, where every STL file says how many triangles it has")
	}
	count := int64(binary.LittleEndian.Uint32(head[headerSize:]))
	known := int64(0)
	if source.Size() >= 0 {
		known = min((source.Size()-facetsAt)/facetSize, count, int64(limits.Faces))
		if whole := facetsAt + count*facetSize; source.Size() < whole {
			return nil, truncated((source.Size()-facetsAt)/facetSize, count)
		}
	}
	// A closed surface has half as many vertices as triangles (Euler).
	b := mesh.NewBuilder(limits, int(known/2+known/64), int(known))
	for at := int64(0); at < count; {
		n := int(min(count-at, batch))
		data, err := in.Peek(n * facetSize)
		whole := len(data) / facetSize
		if err := addFacets(b, data[:whole*facetSize]); err != nil {
			return nil, err
		}
		at += int64(whole)
		if whole < n {
			if !errors.Is(err, io.EOF) {
				return nil, mesh.ReadError(err, 0, "")
			}
			return nil, truncated(at, count)
		}
		_, _ = in.Discard(n * facetSize) // it was just peeked
	}
	if err := checkRest(in, count); err != nil {
		return nil, err
	}
	return b.File("STL binary", source.Bytes())
}

// addFacets adds triangles of 50 bytes each: normal, three corners, attribute.
func addFacets(b *mesh.Builder, data []byte) error {
	for ; len(data) >= facetSize; data = data[facetSize:] {
		if err := b.Triangle(corner(data[12:24]), corner(data[24:36]), corner(data[36:48])); err != nil {
			return err
		}
	}
	return nil
}

func corner(data []byte) geom.Vec {
	_ = data[11]
	return geom.Vec{
		X: float64(math.Float32frombits(binary.LittleEndian.Uint32(data[0:]))),
		Y: float64(math.Float32frombits(binary.LittleEndian.Uint32(data[4:]))),
		Z: float64(math.Float32frombits(binary.LittleEndian.Uint32(data[8:]))),
	}
}

// checkRest refuses a file that goes on with more triangles than its heading
// says: which of the two is right nobody can tell. Less than a triangle, and
// any amount of zeros, is what some programs leave behind.
func checkRest(in *bufio.Reader, count int64) error {
	rest, something := int64(0), false
	for {
		data, err := in.Peek(batch * facetSize)
		for _, c := range data {
			something = something || c != 0
		}
		rest += int64(len(data))
		_, _ = in.Discard(len(data)) // it was just peeked
		switch {
		case err == nil:
		case !errors.Is(err, io.EOF):
			return mesh.ReadError(err, 0, "")
		case something && rest >= facetSize:
			return mesh.Broken(0, "the file says it has %d triangles and goes on for %d bytes after them", count, rest)
		default:
			return nil
		}
	}
}

func truncated(there, count int64) *mesh.Fault {
	return &mesh.Fault{
		What: fmt.Sprintf("the file says it has %d triangles and ends after %d", count, max(there, 0)),
		Do:   "copy or export it again; if it is no STL file, name the format that it was saved in",
	}
}
