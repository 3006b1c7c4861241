package server

import (
	"bytes"
	"context"
	"errors"
	"io"
	"mime/multipart"
	"net/http"
	"testing"
	"time"
)

// multipartPost is a form as a browser sends it that lets a file be chosen.
func (b *browser) multipartPost(path, kind string, body io.Reader) *http.Request {
	b.t.Helper()
	req, err := http.NewRequest(http.MethodPost, b.URL+path, body)
	if err != nil {
		b.t.Fatal(err)
	}
	req.Header.Set("Content-Type", kind)
	req.Header.Set("Sec-Fetch-Site", "same-origin")
	return req
}

// sendSlowly begins to send a document and returns how to send its end, which waits
// for the answer.
func (b handoverBench) sendSlowly(path string) (finish func()) {
	b.t.Helper()
	body, write := io.Pipe()
	w := multipart.NewWriter(write)
	req := b.kit.multipartPost(path, w.FormDataContentType(), body)
	ended := make(chan error, 1)
	go func() {
		res, err := b.kit.http.Do(req)
		if err == nil {
			err = res.Body.Close()
		}
		ended <- err
	}()
	part, err := w.CreateFormFile("document", "slow.pdf")
	if err == nil {
		_, err = part.Write(letter)
	}
	if err != nil {
		b.t.Fatal(err)
	}
	return func() {
		b.t.Helper()
		if err := w.Close(); err != nil {
			b.t.Error(err)
		}
		write.Close()
		if err := <-ended; err != nil {
			b.t.Error(err)
		}
	}
}

// reading waits until so many documents are being read.
func (b handoverBench) reading(n int) {
	b.t.Helper()
	for late := time.Now().Add(time.Minute); len(b.inner.documents) != n; time.Sleep(time.Millisecond) {
		if time.Now().After(late) {
			b.t.Fatalf("%d documents are being read, want %d", len(b.inner.documents), n)
		}
	}
}

// TestTwoDocumentsAreReadAtOnce and a third waits until one of them is done, while
// forms without a document go on.
func TestTwoDocumentsAreReadAtOnce(t *testing.T) {
	b := newHandoverBench(t)
	handover := b.HandedOver()
	form := b.answerTo(handover)
	first, second := b.sendSlowly(handover+"/answer"), b.sendSlowly(handover+"/answer")
	b.reading(documentsAtOnce)
	third := make(chan int, 1)
	go func() { third <- b.kit.Send(handover+"/answer", "a.pdf", letter, form...).Status }()
	select { // a machine that is busy finds less here, and never too much
	case status := <-third:
		t.Errorf("a third was read beside two others: %d", status)
	case <-time.After(200 * time.Millisecond):
	}
	b.kit.Post(handover+"/answer", "said", "not asked for a file").Has(t, http.StatusUnprocessableEntity)
	b.kit.Send(handover+"/answer", "", nil, "said", "no file was chosen").Has(t, http.StatusUnprocessableEntity)
	first()
	if status := <-third; status != http.StatusSeeOther {
		t.Errorf("after the first was done: %d", status)
	}
	second()
	b.reading(0)
}

// TestPartWithABrokenHeader is told, and nothing is recorded without the document
// that was in it.
func TestPartWithABrokenHeader(t *testing.T) {
	b := newHandoverBench(t)
	handover := b.HandedOver()
	pairs := b.answerTo(handover)
	for name, header := range map[string]string{
		"a line end in its name": "Content-Disposition: form-data; name=\"document\"; filename=\"a\r\nX-Other: b.pdf\"\r\nContent-Type: application/pdf",
		"no name at all":         "Content-Disposition: form-data; filename=\"a.pdf\"\r\nContent-Type: application/pdf",
		"no file's name":         "Content-Disposition: form-data; name=\"document\"; filename=\"\"\r\nContent-Type: application/pdf",
		"no disposition":         "Content-Type: application/pdf",
		"no header":              "X-Other: b",
		"another disposition":    "Content-Disposition: attachment; name=\"document\"; filename=\"a.pdf\"",
		"a name of no field":     "Content-Disposition: form-data; name=\"other\"; filename=\"a.pdf\"",
	} {
		var body bytes.Buffer
		w := multipart.NewWriter(&body)
		for i := 0; i+1 < len(pairs); i += 2 {
			if err := w.WriteField(pairs[i], pairs[i+1]); err != nil {
				t.Fatal(err)
			}
		}
		body.WriteString("\r\n--" + w.Boundary() + "\r\n" + header + "\r\n\r\n" + string(letter) + "\r\n--" + w.Boundary() + "--\r\n")
		a := b.kit.do(b.kit.multipartPost(handover+"/answer", w.FormDataContentType(), &body))
		a.Has(t, http.StatusBadRequest, "What was sent could not be read", "Nothing was changed")
		if n := len(b.answers()); n > 0 {
			t.Errorf("%s: %d answers", name, n)
		}
	}
	b.reading(0)
}

// TestDocumentThatFindsNoPlace is answered in words, and takes nobody else's.
func TestDocumentThatFindsNoPlace(t *testing.T) {
	of := make(chan struct{}, 1)
	first, second := place{of: of}, place{of: of}
	if err := first.take(t.Context()); err != nil {
		t.Fatal(err)
	}
	gone, cancel := context.WithCancel(t.Context())
	cancel()
	if err := second.take(gone); !errors.Is(err, errBusy) {
		t.Errorf("got %v, want %v", err, errBusy)
	}
	second.leave()
	if len(of) != 1 {
		t.Error("it gave back a place that it did not have")
	}
	first.leave()
	first.leave()
	if err := second.take(t.Context()); err != nil {
		t.Error(err)
	}
}
