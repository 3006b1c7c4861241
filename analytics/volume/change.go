package volume

import (
	"math"

	"fairlead/analytics/girth"
	"fairlead/analytics/quantity"
)

// Verdict says whether something changed, in the words that are shown.
type Verdict string

// The verdicts.
const (
	NoChange      Verdict = "no change beyond measurement"
	Smaller       Verdict = "smaller"
	Larger        Verdict = "larger"
	NotComparable Verdict = "not comparable"
	CannotTell    Verdict = "can't be told"
)

// unresolvedPercent is the change that must not fall silent when it lies inside
// the measuring error: about one sock (5 % of limb volume; Jarl 2003; 5.2 % in
// Jasken & Hall 2018).
const unresolvedPercent = 5

// The expected rise of volume after the prosthesis is taken off: the median
// final rise of 6.0 % of Zachariah et al., J Rehabil Res Dev 2004;41:683,
// approached with a time constant of 10 min, which puts 95 % of it at 30 min,
// where transfemoral limbs became steady (Sci Rep 2021, s41598-021-91647-9).
// Transtibial limbs are quicker (95 % within 8 min in 4 of 6), for which 10 min
// errs on the side of a wider interval between late readings.
const (
	doffedRise      = 0.060
	doffedTauMinute = 10
)

// Series is what must be equal for two visits to be compared.
type Series struct {
	Landmark      string
	PlanReference string
	CapKind       quantity.CapKind
	CapDepthMM    float64
	RevisedOn     quantity.Date // of the last revision operation; empty for none
	Device        string        // "tape" or the name of the device
}

// Visit is one limb as it was measured at one visit.
type Visit struct {
	Profile    girth.Profile
	Series     Series
	Fitter     string   // empty when not known
	MinutesOff *float64 // minutes since the prosthesis was taken off; nil when not known or for a sound limb
	Posture    string   // of the limb while it was taped; empty when not known
}

// Change is the change of volume between two visits over the span both cover.
// When Comparable is false only Verdict and Why tell something.
type Change struct {
	FromMM, ToMM         float64 // the shared span
	ReferenceML, NowML   float64
	ChangeML, UML        float64
	ChangePercent        float64 // of ReferenceML, as the four below
	UPercent             float64
	LoPercent, HiPercent float64 // central 95 %
	Verdict              Verdict
	Why                  Why
	Comparable           bool
	Widened              []string // what widened u: "fitter", "minutes-since-doffing"
}

// Compare works out the change of volume from the reference visit to now, on
// the union of the levels of both inside the shared span.
//
// The visits are not comparable when landmark, plan reference, distal cap,
// revision operation or device differ, when both postures are known and differ,
// or when there is no shared span.
//
// The variance of the change is the sum of the variances of both volumes
// (MeasureOn). Visits of two known and different fitters both get the bias
// between fitters: each volume then has the 4 % of V2, and the pair the smallest
// detectable change that belongs to it. Where both times since doffing are
// known and differ, the difference of the two expected rises,
// 6.0 % · (1 − exp(−t / 10 min)) of the reference volume each, is one more
// standard uncertainty: limbs swell by 2.4–10.9 %, so it is never corrected
// for and never ignored.
//
// The percent figures are the millilitres on the scale of the measured
// reference volume, so that both tell the same verdict. Smaller and larger mean
// that the 95 % interval leaves out 0 (V5: beyond 1.96 √2 SEM, Weir 2005);
// an estimate of 5 % or more inside the interval is "can't be told".
func Compare(reference, now Visit, s Sigmas) Change {
	if code := reference.differs(now); code != "" {
		return notComparable(code)
	}
	levels, err := girth.UnionLevels(reference.Profile, now.Profile)
	if err != nil {
		return notComparable(codeOf(err))
	}
	fitters := reference.OtherFitter(now)
	s = s.Between(fitters)
	then, err := MeasureOn(reference.Profile, levels, s)
	if err != nil {
		return notComparable(codeOf(err))
	}
	today, err := MeasureOn(now.Profile, levels, s)
	if err != nil {
		return notComparable(codeOf(err))
	}

	c := Change{
		FromMM:      then.FromMM,
		ToMM:        then.ToMM,
		ReferenceML: then.VolumeML,
		NowML:       today.VolumeML,
		ChangeML:    today.VolumeML - then.VolumeML,
		UML:         math.Hypot(then.UML, today.UML),
		Comparable:  true,
	}
	if fitters {
		c.Widened = append(c.Widened, WidenedByFitter)
	}
	if rise := doffingDifference(reference, now); rise > 0 {
		c.UML = math.Hypot(c.UML, rise*c.ReferenceML)
		c.Widened = append(c.Widened, WidenedByDoffing)
	}
	c.ChangePercent = 100 * c.ChangeML / c.ReferenceML
	c.UPercent = 100 * c.UML / c.ReferenceML
	c.LoPercent, c.HiPercent = interval95(c.ChangePercent, c.UPercent)
	c.Verdict = judge(c.ChangePercent, c.LoPercent, c.HiPercent)
	c.Why = changeWhy(c)
	return c
}

// OtherFitter tells whether two visits are known to be by different fitters.
func (v Visit) OtherFitter(w Visit) bool {
	return v.Fitter != "" && w.Fitter != "" && v.Fitter != w.Fitter
}

// What can widen the uncertainty of a change.
const (
	WidenedByFitter  = "fitter"
	WidenedByDoffing = "minutes-since-doffing"
)

// doffingDifference returns the difference of the rises expected by the time
// the prosthesis was off, as a fraction; 0 when a time is not known.
func doffingDifference(a, b Visit) float64 {
	if a.MinutesOff == nil || b.MinutesOff == nil {
		return 0
	}
	return math.Abs(ExpectedRise(*a.MinutesOff) - ExpectedRise(*b.MinutesOff))
}

// ExpectedRise returns the fraction by which a limb is expected to have gained
// volume after the prosthesis was off for so many minutes, as Compare counts it:
// 6.0 % · (1 − exp(−t / 10 min)); 0 for less than none.
func ExpectedRise(minutes float64) float64 {
	return doffedRise * (1 - math.Exp(-math.Max(minutes, 0)/doffedTauMinute))
}

// differs returns the code of the first thing that forbids to compare two
// visits, or nothing.
func (v Visit) differs(w Visit) string {
	a, b := v.Series, w.Series
	switch {
	case a.Landmark != b.Landmark:
		return WhyLandmark
	case a.PlanReference != b.PlanReference:
		return WhyPlanReference
	case a.CapKind != b.CapKind || a.CapDepthMM != b.CapDepthMM:
		return WhyCap
	case a.RevisedOn != b.RevisedOn:
		return WhyRevision
	case a.Device != b.Device:
		return WhyDevice
	case v.Posture != "" && w.Posture != "" && v.Posture != w.Posture:
		return WhyPosture
	}
	return ""
}

// interval95 returns the central 95 % interval of a normal estimate.
func interval95(estimate, u float64) (lo, hi float64) {
	return estimate - Normal975*u, estimate + Normal975*u
}

// judge turns an estimate in percent with its interval into a verdict.
func judge(percent, lo, hi float64) Verdict {
	switch {
	case hi < 0:
		return Smaller
	case lo > 0:
		return Larger
	case math.Abs(percent) >= unresolvedPercent:
		return CannotTell
	}
	return NoChange
}
