package followup

import (
	"slices"

	"fairlead/analytics/assess"
	"fairlead/analytics/volume"
)

// MeasureAgain tells for each limb, by id, why a check-in of the record asks for a
// second round of it. A limb that it asks none for, or of which another visit is
// newer, is not among them.
//
// The error is of readings that can't be pooled.
func (r ClientRecord) MeasureAgain(checkinID string) (map[string]assess.AgainWhy, error) {
	asked := map[string]assess.AgainWhy{}
	for _, l := range r.Limbs {
		i := slices.IndexFunc(l.Visits, func(v LimbVisit) bool { return v.Checkin.ID == checkinID })
		if i < 0 || i != len(l.Visits)-1 {
			continue
		}
		h, err := l.defaultHistory()
		if err != nil {
			return nil, err
		}
		if why, ok := h.MeasureAgain(); ok {
			asked[l.Limb.ID] = why
		}
	}
	return asked, nil
}

// Rounds are the volumes of the two rounds of one visit and how far the second is
// from the first.
type Rounds struct {
	First, Second volume.Estimate
	Change        volume.Change
}

// roundsOf compares the two rounds of a visit; nil where it has one alone.
func roundsOf(v assess.Visit, s volume.Sigmas) *Rounds {
	first, second := estimateOf(v.ResidualFirst, s), estimateOf(v.Residual, s)
	if first == nil || second == nil {
		return nil
	}
	return &Rounds{First: *first, Second: *second, Change: volume.Compare(v.ResidualFirst, v.Residual, s)}
}
