package ply

import (
	"bufio"
	"bytes"
	"errors"
	"strconv"
	"strings"

	"fairlead/analytics/mesh"
	"fairlead/analytics/mesh/token"
)

// The bounds of a heading.
const (
	mostHeaderLines = 1000
	mostProperties  = 200 // of an element
)

// header is what stands before the data.
type header struct {
	format   string // one of formats
	elements []element
	lines    int
}

// formats are the words of the format line, and how they are called.
var formats = map[string]string{
	"ascii":                "PLY text",
	"binary_little_endian": "PLY binary",
	"binary_big_endian":    "PLY binary, big-endian",
}

// element is a kind of row: so many, each with the same properties.
type element struct {
	name       string
	count      int64 // as the heading says: never a reason to set memory aside
	properties []property
}

// property is a number or, when count is set, a list of them.
type property struct {
	name  string
	kind  kind
	count kind // of the length of a list; 0 for a single number
}

// kind is a type of number.
type kind uint8

const (
	int8s kind = iota + 1
	uint8s
	int16s
	uint16s
	int32s
	uint32s
	float32s
	float64s
)

// kinds are the names of the types, old and new.
var kinds = map[string]kind{
	"char": int8s, "uchar": uint8s, "short": int16s, "ushort": uint16s, "int": int32s, "uint": uint32s, "float": float32s, "double": float64s,
	"int8": int8s, "uint8": uint8s, "int16": int16s, "uint16": uint16s, "int32": int32s, "uint32": uint32s, "float32": float32s, "float64": float64s,
}

// size returns how many bytes a number takes.
func (k kind) size() int { return [...]int{0, 1, 1, 2, 2, 4, 4, 4, 8}[k] }

// whole tells whether a number has no fraction.
func (k kind) whole() bool { return k < float32s }

// readHeader reads up to end_header.
func readHeader(in *bufio.Reader) (*header, error) {
	h := &header{}
	for h.lines < mostHeaderLines {
		line, err := in.ReadSlice('\n')
		h.lines++
		if errors.Is(err, bufio.ErrBufferFull) {
			return nil, mesh.Broken(h.lines, "a line of the heading does not end")
		}
		if err != nil {
			return nil, mesh.ReadError(err, h.lines, "within its heading")
		}
		words := bytes.Fields(line)
		switch {
		case h.lines == 1:
			if len(words) != 1 || string(words[0]) != "ply" {
				return nil, mesh.Broken(1, "the file does not begin with ply")
			}
		case len(words) == 1 && string(words[0]) == "end_header":
			return h, h.check()
		default:
			if err := h.add(words); err != nil {
				err.Line = h.lines
				return nil, err
			}
		}
	}
	return nil, mesh.Broken(h.lines, "the heading has more than %d lines", mostHeaderLines)
}

// add takes a line of the heading.
func (h *header) add(line [][]byte) *mesh.Fault {
	words := strings.Fields(string(bytes.Join(line, []byte(" "))))
	if len(words) == 0 {
		return nil
	}
	switch words[0] {
	case "comment", "obj_info":
		return nil
	case "format":
		if len(words) < 2 || formats[words[1]] == "" {
			return mesh.Broken(0, "the format is none of ascii, binary_little_endian and binary_big_endian")
		}
		h.format = words[1]
		return nil
	case "element":
		if len(words) != 3 {
			break
		}
		count, err := strconv.ParseInt(words[2], 10, 64)
		if err != nil || count < 0 {
			return mesh.Broken(0, "the count of %q is %q", words[1], words[2])
		}
		if h.element(words[1]) != nil {
			return mesh.Broken(0, "the element %q is there twice", words[1])
		}
		h.elements = append(h.elements, element{name: words[1], count: count})
		return nil
	case "property":
		return h.addProperty(words[1:])
	}
	return mesh.Broken(0, "the heading has a line that begins with %q", token.Shorten([]byte(words[0])))
}

// addProperty takes TYPE NAME, or list TYPE TYPE NAME.
func (h *header) addProperty(words []string) *mesh.Fault {
	if len(h.elements) == 0 {
		return mesh.Broken(0, "a property stands before the first element")
	}
	e := &h.elements[len(h.elements)-1]
	var p property
	switch {
	case len(words) == 2:
		p = property{name: words[1], kind: kinds[words[0]]}
	case len(words) == 4 && words[0] == "list":
		p = property{name: words[3], kind: kinds[words[2]], count: kinds[words[1]]}
		if !p.count.whole() || p.count == 0 {
			return mesh.Broken(0, "the length of the list %q is no whole number", words[3])
		}
	}
	if p.kind == 0 {
		return mesh.Broken(0, "the property %q has no type that PLY knows", strings.Join(words, " "))
	}
	if len(e.properties) == mostProperties {
		return mesh.Broken(0, "the element %q has more than %d properties", e.name, mostProperties)
	}
	e.properties = append(e.properties, p)
	return nil
}

func (h *header) element(name string) *element {
	for i := range h.elements {
		if h.elements[i].name == name {
			return &h.elements[i]
		}
	}
	return nil
}

// check refuses a heading without places or faces, or with rows that hold
// nothing, of which there could be any number.
func (h *header) check() error {
	vertex, face := h.element("vertex"), h.element("face")
	switch {
	case h.format == "":
		return mesh.Broken(h.lines, "the heading names no format")
	case vertex == nil:
		return mesh.Broken(h.lines, "the heading names no vertices")
	case face == nil:
		return &mesh.Fault{Line: h.lines, What: "the file holds points without faces", Do: "export it as a mesh, with its surface"}
	}
	for i := range h.elements {
		e := &h.elements[i]
		if e.count > 0 && len(e.properties) == 0 {
			return mesh.Broken(h.lines, "the element %q has rows without properties", e.name)
		}
		if e == face && vertex.count > 0 && h.elements[0].name == "face" {
			return mesh.Broken(h.lines, "the faces stand before the vertices")
		}
	}
	for _, axis := range []string{"x", "y", "z"} {
		if i := vertex.property(axis); i < 0 || vertex.properties[i].count != 0 {
			return mesh.Broken(h.lines, "the vertices have no number %s", axis)
		}
	}
	if i := face.corners(); i < 0 || face.properties[i].count == 0 || !face.properties[i].kind.whole() {
		return mesh.Broken(h.lines, "the faces have no list vertex_indices of whole numbers")
	}
	return nil
}

// property returns where the property of a name stands, −1 when it is not there.
func (e *element) property(name string) int {
	for i, p := range e.properties {
		if p.name == name {
			return i
		}
	}
	return -1
}

// corners returns which property lists the corners of a face.
func (e *element) corners() int {
	return max(e.property("vertex_indices"), e.property("vertex_index"))
}

// leastRow returns the least bytes that a row takes: 2 characters a number as
// text.
func (e *element) leastRow(text bool) int64 {
	least := 0
	for _, p := range e.properties {
		k := p.kind
		if p.count != 0 {
			k = p.count
		}
		if text {
			least += 2
		} else {
			least += k.size()
		}
	}
	return int64(least)
}
