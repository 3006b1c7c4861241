package volume

import "math"

const mm3PerML = 1000

// Frustum returns the volume in millilitres of a truncated cone between two
// sections of girth c1MM and c2MM, heightMM apart, all in millimetres:
//
//	V = h (C1² + C1 C2 + C2²) / 12π
//
// (geometry; in this form for limbs of girths "a series of truncated cones",
// medicalalgorithms.com). The cone is the case of one girth 0, the cylinder of
// equal girths. The inputs are taken as they are; a negative height gives a
// negative volume.
func Frustum(c1MM, c2MM, heightMM float64) float64 {
	return heightMM * (float64(c1MM*c1MM) + float64(c1MM*c2MM) + float64(c2MM*c2MM)) / (12 * math.Pi) / mm3PerML
}

// frusta returns the segments between successive levels and their sum in
// millilitres.
func frusta(levelsMM, girthsMM []float64) ([]Segment, float64) {
	segments := make([]Segment, len(levelsMM)-1)
	total := 0.0
	for i := range segments {
		segments[i] = Segment{
			FromMM:   levelsMM[i],
			ToMM:     levelsMM[i+1],
			VolumeML: Frustum(girthsMM[i], girthsMM[i+1], levelsMM[i+1]-levelsMM[i]),
		}
		total += segments[i].VolumeML
	}
	return segments, total
}

// frustaGradient returns ∂V/∂Ci in millilitres per millimetre of girth at each
// level: h (2 Ci + Cj) / 12π from each neighbouring frustum (geometry).
func frustaGradient(levelsMM, girthsMM []float64) []float64 {
	gradient := make([]float64, len(levelsMM))
	for i := range len(levelsMM) - 1 {
		h := (levelsMM[i+1] - levelsMM[i]) / (12 * math.Pi) / mm3PerML
		gradient[i] += h * (2*girthsMM[i] + girthsMM[i+1])
		gradient[i+1] += h * (2*girthsMM[i+1] + girthsMM[i])
	}
	return gradient
}
