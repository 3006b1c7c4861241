package cohort

import (
	"fmt"
	"math"
	"math/rand/v2"

	"fairlead/analytics/quantity"
	"gonum.org/v1/gonum/integrate/quad"
)

// Limb is an invented limb. Its girths at volume factor 1 are the truth on the
// first day, in the socket's hold; see GirthMM for any other.
type Limb struct {
	Level        quantity.AmputationLevel
	LengthMM     float64 // zero landmark to distal end
	InflectionMM float64 // zero landmark to the level where the end begins
	GirthMMAt0   float64 // girth at the zero landmark
	RisePercent  float64 // by which the volume rises in the end once the prosthesis is off
	RiseMinutes  float64 // until 95 % of that rise is over

	along [knots]float64 // girths from landmark to inflection, as parts of GirthMMAt0
	local local
}

// local says how a change of volume is spread along the limb.
type local struct {
	share    float64 // of the change that is not spread evenly
	middleMM float64
	widthMM  float64
	mean     float64 // of the bump over the limb, weighted by area
}

// How much invented limbs differ: standard deviations as parts of the usual
// figure, drawn no further than two of them. Invented.
const (
	spreadOfLength = 0.10
	spreadOfGirth  = 0.07
	spreadOfShape  = 0.008
)

// The rise after doffing: median 6.0 %, standard deviation 3.6, between 2.4
// and 10.9 % within 35 min in six transtibial limbs (Zachariah et al., J
// Rehabil Res Dev 2004;41:683). For other limbs the same is assumed.
const (
	usualRise, spreadOfRise = 6.0, 3.6
	leastRise, mostRise     = 2.4, 10.9
)

// NewLimb invents a limb of a level of amputation. Size scales all lengths and
// girths: 1 is an adult, a child is 0.5 to 0.8. It panics on a level without a
// cone (quantity.AmputationLevel.HasCone) and on a size outside 0.3 to 1.5.
func NewLimb(rng *rand.Rand, level quantity.AmputationLevel, size float64) Limb {
	if !(size >= 0.3 && size <= 1.5) {
		panic(fmt.Sprintf("cohort: size %g is not from 0.3 to 1.5", size))
	}
	usual := shapeOf(level)
	length := size * usual.lengthMM * (1 + spreadOfLength*draw(rng))
	limb := Limb{
		Level:        level,
		LengthMM:     length,
		InflectionMM: length - size*usual.endMM,
		GirthMMAt0:   size * usual.girthMM * (1 + spreadOfGirth*draw(rng)),
		RisePercent:  math.Min(math.Max(usualRise+spreadOfRise*draw(rng), leastRise), mostRise),
		RiseMinutes:  usual.riseMinutes,
		along:        usual.along,
	}
	for i := 1; i < knots; i++ {
		limb.along[i] += spreadOfShape * draw(rng)
	}
	return limb
}

// draw returns a normal deviate between −2 and 2.
func draw(rng *rand.Rand) float64 {
	for {
		if z := rng.NormFloat64(); math.Abs(z) <= 2 {
			return z
		}
	}
}

// Opposite invents the sound limb of the other side: the same form, 4 to 10 %
// more girth, and no end within the levels of the residual limb.
func (l Limb) Opposite(rng *rand.Rand) Limb {
	l.GirthMMAt0 *= 1.04 + 0.06*rng.Float64()
	l.InflectionMM *= 1.1
	l.LengthMM = 2 * l.InflectionMM
	l.local = local{}
	return l
}

// Locally returns the limb with a share of every change of volume, from 0 to
// 0.7, gathered around a level instead of spread evenly, in a bump with a
// standard deviation of a sixth of the limb's length. The change of the whole
// limb stays what the volume factor says. It panics on another share, on a level
// outside the limb, and where the limb is so thin that its section there would
// change more than 2.4 times as much as the whole.
func (l Limb) Locally(share, levelMM float64) Limb {
	if !(share >= 0 && share <= 0.7) || !(levelMM >= 0 && levelMM <= l.LengthMM) {
		panic(fmt.Sprintf("cohort: share %g at %g mm is not 0 to 0.7 within 0 to %g mm", share, levelMM, l.LengthMM))
	}
	l.local = local{share: share, middleMM: levelMM, widthMM: l.LengthMM / 6}
	l.local.mean = l.integral(0, l.LengthMM, func(z float64) float64 { return l.areaMM2(z) * l.local.bump(z) }) /
		l.integral(0, l.LengthMM, l.areaMM2)
	if w := l.local.weight(levelMM); w > mostWeight {
		panic(fmt.Sprintf("cohort: at %g mm the section would change %.2g times as much as the limb", levelMM, w))
	}
	return l
}

