package clearance

import "fairlead/analytics/quantity"

// Limits are the two limits of a gap in mm: below WarnMM it is watched, below
// ActMM something is to be done.
type Limits struct{ WarnMM, ActMM float64 }

// StartingLimits returns the limits that hold at a station until a person sets
// others. All are common practice without a published source (rows K1–K5 of
// the domain notes): the smallest gap that can be told from contact after
// taking the cover off and on again is about 3 mm, and whatever moves adds its
// own sweep. The act limit of skin is 0: contact itself.
//
// A neighbour that is not one of quantity.Neighbours gets the limits of
// MovingJoint, the widest of the parts that are not a foot, so that an unknown
// word never makes a gap look safe.
func StartingLimits(n quantity.Neighbour) Limits {
	switch n {
	case quantity.SocketWall:
		return Limits{WarnMM: 3, ActMM: 2}
	case quantity.FixedPart:
		return Limits{WarnMM: 5, ActMM: 3}
	case quantity.FootOrKeel:
		return Limits{WarnMM: 8, ActMM: 5}
	case quantity.SkinSurface:
		return Limits{WarnMM: 10, ActMM: 0}
	}
	return Limits{WarnMM: 6, ActMM: 4}
}

// GapSigmaMM returns the standard uncertainty of one gap reading in mm: 0.5 for
// a feeler (row K7) and for putty measured with a caliper, 1 for a gap judged
// from a witness mark and for any other way. Common practice, no source.
func GapSigmaMM(m quantity.ClearanceMethod) float64 {
	switch m {
	case quantity.Feeler, quantity.Putty:
		return 0.5
	}
	return 1
}
