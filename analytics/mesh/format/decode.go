package format

import (
	"bufio"
	"bytes"
	"errors"
	"io"
	"strings"

	"fairlead/analytics/mesh"
	"fairlead/analytics/mesh/obj"
	"fairlead/analytics/mesh/ply"
	"fairlead/analytics/mesh/stl"
)

// peeked is how much of a file decides what it is.
const peeked = 4096

// Decode reads STL, PLY or OBJ. The error is a *mesh.Fault for bad content: it
// names what a file is that is none of them, where it can be told.
func Decode(from io.Reader, limits mesh.Limits) (*mesh.File, error) {
	in := &peekedReader{Reader: bufio.NewReaderSize(from, peeked), size: -1}
	if sized, ok := from.(interface{ Size() int64 }); ok {
		in.size = sized.Size()
	}
	head, err := in.Peek(peeked)
	if err != nil && !errors.Is(err, io.EOF) {
		return nil, mesh.ReadError(err, 0, "")
	}
	if len(bytes.TrimSpace(head)) == 0 && len(head) < peeked {
		return nil, &mesh.Fault{What: "the file is empty", Do: "copy or export it again"}
	}
	if name := otherFormat(head); name != "" {
		return nil, &mesh.Fault{What: "the file is " + name + ", not a mesh", Do: "export it as STL, PLY or OBJ"}
	}
	switch {
	case isPLY(head):
		return ply.Decode(in, limits)
	case stl.IsText(head):
		return stl.Decode(in, limits)
	case isText(head):
		if !isOBJ(head, len(head) < peeked) {
			return nil, &mesh.Fault{What: "the file is a text that is neither STL, PLY nor OBJ", Do: "export it as STL, PLY or OBJ"}
		}
		return obj.Decode(in, limits)
	}
	return stl.Decode(in, limits)
}

// peekedReader is a reader whose beginning was looked at and which still knows
// its size, −1 for not known.
type peekedReader struct {
	*bufio.Reader
	size int64
}

// Size shadows the size of the buffer.
func (r *peekedReader) Size() int64 { return r.size }

// otherFormats are files that are taken for meshes by mistake, by how they
// begin.
var otherFormats = []struct{ magic, name string }{
	{"PK\x03\x04", "a ZIP archive or 3MF"},
	{"\x1f\x8b", "compressed by gzip"},
	{"7z\xbc\xaf", "a 7z archive"},
	{"Rar!", "a RAR archive"},
	{"%PDF", "a PDF"},
	{"\x89PNG", "a picture"},
	{"\xff\xd8\xff", "a picture"},
	{"GIF8", "a picture"},
	{"glTF", "glTF"},
	{"ISO-10303-21", "STEP"},
	{"Kaydara FBX", "FBX"},
	{"OFF", "OFF"},
	{"{", "JSON"},
	{"#VRML", "VRML"},
	{"version https://git-lfs", "a pointer to a file that was left behind"},
}

// otherFormat names a format that is no mesh that can be read, or nothing.
func otherFormat(head []byte) string {
	head = bytes.TrimPrefix(head, []byte("\ufeff"))
	word := bytes.TrimLeft(head, " \t\r\n")
	if isText(head) && len(word) > 0 && word[0] == '<' {
		if strings.Contains(strings.ToLower(string(word)), "<html") {
			return "a web page"
		}
		return "XML"
	}
	for _, f := range otherFormats {
		if bytes.HasPrefix(head, []byte(f.magic)) {
			return f.name
		}
	}
	return ""
}

func isPLY(head []byte) bool {
	return bytes.HasPrefix(head, []byte("ply\n")) || bytes.HasPrefix(head, []byte("ply\r")) || bytes.HasPrefix(head, []byte("ply "))
}

// isText tells whether the beginning of a file holds no control characters.
func isText(head []byte) bool {
	for _, c := range head {
		if c < ' ' && c != '\t' && c != '\r' && c != '\n' && c != '\f' {
			return false
		}
	}
	return true
}

// objWords begin the lines of an OBJ file.
var objWords = map[string]bool{
	"v": true, "vn": true, "vt": true, "vp": true, "f": true, "fo": true, "l": true, "p": true, "o": true, "g": true, "s": true,
	"mtllib": true, "usemtl": true, "call": true, "csh": true,
}

// isOBJ tells whether a text has a line of OBJ; one that is all comment as far
// as it was seen may have one.
func isOBJ(head []byte, whole bool) bool {
	comment := true
	for line := range bytes.Lines(bytes.TrimPrefix(head, []byte("\ufeff"))) {
		words := bytes.Fields(line)
		if len(words) == 0 || words[0][0] == '#' {
			continue
		}
		comment = false
		if objWords[string(words[0])] {
			return true
		}
	}
	return comment && !whole
}
