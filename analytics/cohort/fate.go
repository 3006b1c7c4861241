package cohort

import (
	"math"
	"math/rand/v2"
)

// Group is what kind of thing happens to a limb of a cohort.
type Group string

// The groups.
const (
	StaysSteady   Group = "steady"
	LosesSlowly   Group = "slow loss"
	Decays        Group = "decay"
	ShrinksByLog  Group = "log-time"
	StepsOnce     Group = "step"
	SwellsOnce    Group = "swelling"
	LosesAndSteps Group = "slow loss and a step"
)

// Weeks since the amputation at the first visit of an early limb.
const earlyLeastWeek, earlyMostWeek = 8.0, 20.0

// mix is how often each group occurs.
var mix = []struct {
	group Group
	share float64
	fate  Fate
}{
	{StaysSteady, 0.35, Steadily},
	{LosesSlowly, 0.22, slowly},
	{Decays, 0.10, decaying},
	{ShrinksByLog, 0.10, byLog},
	{StepsOnce, 0.08, stepping},
	{SwellsOnce, 0.08, swelling},
	{LosesAndSteps, 0.07, losingAndStepping},
}

// Fate draws what happens to a limb whose visits lie on the given days: its
// group, its course without the season, and the weeks since the amputation at
// the first visit (0: not an early limb).
type Fate func(rng *rand.Rand, days []int) (group Group, path Path, weeksSince float64)

// Any draws from the whole mix: steady 35 %, slow loss 22 %, decay and log-time
// 10 % each, a step 8 %, a swelling 8 %, slow loss and a step 7 %.
func Any(rng *rand.Rand, days []int) (Group, Path, float64) {
	at := rng.Float64()
	for _, part := range mix[:len(mix)-1] {
		if at < part.share {
			return part.fate(rng, days)
		}
		at -= part.share
	}
	return mix[len(mix)-1].fate(rng, days)
}

// Steadily draws a steady limb, which drifts by 0.03 % a month (standard
// deviation).
func Steadily(rng *rand.Rand, _ []int) (Group, Path, float64) {
	return StaysSteady, Path{{Kind: SlowLoss, Percent: 0.03 * rng.NormFloat64()}}, 0
}

// Losing returns the fate of losing so many percent a month, half of the limbs
// from the first visit on, half after up to nine months.
func Losing(percentPerMonth float64) Fate {
	return func(rng *rand.Rand, _ []int) (Group, Path, float64) {
		return LosesSlowly, Path{loss(rng, percentPerMonth)}, 0
	}
}

// Stepping returns the fate of a limb that is steady but for one change of so
// many percent, at any time from the visit with index first on, as long as
// another after visits follow it; it happens within the gap before one of them.
func Stepping(percent float64, first, after int) Fate {
	return func(rng *rand.Rand, days []int) (Group, Path, float64) {
		last := max(first, len(days)-1-after)
		day := float64(days[first]) + rng.Float64()*float64(days[last]-days[first])
		return StepsOnce, Path{{Kind: Step, Percent: percent, StartDay: day}}, 0
	}
}

func slowly(rng *rand.Rand, _ []int) (Group, Path, float64) {
	return LosesSlowly, Path{loss(rng, rate(rng))}, 0
}

// rate draws 0.5–1.5 % a month, log-uniform.
func rate(rng *rand.Rand) float64 { return logUniform(rng, 0.5, 1.5) }

func loss(rng *rand.Rand, percentPerMonth float64) Course {
	c := Course{Kind: SlowLoss, Percent: percentPerMonth}
	if later, months := rng.Float64() < 0.5, 9*rng.Float64(); later {
		c.StartDay = months * monthDays
	}
	return c
}

// early draws the weeks since the amputation at the first visit of an early limb.
func early(rng *rand.Rand) float64 {
	return earlyLeastWeek + (earlyMostWeek-earlyLeastWeek)*rng.Float64()
}

// decaying loses 6–22 % in the end, with a half-life of 4–16 weeks, log-uniform.
func decaying(rng *rand.Rand, _ []int) (Group, Path, float64) {
	c := Course{Kind: Decay, Percent: 6 + 16*rng.Float64(), Days: 7 * logUniform(rng, 4, 16)}
	return Decays, Path{c}, early(rng)
}

// byLog loses 9.7 ± 4 % per natural log of weeks (the mean of Tantua et al.
// 2014; the spread is invented).
func byLog(rng *rand.Rand, _ []int) (Group, Path, float64) {
	weeks := early(rng)
	return ShrinksByLog, Path{{Kind: LogTime, Percent: ShrinkagePercentPerLogWeek + 4*draw(rng), WeeksSince: weeks}}, weeks
}

func stepping(rng *rand.Rand, days []int) (Group, Path, float64) {
	return StepsOnce, Path{step(rng, days)}, 0
}

// step is 5, 8 or 10 %, four of five down, in the middle three fifths of the time
// that the limb is followed.
func step(rng *rand.Rand, days []int) Course {
	percent := []float64{5, 8, 10}[rng.IntN(3)]
	if rng.Float64() < 0.8 {
		percent = -percent
	}
	return Course{Kind: Step, Percent: percent, StartDay: midway(rng, days)}
}

// swelling gains 4–10 %, which comes and goes within 6 to 26 weeks and begins in
// the same time as a step.
func swelling(rng *rand.Rand, days []int) (Group, Path, float64) {
	c := Course{Kind: Swelling, Percent: 4 + 6*rng.Float64(), Days: 7 * (6 + 20*rng.Float64()), StartDay: midway(rng, days)}
	return SwellsOnce, Path{c}, 0
}

// losingAndStepping loses at half the rate and steps once as well.
func losingAndStepping(rng *rand.Rand, days []int) (Group, Path, float64) {
	return LosesAndSteps, Path{loss(rng, rate(rng)/2), step(rng, days)}, 0
}

func midway(rng *rand.Rand, days []int) float64 {
	return (0.2 + 0.6*rng.Float64()) * float64(days[len(days)-1])
}

func logUniform(rng *rand.Rand, least, most float64) float64 {
	return least * math.Pow(most/least, rng.Float64())
}
