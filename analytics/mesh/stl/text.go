package stl

import (
	"io"

	"fairlead/analytics/geom"
	"fairlead/analytics/mesh"
	"fairlead/analytics/mesh/token"
)

// leastFacetText is the least that a triangle takes as text.
const leastFacetText = 80

// decodeText reads solids one after another.
func decodeText(in io.Reader, source *mesh.Source, limits mesh.Limits) (*mesh.File, error) {
	t := &textDecoder{Reader: token.NewReader(in)}
	known := max(source.Size(), 0) / leastFacetText / 2 // files take about twice the least
	t.builder = mesh.NewBuilder(limits, int(known/2+known/64), int(known))
	if _, ok := t.Word(); !ok { // solid, which was seen before
		return nil, t.Fault(nil, "solid")
	}
	for {
		if err := t.solid(); err != nil {
			return nil, t.AtLine(err)
		}
		t.EndLine()
		word, ok := t.Word()
		if !ok {
			break
		}
		if !token.Is(word, "solid") {
			return nil, t.Fault(word, "solid or the end of the file")
		}
	}
	if t.Err() != io.EOF {
		return nil, mesh.ReadError(t.Err(), t.Line(), "")
	}
	return t.builder.File("STL text", source.Bytes())
}

type textDecoder struct {
	*token.Reader
	builder *mesh.Builder
}

// solid reads up to endsolid.
func (t *textDecoder) solid() error {
	if !t.EndLine() { // of the name
		return t.Fault(nil, "facet or endsolid")
	}
	for {
		word, ok := t.Word()
		switch {
		case ok && token.Is(word, "facet"):
			if err := t.facet(); err != nil {
				return err
			}
		case ok && token.Is(word, "endsolid"):
			return nil
		default:
			return t.Fault(word, "facet or endsolid")
		}
	}
}

// facet reads a triangle after the word facet. The normal may be anything.
func (t *textDecoder) facet() error {
	if err := t.expect("normal"); err != nil {
		return err
	}
	if !t.Skip(3) {
		return t.Fault(nil, "the three numbers of a normal")
	}
	if err := t.expect("outer"); err != nil {
		return err
	}
	if err := t.expect("loop"); err != nil {
		return err
	}
	var p [3]geom.Vec
	for i := range p {
		if err := t.expect("vertex"); err != nil {
			return err
		}
		for _, to := range [...]*float64{&p[i].X, &p[i].Y, &p[i].Z} {
			value, word, ok := t.Number()
			if !ok {
				return t.Fault(word, "a number")
			}
			*to = value
		}
	}
	if err := t.expect("endloop"); err != nil {
		return err
	}
	if err := t.expect("endfacet"); err != nil {
		return err
	}
	return t.builder.Triangle(p[0], p[1], p[2])
}

func (t *textDecoder) expect(want string) error {
	word, ok := t.Word()
	if ok && token.Is(word, want) {
		return nil
	}
	return t.Fault(word, want)
}