// mostWeight keeps every section above nothing at the least volume factor of a
// limb with a local change: 1 − 0.4·2.4 > 0.
const mostWeight = 2.4

// The volume factors within which a limb still has a form.
const (
	leastFactor     = 0.6
	leastEvenFactor = 0.3
	mostFactor      = 1.6
)

// bump is 1 at its middle level and falls off to both sides.
func (c local) bump(levelMM float64) float64 {
	z := (levelMM - c.middleMM) / c.widthMM
	return math.Exp(-z * z / 2)
}

// weight is how much of an even change the level takes; its mean over the
// limb, by area, is 1.
func (c local) weight(levelMM float64) float64 {
	if c.share == 0 {
		return 1
	}
	return 1 - c.share + c.share*c.bump(levelMM)/c.mean
}

// girthMM is the girth at volume factor 1: the shape down to the inflection
// level, then half an ellipse down to the distal end, below which it is 0.
func (l Limb) girthMM(levelMM float64) float64 {
	if levelMM <= l.InflectionMM {
		return l.GirthMMAt0 * through(l.along, levelMM/l.InflectionMM)
	}
	u := (levelMM - l.InflectionMM) / (l.LengthMM - l.InflectionMM)
	return l.GirthMMAt0 * l.along[knots-1] * math.Sqrt(math.Max(1-u*u, 0))
}

// areaMM2 is the area of the circular section at volume factor 1.
func (l Limb) areaMM2(levelMM float64) float64 {
	girth := l.girthMM(levelMM)
	return girth * girth / (4 * math.Pi)
}

// GirthMM returns the true girth in millimetres at a level, which may lie a
// little above the landmark, when the volume of the limb is volumeFactor times
// that of the first day. It panics on a factor outside 0.6 to 1.6, or 0.3 to 1.6
// for a limb that changes evenly.
func (l Limb) GirthMM(levelMM, volumeFactor float64) float64 {
	least := leastFactor
	if l.local.share == 0 {
		least = leastEvenFactor
	}
	if !(volumeFactor >= least && volumeFactor <= mostFactor) {
		panic(fmt.Sprintf("cohort: volume factor %g is not from %g to %g", volumeFactor, least, mostFactor))
	}
	return l.girthMM(levelMM) * math.Sqrt(1+(volumeFactor-1)*l.local.weight(levelMM))
}

// TrueVolumeML returns the volume in millilitres between two levels at a volume
// factor: the integral of C²/4π, with every section a circle.
func (l Limb) TrueVolumeML(fromMM, toMM, volumeFactor float64) float64 {
	const mm3PerML = 1000
	return l.integral(fromMM, toMM, func(z float64) float64 {
		girth := l.GirthMM(z, volumeFactor)
		return girth * girth / (4 * math.Pi)
	}) / mm3PerML
}

// integral integrates f along the limb by Gauss and Legendre, on each side of
// the inflection level, where the girth has a kink.
func (l Limb) integral(fromMM, toMM float64, f func(levelMM float64) float64) float64 {
	const nodes = 40
	kink := math.Min(math.Max(l.InflectionMM, fromMM), toMM)
	sum := 0.0
	for _, piece := range [][2]float64{{fromMM, kink}, {kink, toMM}} {
		if piece[0] < piece[1] {
			sum += quad.Fixed(f, piece[0], piece[1], nodes, quad.Legendre{}, 0)
		}
	}
	return sum
}

// RiseAfter returns the factor by which the volume has risen when the
// prosthesis has been off for so many minutes: an exponential that is 95 %
// done after RiseMinutes.
func (l Limb) RiseAfter(minutes float64) float64 {
	return 1 + l.RisePercent/100*(1-math.Pow(0.05, math.Max(minutes, 0)/l.RiseMinutes))
}
