package assess

import (
	"cmp"
	"slices"
	"strings"

	"fairlead/analytics/clearance"
	"fairlead/analytics/quantity"
)

// neighboursOf says what lies under the cover in a segment of the body map, so
// that a place that a client points at can be looked for among the stations of
// the walk. A segment that is not listed is the shaft of the limb. This is
// common practice without a source: a joint moves against the cover, a foot
// deflects in it, and along the shaft are socket, parts that don't move, or
// skin.
var neighboursOf = map[string][]quantity.Neighbour{
	"foot":  {quantity.FootOrKeel},
	"ankle": {quantity.FootOrKeel, quantity.MovingJoint},
	"knee":  {quantity.MovingJoint},
	"wrist": {quantity.MovingJoint},
	"elbow": {quantity.MovingJoint},
}

// shaftNeighbours are those along the shaft.
var shaftNeighbours = []quantity.Neighbour{quantity.SocketWall, quantity.FixedPart, quantity.SkinSurface}

// covers tells whether an area of the body map can be where a station is: the
// same direction, and a segment in which such a neighbour lies.
func covers(area string, s Station) bool {
	segment, direction, ok := strings.Cut(area, ".")
	neighbours, listed := neighboursOf[segment]
	if !listed {
		neighbours = shaftNeighbours
	}
	return ok && direction == string(s.Direction) && slices.Contains(neighbours, s.Neighbour)
}

// reportRub raises a rub, a noise or catching at the cover, at each place named:
// to be checked within a week whatever the gap says (row K9, common practice:
// reports beat numbers). Where the newest walk of the cover found a tight
// station at the place, the finding carries it beside a rub or a noise: what catches
// does so outside. A volume of the limb is never beside it.
//
// Words: "what" (rub, noise, catch, with commas), "areas" (with commas), and of a tight station those
// that describe it, "shoe" (a person's own text), "walk-on" (date of the walk),
// "gap-state" (a state of package clearance, or dropped) and "touch" (contact,
// polish-mark).
func reportRub(h History, r Report) []Finding {
	var what []string
	for _, word := range []string{"rub", "noise", "catch"} {
		if r.says(word) {
			what = append(what, word)
		}
	}
	if len(what) == 0 {
		return nil
	}
	walk, gaps := h.newestWalk()
	var findings []Finding
	for place, areas := range r.places() {
		f := newReportFinding(r, ReportRub, AboutCover, Soon, place)
		f.LookFirst = []string{LookWithinWeek, LookAttachment, LookShell, LookTrimLine, LookRecentEvents}
		f.say("what", strings.Join(what, ","))
		f.say("areas", strings.Join(areas, ","))
		f.bother(r)
		if gap, ok := tightestAt(gaps, areas); ok && r.says("rub", "noise") {
			f.LookFirst = append([]string{LookWithinWeek}, lookAtGap(gap, ReportRub)...)
			f.tight(walk, gap)
		}
		findings = append(findings, f)
	}
	return findings
}

// newestWalk returns the newest visit that says something of a station, and what.
func (h History) newestWalk() (Visit, []Gap) {
	for _, v := range slices.Backward(h.ascending()) {
		if gaps := h.Gaps(v); len(gaps) > 0 {
			return v, gaps
		}
	}
	return Visit{}, nil
}

// tightestAt returns the tightest of the gaps at any of the areas that are not
// clear.
func tightestAt(gaps []Gap, areas []string) (tightest Gap, ok bool) {
	var tight []Gap
	for _, g := range gaps {
		at := func(area string) bool { return covers(area, g.Station) }
		if slices.ContainsFunc(areas, at) && g.tightness() > 0 {
			tight = append(tight, g)
		}
	}
	if len(tight) == 0 {
		return Gap{}, false
	}
	return slices.MinFunc(tight, func(a, b Gap) int {
		return cmp.Or(cmp.Compare(b.tightness(), a.tightness()), cmp.Compare(a.GapMM, b.GapMM))
	}), true
}

// tightness ranks what is worth telling beside a rub; 0 is a clear gap. A gap
// that was accepted at delivery is judged by its drop.
func (g Gap) tightness() int {
	switch {
	case g.Touching:
		return 5
	case g.Dropped():
		return 3
	case g.AsBuilt:
	case g.State == clearance.BelowAct:
		return 4
	case g.State == clearance.BelowWarn:
		return 3
	case g.State == clearance.Unsure:
		return 2
	}
	if g.Polished {
		return 1
	}
	return 0
}

// gapDropped is the state of a gap whose drop from the accepted one is beyond
// error, beside the states of package clearance.
const gapDropped = "dropped"

// tight adds the tight station of a walk: its gap, its limit and the day.
func (f *Finding) tight(walk Visit, gap Gap) {
	f.AgainstVisitID = walk.ID
	f.describe(gap.Station)
	f.say("walk-on", string(walk.On))
	f.say("shoe", gap.Shoe)
	if gap.Readings > 0 {
		f.add(measured("gap", gap.GapMM, gap.UMM, MM), exact("readings", float64(gap.Readings), Count))
	}
	switch {
	case gap.Touching:
		f.say("touch", string(quantity.Contact))
		return
	case gap.Polished:
		f.say("touch", string(quantity.PolishMark))
	}
	switch {
	case gap.Dropped():
		f.say("gap-state", gapDropped)
		f.Limit = asBuiltLimit(gap.Station)
		f.add(measured("drop", gap.DropMM, gap.UDropMM, MM))
	case gap.AsBuilt || gap.Readings == 0: // accepted, or no figure: no limit says more
	case gap.State == clearance.BelowAct:
		f.say("gap-state", string(gap.State))
		f.Limit = actLimit(gap.Station)
	default:
		f.say("gap-state", string(gap.State))
		f.Limit = warnLimit(gap.Station)
	}
}
