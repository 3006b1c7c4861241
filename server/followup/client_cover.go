package followup

import (
	"cmp"
	"math"
	"slices"

	"fairlead/analytics/assess"
	"fairlead/analytics/clearance"
	"fairlead/analytics/quantity"
)

// GapAt is a gap with the visit that read it.
type GapAt struct {
	assess.Gap
	On        quantity.Date
	CheckinID string
	Delivery  bool
}

// StationView is one station of the cover: first and newest gap that say
// something of it, in the same shoe. Now is nil where it was never read; Then is
// nil where it was read only once in that shoe.
type StationView struct {
	Station   assess.Station
	Then, Now *GapAt
	Current   bool // Now is of the newest visit that read any station
}

// stations follow every station of the cover through the visits.
func (v *LimbView) stations() []StationView {
	newest := v.newestWalk()
	postures := quantity.PosturesOf(v.History.Limb.Level)
	var views []StationView
	for _, station := range v.History.Stations {
		view := StationView{Station: station}
		gaps := v.gapsAt(station.ID)
		if len(gaps) > 0 {
			now := worstOfVisit(gaps)
			view.Now, view.Current = &now, now.CheckinID == newest
			for _, g := range gaps {
				if g.Shoe == now.Shoe && g.CheckinID != now.CheckinID {
					view.Then = &g
					break
				}
			}
		}
		views = append(views, view)
	}
	slices.SortStableFunc(views, func(a, b StationView) int {
		s, t := a.Station, b.Station
		return cmp.Or(
			cmp.Compare(s.LevelMM, t.LevelMM), cmp.Compare(slices.Index(postures, s.Posture), slices.Index(postures, t.Posture)),
			cmp.Compare(slices.Index(quantity.Directions, s.Direction), slices.Index(quantity.Directions, t.Direction)),
		)
	})
	return views
}

// newestWalk is the id of the newest visit that said anything of a station.
func (v *LimbView) newestWalk() string {
	id := ""
	for _, at := range v.Visits {
		if len(at.Gaps) > 0 {
			id = at.Checkin.ID
		}
	}
	return id
}

// gapsAt lists what the visits say of a station, oldest first.
func (v *LimbView) gapsAt(stationID string) []GapAt {
	var gaps []GapAt
	for _, at := range v.Visits {
		for _, g := range at.Gaps {
			if g.Station.ID == stationID {
				gaps = append(gaps, GapAt{Gap: g, On: at.Assessed.On, CheckinID: at.Checkin.ID, Delivery: at.Delivered()})
			}
		}
	}
	return gaps
}

// worstOfVisit is the worst gap of the last visit among gaps in order of time,
// where that visit read a station in several shoes.
func worstOfVisit(gaps []GapAt) GapAt {
	worst := gaps[len(gaps)-1]
	for _, g := range gaps {
		if g.CheckinID == worst.CheckinID && closer(g.Gap, worst.Gap) {
			worst = g
		}
	}
	return worst
}

// Standing is what a gap says against the limit that holds for it: the gap that
// was accepted at delivery where there is one, the limits of the station
// otherwise. It is empty where nothing can be judged.
func Standing(g assess.Gap) clearance.State {
	switch {
	case g.Dropped():
		return clearance.BelowWarn
	case !g.AsBuilt || g.Touching:
		return g.State
	}
	return clearance.Clear
}

// closer tells whether gap a is closer to its limit, or further below it, than b.
func closer(a, b assess.Gap) bool {
	if s, t := Standing(a), Standing(b); s != t {
		return s != "" && (t == "" || s.Worse(t))
	}
	return margin(a) < margin(b)
}

// margin is how far a gap is above the limit that holds for it.
func margin(g assess.Gap) float64 {
	if g.AsBuilt {
		return -g.DropMM
	}
	return g.GapMM - g.Station.Limits().WarnMM
}

// Tightest is the station of the newest walk that is closest to its limit, or
// furthest below it; nil where nothing was read.
func (v LimbView) Tightest() *StationView {
	var tightest *StationView
	for i := range v.Stations {
		s := &v.Stations[i]
		if s.Now == nil || !s.Current || Standing(s.Now.Gap) == "" {
			continue
		}
		if tightest == nil || closer(s.Now.Gap, tightest.Now.Gap) {
			tightest = s
		}
	}
	return tightest
}

// CountStates counts the stations of the newest walk by the state of their gap.
func (v LimbView) CountStates() map[clearance.State]int {
	counts := map[clearance.State]int{}
	for _, s := range v.Stations {
		if s.Current && Standing(s.Now.Gap) != "" {
			counts[Standing(s.Now.Gap)]++
		}
	}
	return counts
}

// SectionView is one section of the cover, at a level and posture, at up to
// three visits: the first that read it, one in the middle, the newest.
type SectionView struct {
	LevelMM float64
	Posture quantity.Posture
	// RadiusMM is that of what is inside, from the girth of the limb at that
	// level; 0 where it was not taped there.
	RadiusMM float64
	Visits   []SectionVisit
}

// SectionVisit is one section at one visit.
type SectionVisit struct {
	On       quantity.Date
	Delivery bool
	Shoe     string
	Gaps     map[quantity.Direction]assess.Gap
}

// sections groups the stations by level and posture, the worst first. A section
// of which no two sides were ever read together is not one.
func (v *LimbView) sections() []SectionView {
	type key struct {
		level   float64
		posture quantity.Posture
	}
	var order []key
	for _, s := range v.Stations {
		if k := (key{s.Station.LevelMM, s.Station.Posture}); !slices.Contains(order, k) {
			order = append(order, k)
		}
	}
	var sections []SectionView
	for _, k := range order {
		if s := v.section(k.level, k.posture); len(s.Visits) > 0 {
			sections = append(sections, s)
		}
	}
	slices.SortStableFunc(sections, func(a, b SectionView) int { return cmp.Compare(b.rank(), a.rank()) })
	return sections
}

func (v *LimbView) section(levelMM float64, posture quantity.Posture) SectionView {
	s := SectionView{LevelMM: levelMM, Posture: posture, RadiusMM: v.radiusAt(levelMM)}
	several := false
	for _, at := range v.Visits {
		seen := SectionVisit{On: at.Assessed.On, Delivery: at.Delivered(), Gaps: map[quantity.Direction]assess.Gap{}}
		for _, g := range at.Gaps {
			if g.Station.LevelMM != levelMM || g.Station.Posture != posture {
				continue
			}
			known, read := seen.Gaps[g.Station.Direction]
			if !read || closer(g, known) {
				seen.Gaps[g.Station.Direction], seen.Shoe = g, g.Shoe
			}
		}
		if len(seen.Gaps) > 0 {
			s.Visits = append(s.Visits, seen)
			several = several || len(seen.Gaps) >= 2
		}
	}
	if !several {
		return SectionView{}
	}
	if n := len(s.Visits); n > 3 {
		s.Visits = []SectionVisit{s.Visits[0], s.Visits[n/2], s.Visits[n-1]}
	}
	return s
}

// rank is how bad the newest visit of a section is.
func (s SectionView) rank() int {
	worst := -1
	for _, g := range s.Visits[len(s.Visits)-1].Gaps {
		worst = max(worst, slices.Index(clearance.States, Standing(g)))
	}
	return worst
}

// radiusAt is the radius of the limb at a level at its newest taping, or 0.
func (v *LimbView) radiusAt(levelMM float64) float64 {
	if v.Taped == nil {
		return 0
	}
	girthMM, err := v.Taped.Assessed.Residual.Profile.GirthAt(levelMM)
	if err != nil {
		return 0
	}
	return girthMM / (2 * math.Pi)
}
