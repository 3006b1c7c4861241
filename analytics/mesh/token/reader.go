package token

import (
	"errors"
	"io"

	"fairlead/analytics/mesh"
)

// window is how much of a file is held at once. No word is longer.
const window = 256 << 10

// Reader reads words, which end at any byte up to the space.
type Reader struct {
	from     io.Reader
	buf      []byte
	pos, end int
	line     int
	err      error // that ended the data; io.EOF at the end of the file
}

// NewReader returns a reader of words.
func NewReader(from io.Reader) *Reader { return NewReaderAt(from, 1) }

// NewReaderAt returns a reader of words from the beginning of a later line.
func NewReaderAt(from io.Reader, line int) *Reader {
	return &Reader{from: from, buf: make([]byte, window), line: line}
}

// Line is the line that was read last, counted from 1.
func (r *Reader) Line() int { return r.line }

// Err returns what ended the data, io.EOF at the end of the file.
func (r *Reader) Err() error { return r.err }

// fill reads on, keeping what is in the window from position keep, and tells
// whether there is more.
func (r *Reader) fill(keep int) bool {
	if r.err != nil {
		return false
	}
	if keep == 0 && r.end == len(r.buf) {
		r.err = mesh.Broken(r.line, "a word or line has more than %d characters", window)
		return false
	}
	r.end = copy(r.buf, r.buf[keep:r.end])
	r.pos -= keep
	for range 100 { // an io.Reader may give nothing for a while
		n, err := r.from.Read(r.buf[r.end:])
		r.end += n
		if err != nil {
			r.err = err
		}
		if n > 0 {
			return true
		}
		if err != nil {
			return false
		}
	}
	r.err = io.ErrNoProgress
	return false
}

// skip goes to the next word and tells whether there is one; past the end of a
// line only when lines is true.
func (r *Reader) skip(lines bool) bool {
	for {
		for r.pos < r.end {
			c := r.buf[r.pos]
			if c > ' ' {
				return true
			}
			if c == '\n' {
				if !lines {
					return false
				}
				r.line++
			}
			r.pos++
		}
		if !r.fill(r.pos) {
			return false
		}
	}
}

// word returns the word that begins here, good until the next call; false when
// trouble of the reader cut it off.
func (r *Reader) word() ([]byte, bool) {
	start := r.pos
	for {
		for r.pos < r.end && r.buf[r.pos] > ' ' {
			r.pos++
		}
		if r.pos < r.end {
			return r.buf[start:r.pos], true
		}
		length := r.pos - start
		more := r.fill(start)
		start = r.pos - length
		if !more {
			return r.buf[start:r.pos], errors.Is(r.err, io.EOF)
		}
	}
}

// Word returns the next word, on whatever line; false at the end, see Err. It
// is good until the next call.
func (r *Reader) Word() ([]byte, bool) {
	if !r.skip(true) {
		return nil, false
	}
	return r.word()
}

// WordOfLine returns the next word of this line; false at its end.
func (r *Reader) WordOfLine() ([]byte, bool) {
	if !r.skip(false) {
		return nil, false
	}
	return r.word()
}

// Skip passes over n words and tells whether they were there.
func (r *Reader) Skip(n int) bool {
	for range n {
		if !r.skip(true) {
			return false
		}
		for {
			for r.pos < r.end && r.buf[r.pos] > ' ' {
				r.pos++
			}
			if r.pos < r.end || !r.fill(r.pos) {
				break
			}
		}
	}
	return true
}

// EndLine goes to the beginning of the next line and tells whether the data
// goes on there.
func (r *Reader) EndLine() bool {
	for {
		for r.pos < r.end {
			r.pos++
			if r.buf[r.pos-1] == '\n' {
				r.line++
				return r.pos < r.end || r.fill(r.pos)
			}
		}
		if !r.fill(r.pos) {
			return false
		}
	}
}

// Number reads the next word as a number; false when there is none, see Err,
// or when the word, which comes back, is not one.
func (r *Reader) Number() (float64, []byte, bool) {
	word, ok := r.Word()
	if !ok {
		return 0, nil, false
	}
	value, ok := Number(word)
	return value, word, ok
}

// Is tells whether a word is this one, in small or capital letters. want is in
// small letters.
func Is(word []byte, want string) bool {
	if len(word) != len(want) {
		return false
	}
	for i, c := range word {
		if 'A' <= c && c <= 'Z' {
			c += 'a' - 'A'
		}
		if c != want[i] {
			return false
		}
	}
	return true
}

// Fault returns the error of a word that is not what the file needs there: a
// *mesh.Fault with the line, or what ended the data.
func (r *Reader) Fault(word []byte, wanted string) error {
	if word == nil || (r.err != nil && !errors.Is(r.err, io.EOF)) {
		return mesh.ReadError(r.endOfData(), r.line, "before "+wanted)
	}
	return mesh.Broken(r.line, "there is %q where %s should be", Shorten(word), wanted)
}

// endOfData is what ended the data; a missing word without an end is one.
func (r *Reader) endOfData() error {
	if r.err == nil {
		return io.ErrUnexpectedEOF
	}
	return r.err
}

// AtLine gives a *mesh.Fault without a line the line that was read last.
func (r *Reader) AtLine(err error) error {
	var fault *mesh.Fault
	if errors.As(err, &fault) && fault.Line == 0 {
		fault.Line = r.line
	}
	return err
}

// Shorten keeps a word that is quoted in a message readable.
func Shorten(word []byte) string {
	const most = 40
	if len(word) > most {
		return string(word[:most]) + "…"
	}
	return string(word)
}
