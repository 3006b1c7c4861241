package server

import (
	"bytes"
	"compress/zlib"
	"fmt"
	"image"
	"image/png"
	"testing"
)

// pdfOf is a PDF with objects as they stand.
func pdfOf(objects ...string) []byte {
	var b bytes.Buffer
	b.WriteString("%PDF-1.7\n")
	for i, o := range objects {
		fmt.Fprintf(&b, "%d 0 obj\n%s\nendobj\n", i+1, o)
	}
	b.WriteString("%%EOF\n")
	return b.Bytes()
}

// packedObjects is an object stream.
func packedObjects(t *testing.T, text string) string {
	t.Helper()
	var packed bytes.Buffer
	w := zlib.NewWriter(&packed)
	if _, err := w.Write([]byte(text)); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return fmt.Sprintf("<</Type/ObjStm/N 2/First 8/Filter/FlateDecode/Length %d>>stream\r\n%s\nendstream", packed.Len(), packed.Bytes())
}

// TestDocumentCanHoldALetter: a PDF without a page and a picture of a few pixels
// are no letter.
func TestDocumentCanHoldALetter(t *testing.T) {
	const catalog, pages, none = "<</Type/Catalog/Pages 2 0 R>>", "<</Type/Pages/Kids[3 0 R]/Count 1>>", "<</Type/Pages/Kids[]/Count 0>>"
	pictured := func(w, h int) []byte {
		var b bytes.Buffer
		if err := png.Encode(&b, image.NewGray(image.Rect(0, 0, w, h))); err != nil {
			t.Fatal(err)
		}
		return b.Bytes()
	}
	text := func(s string) string { return "<</Length 99>>\nstream\n" + s + "\nendstream" }
	for name, tt := range map[string]struct {
		content []byte
		problem string
	}{
		"a page":                         {pdfOf(catalog, pages, "<</Type /Page /Parent 2 0 R>>"), ""},
		"a page, its kind last":          {pdfOf(catalog, pages, "<</Parent 2 0 R/Type\n/Page>>"), ""},
		"a page after a picture":         {pdfOf(catalog, pages, text("\x00\xff>>stream"), "<</Type/Page/Parent 2 0 R>>"), ""},
		"a page among packed objects":    {pdfOf(catalog, packedObjects(t, "2 0 3 30 "+pages+" <</Type/Page/Parent 2 0 R>>")), ""},
		"a page in a locked file":        {pdfOf(catalog, pages, "<</Type/Page>>", "<</Type/XRef/Encrypt 9 0 R>>"), ""},
		"no page":                        {pdfOf(catalog, none), "problem.document-no-page"},
		"a page in words only":           {pdfOf(catalog, none, text("/Type /Page ")), "problem.document-no-page"},
		"no page among packed objects":   {pdfOf(catalog, packedObjects(t, "2 0 "+none)), "problem.document-no-page"},
		"packed objects that are cut":    {pdfOf(catalog, "<</Type/ObjStm/Filter/FlateDecode>>stream\nx\x9cendstream"), "problem.document-no-page"},
		"a stream without an end":        {pdfOf(catalog, "<</Type/ObjStm/Filter/FlateDecode>>stream\nx"), "problem.document-no-page"},
		"locked, and no page to be seen": {pdfOf(catalog, text("\x01\x02"), "<</Type/XRef/Encrypt 9 0 R>>"), "problem.document-locked"},
		"one pixel":                      {pictured(1, 1), "problem.document-small"},
		"a line":                         {pictured(2000, 299), "problem.document-small"},
		"the smallest":                   {pictured(leastSide, leastSide), ""},
	} {
		if _, problem := mediaType(tt.content); problem != tt.problem {
			t.Errorf("%s: got %q, want %q", name, problem, tt.problem)
		}
	}
}

// TestPackedObjectsAreUnpackedToALimit: nothing that is sent fills the memory.
func TestPackedObjectsAreUnpackedToALimit(t *testing.T) {
	var bomb bytes.Buffer
	w := zlib.NewWriter(&bomb)
	for range 80 {
		if _, err := w.Write(make([]byte, 1<<20)); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	if n := len(unpacked(bomb.Bytes(), 1<<10)); n != 1<<10 {
		t.Errorf("unpacked %d bytes, want %d", n, 1<<10)
	}
	one := "<</Type/ObjStm/Filter/FlateDecode>>stream\n" + bomb.String() + "\nendstream"
	if page, _ := pdfPages(pdfOf(one, one, one, one)); page {
		t.Error("a page in nothing but zeros")
	}
}
