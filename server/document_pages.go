package server

import (
	"bytes"
	"compress/zlib"
	"io"
	"regexp"
)

// The most of a PDF's packed objects that is unpacked to look for a page: a
// letter has some kilobytes of them.
const mostUnpacked = 32 << 20

// The words by which a PDF is read (ISO 32000-1, 7.3.8, 7.5.7, 7.7.3.3).
var (
	pdfStream  = regexp.MustCompile(`>>[\x00\t\n\f\r ]*stream\r?\n`)
	pdfPage    = regexp.MustCompile(`/Type[\x00\t\n\f\r ]*/Page(?:[\x00\t\n\f\r /<>\[\]()%]|$)`)
	pdfPacked  = regexp.MustCompile(`/Type[\x00\t\n\f\r ]*/ObjStm`)
	pdfDeflate = regexp.MustCompile(`/Fl(?:ateDecode)?[\x00\t\n\f\r /<>\[\]]`)
	pdfLocked  = regexp.MustCompile(`/Encrypt[\x00\t\n\f\r ]*(?:\d|<<)`)
)

// pdfPages tells whether a PDF has a page, and whether it is locked, so that its
// packed objects can't be looked at. Page objects stand as they are or packed
// with others (object streams); what pages show is not looked at.
func pdfPages(content []byte) (page, locked bool) {
	left := int64(mostUnpacked)
	for len(content) > 0 {
		plain, packed := content, []byte(nil)
		if at := pdfStream.FindIndex(content); at != nil {
			plain, packed, content = content[:at[0]+2], content[at[1]:], nil
			if end := bytes.Index(packed, []byte("endstream")); end >= 0 {
				packed, content = packed[:end], packed[end:]
			}
		} else {
			content = nil
		}
		if pdfPage.Match(plain) {
			return true, locked
		}
		locked = locked || pdfLocked.Match(plain)
		head := plain[bytes.LastIndex(plain, []byte("obj"))+1:] // the dictionary of the stream
		if left > 0 && pdfPacked.Match(head) && pdfDeflate.Match(head) {
			text := unpacked(packed, left)
			if left -= int64(len(text)); pdfPage.Match(text) {
				return true, locked
			}
		}
	}
	return false, locked
}

// unpacked is the beginning of what was packed by deflate, or nothing.
func unpacked(packed []byte, most int64) []byte {
	z, err := zlib.NewReader(bytes.NewReader(packed))
	if err != nil {
		return nil
	}
	text, err := io.ReadAll(io.LimitReader(z, most))
	if err != nil && len(text) == 0 {
		return nil
	}
	return text // without its end too: what is there is there
}
