package cohort

import (
	"math"
	"math/rand/v2"

	"fairlead/analytics/girth"
	"fairlead/analytics/quantity"
)

// Followed is a member of a cohort as a workshop follows it: the same course,
// day-to-day part, fitters and slips as in its rows, but read girth by girth with
// a tape, at some minutes after doffing, and with gaps of the cover beside it.
type Followed struct {
	Limb     Limb
	LevelsMM []float64
	Gaps     []Gap  // true gaps of the stations
	Accepted bool   // the gaps felt at the first visit were accepted as built
	Visits   []Held // one for each row
}

// Held is what was done at one visit.
type Held struct {
	// Readings are empty where the limb was not taped that day.
	Readings []girth.Reading
	// Again is a second complete round, with marks made afresh.
	Again      []girth.Reading
	MinutesOff float64
	FeltMM     []float64 // by station
}

// How visits go, all of it invented.
const (
	transtibialLimbs        = 0.7 // the others are transfemoral
	notTaped                = 0.05
	lateVisits              = 0.10 // taped up to twice the usual minutes after doffing
	minutesSpread           = 1.5
	stations                = 4
	leastGapMM, mostGapMM   = 4.5, 8.0
	closingLimbs            = 0.20 // have a station that closes
	leastClosing            = 0.1  // mm a month
	mostClosing             = 0.5
	acceptedLimbs           = 0.5
	usualMinutesTranstibial = 10.0 // M2
	usualMinutesThigh       = 30.0
)

// Follow reads a member of the draw visit by visit with the tape given. The same
// member gives the same readings.
func (d Draw) Follow(m Member, tape Tape) Followed {
	rng := d.rand(m.Number, girthStream)
	level := quantity.Transfemoral
	if rng.Float64() < transtibialLimbs {
		level = quantity.Transtibial
	}
	f := Followed{Limb: NewLimb(rng, level, 1), Accepted: rng.Float64() < acceptedLimbs}
	f.LevelsMM = girth.ProposeLevels(level, f.Limb.InflectionMM)
	f.Gaps = gaps(rng)
	for i := range m.Rows {
		f.Visits = append(f.Visits, f.hold(rng, m, i, tape))
	}
	return f
}

// gaps draws the true gaps of the stations.
func gaps(rng *rand.Rand) []Gap {
	drawn := make([]Gap, stations)
	for i := range drawn {
		drawn[i].AsBuiltMM = leastGapMM + (mostGapMM-leastGapMM)*rng.Float64()
	}
	closes, which, rate := rng.Float64() < closingLimbs, rng.IntN(stations), leastClosing+(mostClosing-leastClosing)*rng.Float64()
	if closes {
		drawn[which].ClosingMMPerMonth = rate
	}
	return drawn
}

// hold holds visit i.
func (f Followed) hold(rng *rand.Rand, m Member, i int, tape Tape) Held {
	row := m.Rows[i]
	usual := usualMinutesTranstibial
	if f.Limb.Level == quantity.Transfemoral {
		usual = usualMinutesThigh
	}
	minutes := usual + minutesSpread*draw(rng)
	if late, by := rng.Float64() < lateVisits, usual*rng.Float64(); late {
		minutes += by
	}
	held := Held{MinutesOff: math.Round(minutes)}
	factor := m.Path.FactorAt(float64(row.Day)) * math.Exp(m.dayToDay[i]) * f.Limb.RiseAfter(held.MinutesOff) / f.Limb.RiseAfter(usual)
	if row.Source > 0 {
		tape.FitterBias += math.Exp(m.biasPercent/200) - 1 // girth goes with the root of volume
	}
	slipped := tape
	slipped.FitterBias += math.Sqrt(1+m.slips[i]) - 1
	held.Readings = twoPasses(slipped.Read(rng, f.Limb, factor, f.LevelsMM, 3))
	held.Again = twoPasses(tape.Read(rng, f.Limb, factor, f.LevelsMM, 3))
	if skipped := rng.Float64() < notTaped; skipped && i > 0 {
		held.Readings, held.Again = nil, nil
	}
	for _, gap := range f.Gaps {
		held.FeltMM = append(held.FeltMM, Feel(rng, gap.TrueMM(float64(row.Day))))
	}
	return held
}

// twoPasses keeps two of three passes, and the third reading only of a level
// where the two lie apart (M1), as a fitter is asked for.
func twoPasses(three []girth.Reading) []girth.Reading {
	n := len(three) / 3
	kept := three[: 2*n : 2*n]
	for i, r := range three[2*n:] {
		if girth.NeedsReread(three[i].GirthMM, three[n+i].GirthMM) {
			kept = append(kept, r)
		}
	}
	return kept
}
