package main

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"fairlead/analytics/mesh"
	"fairlead/analytics/scan"
)

// measureReport is what is told about a scan.
type measureReport struct {
	*scan.Scan
	sha256 string
	// Unless it stops after the volume:
	measured bool
	frame    scan.Frame
	landmark scan.Landmark
	levels   []scan.Level
	span     scan.Span
	hasSpan  bool
}

// readScan reads a file, or standard input for -, and its hash beside it.
func readScan(file string, o measureOptions, std streams) (*measureReport, error) {
	from, hashed := io.Reader(nil), (<-chan string)(nil)
	if file == "-" {
		from, hashed = hashing(std.in)
	} else {
		f, err := os.Open(filepath.Clean(file))
		if err != nil {
			return nil, err
		}
		defer f.Close() // read only: nothing can be lost
		if from, err = sized(f); err != nil {
			return nil, err
		}
		if section, ok := from.(*io.SectionReader); ok {
			hashed = hashOf(io.NewSectionReader(section, 0, section.Size()))
		} else {
			from, hashed = hashing(from)
		}
	}
	s, err := scan.Read(from, mesh.DefaultLimits, scan.Unit(o.unit))
	if done, ok := from.(io.Closer); ok {
		_ = done.Close() // of the hash, which can't fail
	}
	if err != nil {
		return nil, err // without waiting for the hash
	}
	return &measureReport{Scan: s, sha256: <-hashed}, nil
}

// hashOf hashes a file while it is decoded.
func hashOf(from io.Reader) <-chan string {
	sum := make(chan string, 1)
	go func() {
		h := sha256.New()
		_, _ = io.Copy(h, from) // decoding meets the same trouble and tells it
		sum <- hex.EncodeToString(h.Sum(nil))
	}()
	return sum
}

// hashingReader hashes what is read from it; Close gives the hash.
type hashingReader struct {
	io.Reader
	sum func()
}

func (h hashingReader) Close() error {
	h.sum()
	return nil
}

// hashing returns a reader of a stream that can be read but once, and its hash
// after Close.
func hashing(from io.Reader) (io.Reader, <-chan string) {
	h := sha256.New()
	sum := make(chan string, 1)
	return hashingReader{io.TeeReader(from, h), func() { sum <- hex.EncodeToString(h.Sum(nil)) }}, sum
}

// measure places the frame and the levels.
func (r *measureReport) measure(o measureOptions) error {
	var err error
	if o.axis == "auto" {
		r.frame, err = r.Propose()
	} else {
		r.frame, err = scan.NewFrame(&r.Mesh, o.direction, scan.FrameStated)
	}
	if err != nil {
		return err
	}
	switch {
	case o.hasLandmark:
		at := o.landmarkAt.Mul(r.Unit.MM())
		r.landmark = scan.Landmark{FromEndMM: -r.frame.Level(at), Given: true}
	case o.fromEnd:
		r.landmark = scan.Landmark{FromEndMM: o.fromEndMM, Given: true}
	}
	r.levels = r.Measure(r.frame, r.landmark, o.levels)
	r.span, r.hasSpan = r.SpanOf(r.frame, r.levels)
	r.measured = true
	return nil
}

// writeTable writes the report for people.
func (r *measureReport) writeTable(w io.Writer) {
	line := func(name, format string, args ...any) {
		fmt.Fprintf(w, "%-12s %s\n", name, fmt.Sprintf(format, args...))
	}
	line("File", "%s, %d triangles, %d bytes", r.Format, r.Triangles, r.Bytes)
	line("Unit", "%s, %s", r.Unit, r.UnitHow)
	p := r.Repairs
	line("Repairs", "%d fragments, %d duplicate and %d degenerate faces left out; %d faces turned over", p.Fragments, p.Duplicate, p.Degenerate, p.Flipped)
	if p.NonManifoldEdges+p.TwistedEdges > 0 {
		line("", "left as they are: %d edges of more than two faces, %d twisted edges", p.NonManifoldEdges, p.TwistedEdges)
	}
	for _, rim := range r.Rims {
		line("", "%s of %.1f mm round and %.1f mm²", rim.Kind, rim.LengthMM, rim.AreaMM2)
	}
	line("Shells", "%d, of which %d are left", r.Found, len(r.Shells))
	line("Surface", "%.1f cm²", r.SurfaceMM2/100)
	line("Volume", "%.1f mL%s", r.VolumeMM3/1000, map[bool]string{true: "", false: ", closed over what is missing"}[r.Closed()])
	if !r.measured {
		return
	}
	line("Length", "%.1f mm along the axis (%s)", r.frame.LengthMM, r.frame.How)
	if r.hasSpan {
		line("Span", "%.1f to %.1f mm: %.1f mL; frusta of its girths %.1f mL (shape factor %.4f)", r.span.FromMM, r.span.ToMM, r.span.SolidML, r.span.FrustaML, r.span.ShapeFactor)
	}
	fmt.Fprintf(w, "\n%10s %12s %10s %12s %11s\n", "level mm", "from end mm", "girth mm", "contour mm", "area cm²")
	for _, l := range r.levels {
		if l.GirthMM == 0 {
			fmt.Fprintf(w, "%10.1f %12.1f %10s\n", l.LevelMM, l.FromEndMM, "nothing there")
			continue
		}
		note := ""
		if !l.Complete {
			note = fmt.Sprintf("  girth up to ± %.1f mm: %.1f mm are missing", l.GirthBoundMM, l.GapMM)
		}
		fmt.Fprintf(w, "%10.1f %12.1f %10.1f %12.1f %11.2f%s\n", l.LevelMM, l.FromEndMM, l.GirthMM, l.ContourMM, l.AreaMM2/100, note)
	}
}
