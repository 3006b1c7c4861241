package server

import (
	"cmp"
	"slices"

	"fairlead/analytics/clearance"
	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/form"
)

// mostStations is how many stations the walk round a cover can have; longer
// walks are not made on the bench (common practice, no source).
const mostStations = 60

// The levels that a station can lie at, from the landmark.
const (
	lowestStation  quantity.Length = -20000
	highestStation quantity.Length = 20000
)

// putStations writes stations into the rows of a form, beginning at a row.
func putStations(who models.Person, typed map[string]string, first int, stations []models.Station) {
	for i, st := range stations {
		row := func(field string) string { return rowField("station", first+i, field) }
		typed[row("id")] = st.ID
		typed[row("level")] = form.FormatTyped(st.Level, who.LengthUnit, who.DecimalComma)
		typed[row("direction")], typed[row("posture")] = string(st.Direction), string(st.Posture)
		typed[row("neighbour")], typed[row("every")] = string(st.Neighbour), yes(st.EveryTime)
		typed[row("warn")], typed[row("act")] = typedMM(who, st.WarnLimit), typedMM(who, st.ActLimit)
		typed[row("built")], typed[row("built_by")] = typedMM(who, st.AsBuilt), st.AsBuiltBy
		typed[row("built_on")] = string(st.AsBuiltOn)
	}
}

// signer is who a figure is attributed to, and when.
type signer struct {
	name string
	on   quantity.Date
}

// stationRows reads the rows of stations of a cover for a limb.
type stationRows struct {
	r         *form.Reader
	before    map[string]models.Station // as stored, by id
	postures  []quantity.Posture
	by        signer        // whoever sets a limit does so today
	delivered quantity.Date // when as-built gaps were accepted, if nothing else is said
}

// read returns the stations in walking order. A row that is empty, or that is
// ticked to be left out, is none.
func (f stationRows) read(count int) []models.Station {
	var stations []models.Station
	seen := map[[3]string]bool{}
	for i := range count {
		row := func(field string) string { return rowField("station", i, field) }
		if f.r.Bool(row("out")) || f.empty(row) {
			continue
		}
		st := f.station(row)
		place := [3]string{version(int(st.Level)), string(st.Direction), string(st.Posture)}
		if complete := !f.r.Empty(row("level")) && st.Direction != "" && st.Posture != ""; complete && seen[place] {
			f.r.Add(row("level"), "problem.station-twice", nil)
		}
		seen[place] = true
		stations = append(stations, st)
	}
	sortWalk(stations, f.postures)
	return stations
}

// empty tells whether nothing of a row was filled in. A station that is stored
// is not taken away by emptying its fields.
func (f stationRows) empty(row func(string) string) bool {
	for _, field := range []string{"id", "level", "direction", "posture", "neighbour", "warn", "act", "built"} {
		if !f.r.Empty(row(field)) {
			return false
		}
	}
	return true
}

func (f stationRows) station(row func(string) string) models.Station {
	r := f.r
	st := models.Station{}
	if before, known := f.before[r.Typed(row("id"))]; known {
		st = before
	}
	r.Require(row("level"))
	if level := r.Length(row("level"), r.Unit(), lowestStation, highestStation); level != nil {
		st.Level = *level
	}
	st.Direction = form.RequiredChoice(r, row("direction"), quantity.Directions)
	st.Posture = form.RequiredChoice(r, row("posture"), f.postures)
	st.Neighbour = form.RequiredChoice(r, row("neighbour"), quantity.Neighbours)
	st.EveryTime = r.Bool(row("every"))
	f.limits(row, &st)
	f.asBuilt(row, &st)
	return st
}

// limits reads a station's own limits; none stand for the starting values of
// its neighbour. Who changes them is named with them.
func (f stationRows) limits(row func(string) string, st *models.Station) {
	r := f.r
	warn, act := r.Gap(row("warn")), r.Gap(row("act"))
	if r.Empty(row("warn")) != r.Empty(row("act")) {
		r.Require(row("warn"), row("act"))
	}
	if warn != nil && act != nil && *act > *warn {
		r.Add(row("act"), "problem.limits-crossed", nil)
	}
	if sameLength(warn, st.WarnLimit) && sameLength(act, st.ActLimit) {
		return
	}
	st.WarnLimit, st.ActLimit, st.LimitBy, st.LimitOn = warn, act, f.by.name, f.by.on
	if warn == nil && act == nil {
		st.LimitBy, st.LimitOn = "", ""
	}
}

// asBuilt reads the gap that was accepted at delivery, by whom and when.
func (f stationRows) asBuilt(row func(string) string, st *models.Station) {
	r := f.r
	st.AsBuilt = r.Gap(row("built"))
	st.AsBuiltBy, st.AsBuiltOn = r.Text(row("built_by"), longestName), r.DateNotFuture(row("built_on"))
	if st.AsBuilt == nil {
		if st.AsBuiltBy != "" || st.AsBuiltOn != "" {
			r.Require(row("built"))
		}
		return
	}
	if st.AsBuiltBy == "" {
		st.AsBuiltBy = f.by.name
	}
	if st.AsBuiltOn == "" {
		st.AsBuiltOn = cmp.Or(f.delivered, f.by.on)
	}
}

func sameLength(a, b *quantity.Length) bool {
	return a == nil && b == nil || a != nil && b != nil && *a == *b
}

// sortWalk puts stations into the fixed order of the walk: one posture after the
// other, so that the client moves as little as may be, down the limb, and round
// it at each level.
func sortWalk(stations []models.Station, postures []quantity.Posture) {
	slices.SortStableFunc(stations, func(a, b models.Station) int {
		return cmp.Or(
			cmp.Compare(slices.Index(postures, a.Posture), slices.Index(postures, b.Posture)),
			cmp.Compare(a.Level, b.Level),
			cmp.Compare(slices.Index(quantity.Directions, a.Direction), slices.Index(quantity.Directions, b.Direction)),
		)
	})
	for i := range stations {
		stations[i].Ordinal = i + 1
	}
}

// startingLimits are the limits of a neighbour until someone sets others, as
// lengths.
func startingLimits(n quantity.Neighbour) (warn, act quantity.Length) {
	limits := clearance.StartingLimits(n)
	return quantity.FromMM(limits.WarnMM), quantity.FromMM(limits.ActMM)
}
