package server

import (
	"bytes"
	"context"
	"errors"
	"image"
	_ "image/jpeg" // a kind that is kept
	_ "image/png"  // a kind that is kept
	"io"
	"mime/multipart"
	"net/http"
	"path"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"fairlead/models"
	"fairlead/server/form"
	"github.com/gin-gonic/gin"
)

// The most that a document may be: its bytes, and the pixels of a picture, which
// are counted from its header before it is decoded.
const (
	mostDocument = 15 << 20
	mostPixels   = 40_000_000 // A4 at 600 dots per inch is 35 million
)

// leastSide is the fewest pixels that the width and the height of a picture may
// have: fewer can't hold a letter that can be read.
const leastSide = 300

// At most so many documents are held in memory at once, each with its picture
// decoded; who sends one more waits for a place, but not for long.
const (
	documentsAtOnce = 2
	longestWait     = 20 * time.Second
)

// place is one of those for a document, once it is taken.
type place struct {
	of    chan struct{}
	taken bool
}

// take waits for a place. One that is not given in time is an error to read.
func (p *place) take(ctx context.Context) error {
	late := time.NewTimer(longestWait)
	defer late.Stop()
	select {
	case p.of <- struct{}{}:
		p.taken = true
		return nil
	case <-late.C:
		return errBusy
	case <-ctx.Done():
		return errBusy
	}
}

// leave gives the place back, if it was taken.
func (p *place) leave() {
	if p.taken {
		<-p.of
		p.taken = false
	}
}

// upload is a file that came with a form.
type upload struct {
	name     string // as it was called, without hidden characters
	content  []byte
	tooLarge bool // the rest of it was not read
}

// fieldsAndFile returns a form as it was typed, and the file in one of its fields,
// or nil where none was chosen. It is read as it comes and kept in no file of ours.
// Of a form with too large a file everything that came before it is returned. The
// file's place is taken before it is read, and the caller's to leave.
func fieldsAndFile(c *gin.Context, field string, place *place) (map[string]string, *upload, error) {
	if !strings.HasPrefix(c.Request.Header.Get("Content-Type"), "multipart/form-data") {
		typed, err := fields(c)
		return typed, nil, err
	}
	parts, err := c.Request.MultipartReader()
	if err != nil {
		return nil, nil, errMalformed
	}
	post, file := map[string][]string{}, (*upload)(nil)
	for {
		part, err := parts.NextPart()
		var tooLarge *http.MaxBytesError
		switch {
		case errors.Is(err, io.EOF):
			return form.FromPost(post), file, nil
		case errors.As(err, &tooLarge) && file != nil && file.tooLarge:
			return form.FromPost(post), file, nil
		case errors.As(err, &tooLarge):
			return nil, nil, errLargeDocument
		case err != nil:
			return nil, nil, errMalformed
		}
		if part.FileName() == "" {
			if err := readField(part, post); err != nil {
				return nil, nil, err
			}
			continue
		}
		if part.FormName() != field || file != nil {
			return nil, nil, errMalformed
		}
		if err := place.take(c.Request.Context()); err != nil {
			return nil, nil, err
		}
		if file, err = readFile(part); err != nil {
			return nil, nil, err
		}
	}
}

// readField adds a field of a form to the others. A part with a kind of its own is
// of a file that was not chosen, and empty. One without a name comes from no form
// of ours: its header was broken, and with it a document may be lost.
func readField(part *multipart.Part, post map[string][]string) error {
	text, err := io.ReadAll(io.LimitReader(part, maxBody+1))
	switch {
	case err != nil && isTooLarge(err), len(text) > maxBody:
		return errLargeDocument
	case err != nil, part.FormName() == "":
		return errMalformed
	case part.Header.Get("Content-Type") == "":
		post[part.FormName()] = append(post[part.FormName()], string(text))
	case len(text) > 0:
		return errMalformed
	}
	return nil
}

func readFile(part *multipart.Part) (*upload, error) {
	file := &upload{name: cleanName(part.FileName())}
	var err error
	file.content, err = io.ReadAll(io.LimitReader(part, mostDocument+1))
	switch {
	case err != nil && isTooLarge(err), len(file.content) > mostDocument:
		file.content, file.tooLarge = nil, true
	case err != nil:
		return nil, errMalformed
	}
	return file, nil
}

func isTooLarge(err error) bool {
	var tooLarge *http.MaxBytesError
	return errors.As(err, &tooLarge)
}

// cleanName is the last part of a file's name as one line of text that can be
// shown: hidden characters and what is no text are left out.
func cleanName(name string) string {
	name = path.Base(strings.ReplaceAll(strings.ToValidUTF8(name, ""), `\`, "/"))
	name = strings.TrimSpace(strings.Map(func(r rune) rune {
		if !unicode.IsPrint(r) {
			return -1
		}
		return r
	}, name))
	if utf8.RuneCountInString(name) > longestLine {
		name = string([]rune(name)[:longestLine])
	}
	return name
}

// readDocument tells by its content whether a file is one that can be kept. Its
// name and what the browser says of it count for nothing.
func readDocument(r *form.Reader, file *upload) *models.Document {
	switch {
	case file == nil:
		return nil
	case file.tooLarge:
		r.Add("document", "problem.document-large", map[string]any{"Name": file.name, "Most": mostDocument >> 20})
		return nil
	case len(file.content) == 0:
		r.Add("document", "problem.document-empty", map[string]any{"Name": file.name})
		return nil
	}
	kind, problem := mediaType(file.content)
	if problem != "" {
		r.Add("document", problem, map[string]any{"Name": file.name, "Least": leastSide})
		return nil
	}
	return &models.Document{MediaType: kind, Content: file.content}
}

// pdfTail is how far from its end a PDF may have its last mark: readers look for
// it in about the last kilobyte, and some writers add a little after it.
const pdfTail = 2048

// mediaType tells a PDF, JPEG or PNG by its content, or what is wrong with it. A
// picture is decoded whole and must be large enough to be read; of a PDF its
// beginning, its end and that it has a page are looked at.
func mediaType(content []byte) (kind, problem string) {
	if bytes.HasPrefix(content, []byte("%PDF-")) {
		tail := content[max(0, len(content)-pdfTail):]
		if !bytes.Contains(tail, []byte("%%EOF")) || !bytes.Contains(content, []byte("obj")) {
			return "", "problem.document-broken"
		}
		if page, locked := pdfPages(content); !page && locked {
			return "", "problem.document-locked"
		} else if !page {
			return "", "problem.document-no-page"
		}
		return "application/pdf", ""
	}
	size, format, err := image.DecodeConfig(bytes.NewReader(content))
	switch {
	case err != nil, format != "jpeg" && format != "png":
		return "", "problem.document-kind"
	case size.Width*size.Height > mostPixels: // each is below 2^31, so that 64 bits hold the product
		return "", "problem.document-pixels"
	case min(size.Width, size.Height) < leastSide:
		return "", "problem.document-small"
	}
	if _, _, err := image.Decode(bytes.NewReader(content)); err != nil {
		return "", "problem.document-broken"
	}
	return "image/" + format, ""
}

// chooseAgain says of a form that is shown again that its file has to be chosen
// again, unless something is wrong with the file itself.
func chooseAgain(r *form.Reader, file *upload) {
	if file == nil {
		return
	}
	if _, wrong := r.Problems().For("document"); !wrong {
		r.Add("document", "problem.document-again", map[string]any{"Name": file.name})
	}
}
