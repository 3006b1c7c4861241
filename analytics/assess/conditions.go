package assess

import (
	"fairlead/analytics/quantity"
)

// The defaults M2 and M3 of the domain notes. A limb gains 2.4–10.9 % within
// 35 min of taking the prosthesis off, most of it at first (Zachariah et al.
// 2004; transfemoral limbs settle at about 30 min, Sci Rep 2021); fluid moves
// about 1 % an hour between sessions (Sanders et al. 2012).
const (
	firstDelayMinutes     = 10.0 // of a first visit
	delayOffMinutes       = 5.0  // further apart than this is told
	settledMinutes        = 30.0 // beyond this the delay no longer matters
	settledTranstibialMin = 15.0
	clockOffMinutes       = 3 * 60
)

// The conditions that ConditionsDiffer tells.
const (
	DifferMinutesOff = "minutes-since-doffing"
	DifferTimeOfDay  = "time-of-day"
	DifferFitter     = "fitter"
)

// DifferCodes lists them.
var DifferCodes = []string{DifferMinutesOff, DifferTimeOfDay, DifferFitter}

// DelayMinutes returns how many minutes after doffing the limb is to be
// measured so that its visits compare: the delay of its own reference visit, or
// 10 min where there is none, and own is false (row M2). It is not that of the
// last visit, from which every visit would drift a little further.
func (h History) DelayMinutes() (minutes float64, own bool) {
	if reference, ok := h.Reference(); ok && reference.Residual.MinutesOff != nil {
		return *reference.Residual.MinutesOff, true
	}
	return firstDelayMinutes, false
}

// ConditionsDiffer lists the conditions of measurement in which two visits of a
// limb differ enough to be told: minutes since doffing by more than 5 while
// either is below 15 (transtibial) or 30 (other levels) (M2), time of day by
// more than 3 h (M3), and the fitter. What is not known is not told.
func ConditionsDiffer(level quantity.AmputationLevel, a, b Visit) []string {
	var codes []string
	settled := settledMinutes
	if level == quantity.Transtibial {
		settled = settledTranstibialMin
	}
	if x, y := a.Residual.MinutesOff, b.Residual.MinutesOff; x != nil && y != nil &&
		max(*x, *y)-min(*x, *y) > delayOffMinutes && min(*x, *y) < settled {
		codes = append(codes, DifferMinutesOff)
	}
	if x, y := a.MinuteOfDay, b.MinuteOfDay; x != nil && y != nil {
		const day = 24 * 60
		apart := max(*x, *y) - min(*x, *y)
		if min(apart, day-apart) > clockOffMinutes {
			codes = append(codes, DifferTimeOfDay)
		}
	}
	if x, y := a.Residual.Fitter, b.Residual.Fitter; x != "" && y != "" && x != y {
		codes = append(codes, DifferFitter)
	}
	return codes
}
