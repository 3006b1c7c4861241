package assess

import (
	"cmp"
	"slices"

	"fairlead/analytics/clearance"
	"fairlead/analytics/quantity"
)

// Gap is what one visit says about one station in one shoe. Gaps are compared
// over time only at the same station, which fixes the posture, and in the same
// shoe.
type Gap struct {
	Station    Station
	Shoe       string
	Readings   int     // gaps that were read, 0 when only a touch was seen
	GapMM, UMM float64 // of the readings, when there are any
	Touching   bool    // contact was seen, or a reading of nothing left
	Polished   bool    // a polish mark was seen
	// State is the gap against the station's limits; empty when it has no
	// figure and does not touch.
	State clearance.State
	// Accepted tells that a gap was accepted at delivery in this shoe, so that
	// the drop from it is known; AsBuilt, that the station is judged by that drop
	// alone, and not by its limits.
	Accepted, AsBuilt bool
	DropMM, UDropMM   float64
	DropBeyond        bool
}

// Dropped tells whether the drop from the accepted gap is what there is to say:
// it is beyond error, and neither a touch nor a gap below a limit that holds
// says more.
func (g Gap) Dropped() bool {
	return g.DropBeyond && !g.Touching && (g.AsBuilt || clearance.BelowWarn.Worse(g.State))
}

// Gaps returns what the visit says about the stations of the cover, in the
// order of the walk: by level, direction, posture. A station that was not read
// or not reachable has no Gap.
func (h History) Gaps(v Visit) []Gap {
	type key struct{ station, shoe string }
	readings := map[key][]Clearance{}
	for _, c := range v.Clearances {
		k := key{c.StationID, cmp.Or(c.Shoe, v.Shoe)}
		readings[k] = append(readings[k], c)
	}
	var gaps []Gap
	for k, cs := range readings {
		i := slices.IndexFunc(h.Stations, func(s Station) bool { return s.ID == k.station })
		if i < 0 {
			continue
		}
		if gap, ok := gapOf(h.Stations[i], k.shoe, cs); ok {
			gaps = append(gaps, h.againstAsBuilt(gap))
		}
	}
	slices.SortFunc(gaps, func(a, b Gap) int {
		s, t := a.Station, b.Station
		return cmp.Or(
			cmp.Compare(s.LevelMM, t.LevelMM),
			cmp.Compare(slices.Index(quantity.Directions, s.Direction), slices.Index(quantity.Directions, t.Direction)),
			cmp.Compare(s.Posture, t.Posture), cmp.Compare(s.ID, t.ID), cmp.Compare(a.Shoe, b.Shoe),
		)
	})
	return gaps
}

// gapOf joins the readings of one station in one shoe; ok is false when they
// say nothing.
func gapOf(s Station, shoe string, cs []Clearance) (gap Gap, ok bool) {
	gap = Gap{Station: s, Shoe: shoe, Touching: touches(cs)}
	var figures []clearance.Reading
	said := gap.Touching
	for _, c := range cs {
		if c.Method == quantity.NotReachable {
			continue
		}
		said = said || c.Touch != quantity.NoTouch
		gap.Polished = gap.Polished || c.Touch == quantity.PolishMark
		if c.GapMM != nil && finite(*c.GapMM) {
			figures = append(figures, clearance.Reading{GapMM: *c.GapMM, Method: c.Method})
		}
	}
	var read bool
	if gap.GapMM, gap.UMM, read = clearance.PoolReadings(figures); read {
		gap.Readings = len(figures)
		gap.State = clearance.Judge(gap.GapMM, gap.UMM, s.Limits())
	}
	if gap.Touching {
		gap.State = clearance.Touching
	}
	return gap, said || read
}

// touches tells whether any reading says contact, by a look or by a gap of
// nothing. A gap above zero beside it does not take that back.
func touches(cs []Clearance) bool {
	return slices.ContainsFunc(cs, func(c Clearance) bool {
		return c.Touch == quantity.Contact || c.GapMM != nil && *c.GapMM <= 0 && c.Method != quantity.NotReachable
	})
}

// againstAsBuilt adds the drop from the gap accepted at delivery. Acceptance
// holds for the shoe in which the station was read that day; in another shoe
// the limits hold. They hold as well, beside the drop, where the acceptance does
// not switch them off. The accepted gap counts as one feeler reading.
func (h History) againstAsBuilt(gap Gap) Gap {
	s := gap.Station
	if s.AsBuiltMM == nil || !finite(*s.AsBuiltMM) || gap.Readings == 0 || !h.acceptedIn(s, gap.Shoe) {
		return gap
	}
	gap.Accepted, gap.AsBuilt = true, !s.limitsStay()
	gap.DropMM, gap.UDropMM, gap.DropBeyond = clearance.DropFromAsBuilt(
		*s.AsBuiltMM, clearance.GapSigmaMM(quantity.Feeler), gap.GapMM, gap.UMM)
	return gap
}

// limitsStay tells whether the limits of an accepted station hold all the same:
// those to skin, which are never waived, and those that a named person set
// after the acceptance.
func (s Station) limitsStay() bool {
	set := s.WarnMM != nil || s.ActMM != nil
	return s.Neighbour == quantity.SkinSurface || set && s.LimitBy != "" && s.LimitOn > s.AsBuiltOn
}

// acceptedIn tells whether the station was accepted in this shoe, or in one
// that is not known.
func (h History) acceptedIn(s Station, shoe string) bool {
	known := false
	for _, v := range h.ascending() {
		if s.AsBuiltOn == "" || v.On != s.AsBuiltOn {
			continue
		}
		for _, c := range v.Clearances {
			if c.StationID != s.ID {
				continue
			}
			if cmp.Or(c.Shoe, v.Shoe) == shoe {
				return true
			}
			known = true
		}
	}
	return !known
}

// coverEvents start the series of gaps anew: the shell is another one since.
var coverEvents = map[string]bool{"cover-trimmed": true, "cover-refitted": true}

// firstGap returns the first gap that was read at the station in the shoe
// before the visit, and since the cover was last worked on.
func (h History) firstGap(gap Gap, before Visit) (Gap, Visit, bool) {
	var from quantity.Date
	for _, e := range h.Events {
		if coverEvents[e.Kind] && e.On <= before.On {
			from = max(from, e.On)
		}
	}
	for _, v := range h.ascending() {
		if v.ID == before.ID {
			break
		}
		if v.On < from {
			continue
		}
		for _, g := range h.Gaps(v) {
			if g.Station.ID == gap.Station.ID && g.Shoe == gap.Shoe && g.Readings > 0 {
				return g, v, true
			}
		}
	}
	return Gap{}, Visit{}, false
}
