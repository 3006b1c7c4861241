package reliability

import (
	"math"

	"fairlead/analytics/girth"
)

// block are occasions between which the limb is the same: all of one limb, or
// those of one limb and day.
type block struct {
	limb
	profiles []girth.Profile // of each occasion, on the common levels
}

// blocksOf makes a block of each limb and set of marks when several fitters
// share every one, so that what the limb does from day to day is left out
// (sameDay); otherwise of each limb.
func blocksOf(limbs []limb) (blocks []block, sameDay bool) {
	sameDay = len(limbs) > 0
	byMarks := make([]index[string], len(limbs))
	for i, l := range limbs {
		fitters := map[string]int{}
		for _, o := range l.occasions {
			byMarks[i].number(o.marks)
			fitters[o.marks]++
		}
		for _, n := range fitters {
			sameDay = sameDay && n > 1
		}
	}
	for i, l := range limbs {
		first := len(blocks)
		parts := 1
		if sameDay {
			parts = len(byMarks[i].keys)
		}
		for range parts {
			blocks = append(blocks, block{limb: limb{subject: l.subject, levels: l.levels}})
		}
		for _, o := range l.occasions {
			b := &blocks[first]
			if sameDay {
				b = &blocks[first+byMarks[i].number(o.marks)]
			}
			b.occasions = append(b.occasions, o)
			b.profiles = append(b.profiles, o.at(l.levels))
		}
	}
	return blocks, sameDay
}

// placingError finds what levels marked afresh differ by. From the girths of an
// occasion, less their mean over the block, the two patterns that a whole visit
// can share are projected out: the slope of girth along the limb (landmark) and
// the girth itself (tension, fitter). For what is left, over all occasions,
//
//	E[RSS] = σr² A + σz² B,   A = Σ (1 − 1/n) Mll/k,   B = Σ (1 − 1/n) Mll c′²
//
// (M the projection, n the occasions of the block, k the effective passes, c′
// the slope). What the study is worth is not read off its own outcome but off its
// plan: 2 σz⁴ over the variance of the estimate of σz², at the values expected.
func (e *Estimate) placingError(blocks []block, prior Prior) {
	var rss, a, b, df float64
	for _, block := range blocks {
		n := float64(len(block.occasions))
		if n < 2 {
			continue
		}
		mean := block.mean()
		slopes := mean.Slopes()
		free := projection(slopes, mean.Girths())
		for _, p := range block.profiles {
			for l := range p {
				left := 0.0
				for m := range p {
					left += free[l][m] * (p[m].GirthMM - mean[m].GirthMM)
				}
				rss += left * left
				a += (1 - 1/n) * free[l][l] / p[l].EffectivePasses
				b += (1 - 1/n) * free[l][l] * slopes[l] * slopes[l]
			}
		}
		for l := range mean {
			df += (n - 1) * free[l][l]
		}
	}
	before, reading := prior.Sigmas.LevelMM, e.Reading.InForce
	if df < 0.5 || b == 0 || before == 0 {
		e.Level = left(before, prior.LevelDF, 0, 0, PlacingUnseen)
		return
	}
	expected := reading*reading*a + before*before*b
	uncertain := 2 * expected * expected / df
	uncertain += 2 * math.Pow(reading, 4) / e.Reading.DF * a * a
	worth := 2 * math.Pow(before, 4) * b * b / uncertain
	e.Level = left(before, prior.LevelDF, (rss-reading*reading*a)/b, worth, "")
}

// projection returns the matrix that takes everything along some patterns out
// of a vector of the same length. Patterns that hardly add to those before, as
// slope to girth on a cone, are passed over.
func projection(patterns ...[]float64) [][]float64 {
	size := len(patterns[0])
	free := make([][]float64, size)
	for i := range free {
		free[i] = make([]float64, size)
		free[i][i] = 1
	}
	const least = 1e-6 // of its own length that a pattern must add
	for _, p := range patterns {
		left := make([]float64, size)
		var was, is float64
		for i := range left {
			for j := range p {
				left[i] += free[i][j] * p[j]
			}
			was += p[i] * p[i]
			is += left[i] * left[i]
		}
		if is <= least*least*was {
			continue
		}
		for i := range left {
			for j := range left {
				free[i][j] -= left[i] * left[j] / is
			}
		}
	}
	return free
}
