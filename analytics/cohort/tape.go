package cohort

import (
	"math"
	"math/rand/v2"

	"fairlead/analytics/girth"
)

// Tape is a fitter with a tape, by the four-term error model. The first three
// are standard deviations in millimetres.
type Tape struct {
	ReadingMM  float64 // of one reading
	LevelMM    float64 // of placing a level; the mark stays for all passes of a visit
	LandmarkMM float64 // of finding the landmark; shifts all levels of a visit
	Bias       float64 // standard deviation of a visit's bias on all girths, as a fraction
	FitterBias float64 // lasting bias of this fitter on all girths, as a fraction
}

// DefaultTape is V0 (computed from common practice): 2 mm, 3 mm, 3 mm, 0.5 %.
var DefaultTape = Tape{ReadingMM: 2, LevelMM: 3, LandmarkMM: 3, Bias: 0.005}

// Read takes the girths of a limb at a volume factor on the levels, one pass
// after the other, and rounds each to a millimetre, as people read a tape.
func (t Tape) Read(rng *rand.Rand, l Limb, factor float64, levelsMM []float64, passes int) []girth.Reading {
	bias := 1 + t.FitterBias + t.Bias*rng.NormFloat64()
	shift := t.LandmarkMM * rng.NormFloat64()
	marked := make([]float64, len(levelsMM))
	for i, level := range levelsMM {
		marked[i] = l.GirthMM(level+shift+t.LevelMM*rng.NormFloat64(), factor) * bias
	}
	readings := make([]girth.Reading, 0, passes*len(levelsMM))
	for pass := 1; pass <= passes; pass++ {
		for i, level := range levelsMM {
			read := math.Round(marked[i] + t.ReadingMM*rng.NormFloat64())
			readings = append(readings, girth.Reading{LevelMM: level, Pass: pass, GirthMM: read})
		}
	}
	return readings
}
