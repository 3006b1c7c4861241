package mesh

import (
	"errors"
	"fmt"
	"io"
	"strconv"
)

// Source is a file that is read once from its beginning, up to a limit.
type Source struct {
	from  io.Reader
	limit int64
	read  int64
	size  int64
}

// NewSource returns the source of a file. A reader that knows its size, such as
// io.SectionReader or bytes.Reader (Size() int64, read from the beginning),
// lets decoders set memory aside at once.
func NewSource(from io.Reader, limits Limits) *Source {
	s := &Source{from: from, limit: limits.Bytes, size: -1}
	if sized, ok := from.(interface{ Size() int64 }); ok {
		s.size = sized.Size()
	}
	return s
}

// Size returns the size of the file in bytes, −1 when it is not known.
func (s *Source) Size() int64 { return s.size }

// Bytes returns how many bytes were read.
func (s *Source) Bytes() int64 { return s.read }

// Read implements io.Reader. Beyond the limit it gives a *Fault.
func (s *Source) Read(p []byte) (int, error) {
	if max(s.read, s.size) > s.limit {
		return 0, &Fault{
			What: "the file is larger than " + grouped(int(s.limit>>20)) + " MB",
			Do:   "export it as binary STL or PLY, or coarser",
		}
	}
	n, err := s.from.Read(p)
	s.read += int64(n)
	return n, err
}

// ReadError tells what ended the reading of a file: a *Fault as it is, the end
// of the data as a *Fault that says what was cut off, the trouble of a disk or
// network wrapped.
func ReadError(err error, line int, cutOff string) error {
	var fault *Fault
	switch {
	case errors.As(err, &fault):
		return fault
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		return &Fault{Line: line, What: "the file ends " + cutOff, Do: "copy or " + exportAgain}
	}
	return fmt.Errorf("mesh: read: %w", err)
}

// grouped writes a number in groups of three digits, as in 5,000,000.
func grouped(n int) string {
	text := strconv.Itoa(n)
	for i := len(text) - 3; i > 0; i -= 3 {
		text = text[:i] + "," + text[i:]
	}
	return text
}
