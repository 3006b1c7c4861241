package cohort

import (
	"encoding/binary"
	"math"
	"math/rand/v2"
)

// Member is one limb of a simulated cohort: what truly happens to its volume,
// and what a fitter reads of it, visit after visit.
type Member struct {
	Number uint64
	Group  Group
	// Path is the true course; the season is its last cause.
	Path Path
	// WeeksSince is the time from the amputation to the first visit, in weeks; 0
	// for a limb whose early months are long over.
	WeeksSince float64
	// Rows are the visits, one round of the tape each.
	Rows []Row
	// Again holds for each row the same volume read a second time on the same day:
	// marks made afresh, tape drawn anew. Whether it is used is up to the rule that
	// asks for it.
	Again []Row

	biasPercent float64   // of the second fitter
	dayToDay    []float64 // of each visit, as the logarithm of the volume
	slips       []float64 // of each visit's first round, as a part of the volume
}

// Row is the volume that one complete round of the tape gives.
type Row struct {
	Day           int // from the first visit
	VolumeML, UML float64
	// Source tells fitters apart: 0 is the limb's own, 1 the second one.
	Source int
	// Wild tells that the reading is a slip and has nothing to do with UML.
	Wild bool
}

// TrueLogPercentAt returns the true change of the level since the first visit,
// as 100 times the natural logarithm, without the day-to-day part.
func (m Member) TrueLogPercentAt(days float64) float64 { return 100 * math.Log(m.Path.FactorAt(days)) }

// BreaksWithin tells whether a step or a swelling begins after one day and no
// later than another.
func (m Member) BreaksWithin(after, until float64) bool {
	for _, c := range m.Path {
		if (c.Kind == Step || c.Kind == Swelling) && c.StartDay > after && c.StartDay <= until {
			return true
		}
	}
	return false
}

// Early tells whether the first visit lies within 78 weeks of the amputation, as
// far as that is known.
func (m Member) Early() bool { return m.WeeksSince > 0 && m.WeeksSince < earlyWeeks }

// earlyWeeks is where early limbs end: 18 months (Sanders and Fatone, J Rehabil
// Res Dev 2011;48:949).
const earlyWeeks = 78

// Setting is how well the limbs of a cohort are measured.
type Setting string

// The settings of a cohort.
const (
	// Clean is one fitter who never slips.
	Clean Setting = "clean"
	// Everyday has a second fitter on a quarter of the limbs, and wild readings.
	Everyday Setting = "cohort"
)

// Settings lists the settings.
var Settings = []Setting{Clean, Everyday}

// The size of what is drawn for each limb. All of it is invented: no real limb
// has been used. The method that is tried on these limbs has priors of the same
// size (see the package comment).
const (
	fewestGapWeeks, mostGapWeeks = 2.0, 12.0 // log-uniform
	usualML, spreadOfML          = 1200.0, 0.3
	usualUPercent                = 1.5  // V1
	spreadOfU                    = 0.15 // of its logarithm, from visit to visit
	dayToDayPercent              = 0.8  // median over limbs
	spreadOfDayToDay             = 0.3  // of its logarithm
	mostSeasonPercent            = 0.6  // to either side
	secondFitterLimbs            = 0.25
	secondFitterVisits           = 0.20
	secondFitterSDPercent        = 3.7 // with 1.5 % the 4 % between fitters (V2)
	wildReadings                 = 0.01
	leastWild, mostWild          = 8.0, 30.0 // percent, either way
)

// Draw is what a cohort is drawn from. The same Draw gives the same limbs,
// whichever of them are asked for and in whatever order.
type Draw struct {
	Seed    uint64
	Visits  int // of each limb, at least 2
	Setting Setting
	// Fate is what happens to every limb; nil for the mix of Any.
	Fate Fate
}

// Member invents limb number n with all its readings.
func (d Draw) Member(n uint64) Member {
	rng := d.rand(n, seriesStream)
	days := visitDays(rng, d.Visits)
	fate := d.Fate
	if fate == nil {
		fate = Any
	}
	m := Member{Number: n}
	m.Group, m.Path, m.WeeksSince = fate(rng, days)
	m.Path = append(m.Path, Course{Kind: Seasonal, Percent: mostSeasonPercent * rng.Float64(), StartDay: yearDays * rng.Float64()})
	m.read(rng, days, d.Setting)
	return m
}

// The streams of randomness of one limb: what is drawn in one doesn't move the
// others.
const (
	seriesStream = iota
	girthStream
)

func (d Draw) rand(n uint64, stream byte) *rand.Rand {
	var key [32]byte
	binary.LittleEndian.PutUint64(key[:], d.Seed)
	binary.LittleEndian.PutUint64(key[8:], n)
	key[16] = stream
	return rand.New(rand.NewChaCha8(key))
}

// visitDays draws the days of the visits.
func visitDays(rng *rand.Rand, visits int) []int {
	days := make([]int, visits)
	for i := 1; i < visits; i++ {
		weeks := logUniform(rng, fewestGapWeeks, mostGapWeeks)
		days[i] = days[i-1] + int(math.Round(7*weeks))
	}
	return days
}

// read draws two rounds of readings on each day. The first visit is always by
// the limb's own fitter.
func (m *Member) read(rng *rand.Rand, days []int, setting Setting) {
	start := math.Log(usualML) + spreadOfML*draw(rng)
	sd := dayToDayPercent / 100 * math.Exp(spreadOfDayToDay*rng.NormFloat64())
	second := rng.Float64() < secondFitterLimbs
	m.biasPercent = secondFitterSDPercent * rng.NormFloat64()
	for i, day := range days {
		apart, other := sd*rng.NormFloat64(), rng.Float64() < secondFitterVisits
		level := start + math.Log(m.Path.FactorAt(float64(day))) + apart
		row := Row{Day: day}
		if setting == Everyday && second && other && i > 0 {
			row.Source, level = 1, level+m.biasPercent/100
		}
		once, slip := row.read(rng, level, setting)
		again, _ := row.read(rng, level, setting)
		m.Rows, m.Again = append(m.Rows, once), append(m.Again, again)
		m.dayToDay, m.slips = append(m.dayToDay, apart), append(m.slips, slip)
	}
}

// read draws one round at the logarithm of the volume that a tape without error
// would give, and by which part of it the reading slipped.
func (r Row) read(rng *rand.Rand, level float64, setting Setting) (read Row, slip float64) {
	u := usualUPercent / 100 * math.Exp(spreadOfU*rng.NormFloat64())
	r.VolumeML = math.Exp(level + u*rng.NormFloat64())
	if slip = wild(rng); setting != Everyday {
		slip = 0
	}
	r.Wild = slip != 0
	r.VolumeML *= 1 + slip
	r.UML = u * r.VolumeML // as the fitter knows it, slip or not
	return r, slip
}

// wild draws by which part of the volume a reading is off: almost always 0. It
// always takes the same number of draws.
func wild(rng *rand.Rand) float64 {
	happens, size, down := rng.Float64() < wildReadings, leastWild+(mostWild-leastWild)*rng.Float64(), rng.Float64() < 0.5
	switch {
	case !happens:
		return 0
	case down:
		return -size / 100
	}
	return size / 100
}
