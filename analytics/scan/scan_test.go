package scan

import (
	"bytes"
	"math"
	"testing"

	"fairlead/analytics/geom"
	"fairlead/analytics/mesh"
	"fairlead/analytics/mesh/meshtest"
	"fairlead/analytics/mesh/ply"
)

func read(t *testing.T, m *mesh.Mesh, unit Unit) *Scan {
	t.Helper()
	var data bytes.Buffer
	if err := ply.Encode(&data, m, nil); err != nil {
		t.Fatal(err)
	}
	s, err := Read(&data, mesh.DefaultLimits, unit)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// limb is round at its end, 240 mm long and about 50 mm in radius.
func limb(top bool) *mesh.Mesh {
	return meshtest.Body(240, 120, 90, true, top, func(z, a float64) float64 {
		q := max(0, (45-z)/45)
		return (46 + z/20 + 2*math.Cos(3*a)) * math.Sqrt(1-0.98*q*q)
	})
}

func TestGuess(t *testing.T) {
	cases := []struct {
		longest float64
		unit    Unit
		clear   bool
	}{
		{240, Millimetre, true}, {120, Millimetre, true}, {480, Millimetre, true},
		{24, Centimetre, true}, {9.4, Inch, true}, {0.24, Metre, true},
		{15.5, Inch, false}, {16.5, Centimetre, false},
	}
	for _, c := range cases {
		if unit, clear := Guess(c.longest); unit != c.unit || clear != c.clear {
			t.Errorf("%g: got %s, %v, want %s, %v", c.longest, unit, clear, c.unit, c.clear)
		}
	}
}

// The proposed axis runs from proximal to distal however the limb lies.
func TestPropose(t *testing.T) {
	d, _ := geom.Vec{X: 1, Y: 2, Z: -3}.Unit()
	u := d.Across()
	v := d.Cross(u)
	for _, top := range []bool{true, false} {
		m := limb(top)
		for i, p := range m.Vertices { // +z, which is proximal, becomes −d
			m.Vertices[i] = u.Mul(p.X).Add(v.Mul(-p.Y)).Add(d.Mul(-p.Z)).Add(geom.Vec{X: 300, Y: -50})
		}
		s := read(t, m, Millimetre)
		f, err := s.Propose()
		if err != nil || f.Direction.Dot(d) < math.Cos(math.Pi/180) {
			t.Errorf("closed %v: axis %v, %v, want %v within 1°", top, f.Direction, err, d)
		}
		if math.Abs(f.LengthMM-240) > 1 || math.Abs(f.Level(geom.Vec{X: 300, Y: -50})) > 1 {
			t.Errorf("closed %v: length %.2f mm, end at %.2f mm", top, f.LengthMM, f.Level(geom.Vec{X: 300, Y: -50}))
		}
	}
}

// Half the coordinates in cm give the same figures as in mm.
func TestUnitsGiveTheSameFigures(t *testing.T) {
	want := read(t, limb(false), Auto)
	for _, unit := range Units {
		m := limb(false)
		m.Scale(1 / unit.MM())
		got := read(t, m, Auto)
		if got.Unit != unit || got.UnitHow != UnitGuessed {
			t.Errorf("unit %s, %s, want %s", got.Unit, got.UnitHow, unit)
		}
		if math.Abs(got.VolumeMM3/want.VolumeMM3-1) > 1e-12 || math.Abs(got.SurfaceMM2/want.SurfaceMM2-1) > 1e-12 {
			t.Errorf("%s: %.6f mm³, want %.6f", unit, got.VolumeMM3, want.VolumeMM3)
		}
	}
}

func TestLevelsCountFromTheLandmarkOrTheEnd(t *testing.T) {
	s := read(t, limb(true), Millimetre)
	f, err := NewFrame(&s.Mesh, geom.Vec{Z: -1}, FrameStated)
	if err != nil {
		t.Fatal(err)
	}
	byEnd := s.Measure(f, Landmark{}, []float64{180, 40})
	byMark := s.Measure(f, Landmark{FromEndMM: 200, Given: true}, []float64{20, 160})
	for i := range byEnd {
		if byEnd[i].FromEndMM != byMark[i].FromEndMM || byEnd[i].GirthMM != byMark[i].GirthMM {
			t.Errorf("%+v and %+v at one place", byEnd[i], byMark[i])
		}
	}
	if every := s.Measure(f, Landmark{FromEndMM: 200, Given: true}, nil); len(every) != 40 || every[0].LevelMM != 0 || every[39].FromEndMM != 5 {
		t.Errorf("%d levels from %g", len(every), every[0].LevelMM)
	}
	if _, ok := s.SpanOf(f, byEnd[:1]); ok {
		t.Error("a span of one level")
	}
	span, ok := s.SpanOf(f, byEnd)
	if !ok || span.FromMM != 180 || span.ToMM != 40 || span.SolidML <= 0 {
		t.Errorf("span %+v, %v", span, ok)
	}
}
