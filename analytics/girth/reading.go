package girth

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"fairlead/analytics/quantity"
)

// What a reading may be. A girth outside MinGirthMM–MaxGirthMM, or a level
// further than MaxLevelMM from the landmark, is a typing error and not a limb
// (common practice, no source).
const (
	MinGirthMM = 20
	MaxGirthMM = 2000
	MaxLevelMM = 2000
)

// PassesPerRound is how many passes down the limb a round has at most: two and, where
// a pair is apart, a third. A second complete round of a visit, with the marks made
// afresh, is numbered on from here.
const PassesPerRound = quantity.PassesPerRound

// SameLevelMM is how close two levels are to be one and the same: half of the
// 0.1 mm in which lengths are recorded.
const SameLevelMM = 0.05

// The defaults M1, M5 and M6 (common practice, no source; for M1 the 5 mm
// between digital and hand measures of Geil MD, J Rehabil Res Dev 2007;44:515
// was judged too slack, as it is 4.5 % of the volume of a forearm).
const (
	rereadMM              = 3.0
	rereadFraction        = 0.015
	implausibleStepFrac   = 0.20
	implausibleChangeFrac = 0.08
)

// roundingMM keeps a difference of exactly the limit, typed in centimetres or
// inches, from counting as above it by the rounding of a double.
const roundingMM = 1e-9

// ErrBadReading is wrapped by every error of Pool.
var ErrBadReading = errors.New("girth: bad reading")

// Reading is one raw tape reading: the girth in millimetres at a level in
// millimetres distal to the landmark, in the pass it was taken (from 1).
type Reading struct {
	LevelMM float64
	Pass    int
	GirthMM float64
}

// Pooled is what the passes at one level come to.
type Pooled struct {
	LevelMM float64
	GirthMM float64 // the mean of one or two readings, the median of more
	Passes  int     // how many readings
	// EffectivePasses is how many independent readings a mean would need for
	// the same variance; see effectivePasses.
	EffectivePasses float64
	SpreadMM        float64 // largest minus smallest reading
	Reread          bool    // exactly two readings, which disagree (NeedsReread)
}

// Pool joins the readings of one limb at one visit into a profile, ascending
// by level. Levels closer than SameLevelMM are one level. The order of the
// readings does not matter. No readings give an empty profile.
//
// The error wraps ErrBadReading and names the reading: a girth outside
// MinGirthMM–MaxGirthMM, a level beyond MaxLevelMM, a number that is not
// finite, a pass below 1, or the same pass twice at one level.
func Pool(readings []Reading) (Profile, error) {
	sorted := slices.Clone(readings)
	for _, r := range sorted {
		if err := r.check(); err != nil {
			return nil, err
		}
	}
	slices.SortFunc(sorted, func(a, b Reading) int {
		return cmp.Or(cmp.Compare(a.LevelMM, b.LevelMM), cmp.Compare(a.Pass, b.Pass))
	})
	var profile Profile
	for len(sorted) > 0 {
		n := slices.IndexFunc(sorted, func(r Reading) bool { return r.LevelMM-sorted[0].LevelMM > SameLevelMM })
		if n < 0 {
			n = len(sorted)
		}
		at, err := poolLevel(sorted[:n])
		if err != nil {
			return nil, err
		}
		profile = append(profile, at)
		sorted = sorted[n:]
	}
	return profile, nil
}

func (r Reading) check() error {
	switch {
	case !(math.Abs(r.LevelMM) <= MaxLevelMM):
		return fmt.Errorf("%w: level %g mm is not within ±%d mm of the landmark", ErrBadReading, r.LevelMM, MaxLevelMM)
	case !(r.GirthMM >= MinGirthMM && r.GirthMM <= MaxGirthMM):
		return fmt.Errorf("%w: girth %g mm at level %g mm is outside %d–%d mm",
			ErrBadReading, r.GirthMM, r.LevelMM, MinGirthMM, MaxGirthMM)
	case r.Pass < 1:
		return fmt.Errorf("%w: pass %d at level %g mm; passes count from 1", ErrBadReading, r.Pass, r.LevelMM)
	}
	return nil
}

// poolLevel pools the readings of one level.
func poolLevel(at []Reading) (Pooled, error) {
	seen := make(map[int]bool, len(at))
	girths := make([]float64, 0, len(at))
	for _, r := range at {
		if seen[r.Pass] {
			return Pooled{}, fmt.Errorf("%w: pass %d is there twice at level %g mm", ErrBadReading, r.Pass, r.LevelMM)
		}
		seen[r.Pass] = true
		girths = append(girths, r.GirthMM)
	}
	slices.Sort(girths)
	n := len(girths)
	return Pooled{
		LevelMM:         at[0].LevelMM,
		GirthMM:         (girths[(n-1)/2] + girths[n/2]) / 2, // of one or two readings the median is the mean
		Passes:          n,
		EffectivePasses: effectivePasses(n),
		SpreadMM:        girths[n-1] - girths[0],
		Reread:          n == 2 && NeedsReread(girths[0], girths[1]),
	}, nil
}

// effectivePasses returns σ² over the variance of what n normal readings are
// pooled to: n for a mean (one or two readings), for the median of 3, 4 and 5
// the tabulated 2.22, 3.35 and 3.49 (order statistics of the normal
// distribution, COMPUTED), and for more the large-sample 2n/π, which is a
// little too low for every n and so never flatters the result.
func effectivePasses(n int) float64 {
	switch n {
	case 1, 2:
		return float64(n)
	case 3:
		return 2.22
	case 4:
		return 3.35
	case 5:
		return 3.49
	}
	return 2 * float64(n) / math.Pi
}

// NeedsReread tells whether a pair of girths in millimetres at one level is too
// far apart: by more than the larger of 3 mm and 1.5 % of their mean (M1,
// common practice, no source).
func NeedsReread(aMM, bMM float64) bool {
	return math.Abs(aMM-bMM) > PairLimitMM(aMM, bMM)+roundingMM
}

// PairLimitMM returns how far in mm two readings of one level may be apart: the
// larger of 3 mm and 1.5 % of their mean (M1, common practice, no source).
func PairLimitMM(aMM, bMM float64) float64 {
	return math.Max(rereadMM, rereadFraction*(aMM+bMM)/2)
}

// ImplausibleStep tells whether the girth bMM at the next level differs from
// aMM by more than 20 % of aMM, which is more often a typing error than a limb
// (M5, common practice, no source).
func ImplausibleStep(aMM, bMM float64) bool {
	return math.Abs(bMM-aMM) > implausibleStepFrac*aMM+roundingMM
}

// ImplausibleChange tells whether the girth nowMM differs from that of the last
// visit at the same level by more than 8 %, which is about 16 % of area and
// more often a typing error than a change (M6, common practice, no source).
func ImplausibleChange(lastMM, nowMM float64) bool {
	return math.Abs(nowMM-lastMM) > implausibleChangeFrac*lastMM+roundingMM
}
