package scan

import (
	"cmp"
	"slices"

	"fairlead/analytics/section"
	"fairlead/analytics/volume"
)

// StepMM is how far apart sections lie when no levels are asked for.
const StepMM = 5

// Landmark is where level 0 lies, by its distance from the distal end.
type Landmark struct {
	FromEndMM float64
	Given     bool // without one, levels are distances from the distal end
}

// fromEnd returns the distance from the distal end of a level, which counts
// distally from the landmark.
func (l Landmark) fromEnd(level float64) float64 {
	if l.Given {
		return l.FromEndMM - level
	}
	return level
}

// Level is a section with where it lies.
type Level struct {
	LevelMM   float64
	FromEndMM float64
	section.Section
}

// Measure returns sections at levels, or every StepMM along the limb when none
// are given.
func (s *Scan) Measure(f Frame, l Landmark, levels []float64) []Level {
	if len(levels) == 0 {
		length := f.LengthMM
		if l.Given {
			length = min(length, l.FromEndMM)
		}
		for z := 0.; z < length; z += StepMM {
			if l.Given || z > 0 {
				levels = append(levels, z)
			}
		}
	}
	at := make([]float64, len(levels))
	for i, z := range levels {
		at[i] = -l.fromEnd(z)
	}
	out := make([]Level, len(levels))
	for i, c := range section.Cut(s.Filled, len(s.Faces), f.Axis, at) {
		out[i] = Level{LevelMM: levels[i], FromEndMM: l.fromEnd(levels[i]), Section: c}
	}
	return out
}

// Span is what lies between the outermost of some levels.
type Span struct {
	FromMM, ToMM float64 // levels, FromMM the more proximal
	SolidML      float64
	FrustaML     float64 // from the girths of the levels, as a tape would have it
	ShapeFactor  float64 // FrustaML / SolidML
}

// SpanOf returns the span of levels that are measured; false with fewer than
// two that have a section.
func (s *Scan) SpanOf(f Frame, levels []Level) (Span, bool) {
	var cut []Level
	for _, l := range levels {
		if l.GirthMM > 0 {
			cut = append(cut, l)
		}
	}
	if len(cut) < 2 {
		return Span{}, false
	}
	byPlace(cut)
	first, last := cut[0], cut[len(cut)-1]
	span := Span{FromMM: first.LevelMM, ToMM: last.LevelMM}
	for i := 1; i < len(cut); i++ {
		span.FrustaML += volume.Frustum(cut[i-1].GirthMM, cut[i].GirthMM, cut[i-1].FromEndMM-cut[i].FromEndMM)
	}
	span.SolidML = section.Between(s.Filled, f.Axis, -first.FromEndMM, -last.FromEndMM) / mm3PerML
	if span.SolidML <= 0 {
		return Span{}, false
	}
	span.ShapeFactor = span.FrustaML / span.SolidML
	return span, true
}

const mm3PerML = 1000

// byPlace sorts levels from proximal to distal.
func byPlace(levels []Level) {
	slices.SortStableFunc(levels, func(a, b Level) int { return cmp.Compare(b.FromEndMM, a.FromEndMM) })
}
