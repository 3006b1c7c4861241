package assess

import (
	"cmp"
	"math"
	"slices"

	"fairlead/analytics/volume"
)

// A figure that lies at its limit is found at one visit and not at the next, by
// measuring error alone. So that no flag comes and goes with it, a claim counts as
// gone only once its figure is back inside the limit by more than its standard
// uncertainty, and what a person has closed is not raised again by a figure that
// can't be told from the one that was closed on.

// followsCourse tells whether a rule speaks from a probability, or a slope, of the
// course alone.
func (r Rule) followsCourse() bool {
	return r == VolumeClosing || r == VolumeSlope
}

// Outlying is how far a figure lies outside the limit of its rule, in the unit of
// the limit and negative inside, with its standard uncertainty in the same unit.
type Outlying struct{ By, U float64 }

// Gone tells whether the figure is back inside its limit by more than one standard
// uncertainty.
func (o Outlying) Gone() bool { return o.By < -o.U }

// settles tells whether a rule has hysteresis: its figure has a limit and a
// standard uncertainty. Skin, safety, contact, function checks, fast changes, what
// is wrong with the readings and mere counts are raised whenever they are found.
func (r Rule) settles() bool {
	return r == VolumeChange || r == RoomChanged || r == ClearanceBelow || r == AsBuiltDrop || r.followsCourse()
}

// Outlying returns how far the newest visit puts the figure of an earlier finding
// outside its limit, in the direction of that finding: the limit from which on it
// is mentioned at all. A drop from an accepted gap has no limit but its error; it
// counts from the 1.645 u on from which it is beyond it. A station that is touched
// is outside whatever was read there. A rule of the course that speaks from a
// probability on is outside by what its probability lies above that, in percent,
// and inside by more than its uncertainty below half of it.
//
// ok is false when the rule has no hysteresis or the visit has no such figure.
func (h History) Outlying(f Finding) (o Outlying, ok bool) {
	newest, any := h.Newest()
	if !any || !f.Rule.settles() {
		return Outlying{}, false
	}
	course, followed := h.Course()
	if f.Rule.followsCourse() || f.Rule == VolumeChange && followed && course.judges() {
		if !followed || !course.judges() {
			return Outlying{}, false
		}
		return course.outlying(h, f), true
	}
	switch f.Rule {
	case VolumeChange:
		reference, _ := h.base()
		change, ok := h.changeSince(reference)
		if !ok || !change.Comparable {
			return Outlying{}, false
		}
		way := f.way()
		_, mention := h.sizeLimits(way)
		return Outlying{way*change.ChangePercent - mention.Value, change.UPercent}, true
	case RoomChanged:
		room, none := h.Room()
		if none != "" || h.RoomLimit == nil {
			return Outlying{}, false
		}
		return Outlying{f.way()*room.Mean.RoomMM - h.RoomLimit.MM, room.Mean.UMM}, true
	}
	for _, gap := range h.Gaps(newest) {
		at, judged := gap.outlying(f.Rule)
		if gap.Station.ID == f.Place && judged && (!ok || at.By > o.By) {
			o, ok = at, true // of several shoes the tightest
		}
	}
	return o, ok
}

// outlying is how far the course puts what one of its rules speaks from, in the
// direction of an earlier finding, above where it starts to.
func (c Course) outlying(h History, f Finding) Outlying {
	way := f.way()
	_, limit := h.sizeLimits(way)
	at, p := toldAt, 0.0
	switch f.Rule {
	case VolumeSlope:
		slope := c.state.Slope
		return Outlying{way*slope.Estimate - slopePercent, (slope.Hi - slope.Lo) / (2 * volume.Normal975)}
	case VolumeClosing:
		at, p = closingAt, c.reaching(way, limit.Value)
	default:
		p = c.beyond(way, toldOf*limit.Value)
	}
	return Outlying{By: 100 * (p - at), U: 100 * at / 2}
}

// reaching is the probability that a limit of change in percent is reached within
// the horizon, or passed already.
func (c Course) reaching(way, percent float64) float64 {
	if way < 0 && percent >= 100 {
		return 0
	}
	return c.filter.Crossing(way * percent).Probability
}

// outlying is how far a gap lies below what the rule judges it by.
func (g Gap) outlying(r Rule) (o Outlying, ok bool) {
	switch {
	case g.Touching:
		return Outlying{By: math.MaxFloat64}, true
	case g.Readings == 0:
		return Outlying{}, false
	case r == AsBuiltDrop && g.Accepted:
		return Outlying{g.DropMM - beyondError*g.UDropMM, g.UDropMM}, true
	case r == ClearanceBelow && !g.AsBuilt:
		return Outlying{g.Station.Limits().WarnMM - g.GapMM, g.UMM}, true
	}
	return Outlying{}, false
}

// beyondError is how many standard uncertainties a drop must be to be beyond its
// error: one-sided 95 %, as clearance.DropFromAsBuilt judges it.
const beyondError = 1.645

// Way is the direction in which a finding of volume-closing nears its limit: −1 for
// a loss, +1 for a gain.
func (f Finding) Way() float64 {
	if f.Words["way"] == "loss" {
		return -1
	}
	return 1
}

// way is the direction of a finding's figure: −1 for a loss of volume or of room,
// +1 otherwise.
func (f Finding) way() float64 {
	if f.Words["way"] != "" {
		return f.Way()
	}
	for _, name := range []string{"slope", "change", "room"} {
		if v, ok := f.Value(name); ok && v.Value < 0 && f.Rule.settles() {
			return -1
		}
	}
	return 1
}

// figure returns the figure that the rule of a finding judges, larger the further
// out it is.
func (f Finding) figure() (v Value, ok bool) {
	switch f.Rule {
	case VolumeChange, VolumeClosing:
		v, ok = f.Value("change")
	case VolumeSlope:
		v, ok = f.Value("slope")
	case RoomChanged:
		v, ok = f.Value("room")
	case AsBuiltDrop:
		v, ok = f.Value("drop")
	case ClearanceBelow:
		v, ok = f.Value("gap")
		v.Value = -v.Value
	}
	if f.Rule == VolumeChange || f.Rule == RoomChanged || f.Rule.followsCourse() {
		v.Value = math.Abs(v.Value)
	}
	return v, ok && v.U != nil
}

// Settled tells whether a finding of the newest visit says nothing new beside the
// one of the same rule and place that a person closed: it is not more urgent, does
// not go the other way, is counted from the same visit or read in the same shoe,
// under the same limits and on a cover that nobody has worked on since, its figure
// is not further out by more than the combined standard uncertainty of both, and
// no visit in between had it back inside the limit by more than its own. Whoever
// closed the one has answered the other.
//
// A finding of a rule without hysteresis is never settled.
func (h History) Settled(closed, now Finding) bool {
	if closed.Rule != now.Rule || closed.Place != now.Place || !now.Rule.settles() || moreUrgent(now.Level, closed.Level) {
		return false
	}
	was, okWas := closed.figure()
	is, okIs := now.figure()
	if !okWas || !okIs || is.Value-was.Value > math.Hypot(*was.U, *is.U) {
		return false
	}
	return closed.way() == now.way() && h.sameGround(closed, now) && h.sameLimits(closed, now) && !h.goneSince(closed)
}

func moreUrgent(a, b Level) bool { return slices.Index(Levels, a) < slices.Index(Levels, b) }

// sameGround tells whether two findings can be compared at all.
func (h History) sameGround(closed, now Finding) bool {
	if now.Rule == VolumeChange || now.Rule == RoomChanged || now.Rule.followsCourse() {
		return closed.AgainstVisitID == now.AgainstVisitID
	}
	since, known := h.visit(closed.VisitID)
	worked := slices.ContainsFunc(h.Events, func(e Event) bool {
		return (coverEvents[e.Kind] || e.Kind == "repair") && (!known || e.On >= since.On)
	})
	return closed.Words["shoe"] == now.Words["shoe"] && !worked
}

// sameLimits tells whether two findings are judged by the same limit, whoever has
// confirmed it since; or the later one by the lesser of two limits of which the
// earlier one was beyond the other, and both still stand. A limit that has been
// passed is another than one that a change was told early of.
func (h History) sameLimits(closed, now Finding) bool {
	if closed.Limit == nil || now.Limit == nil || closed.Words["told"] != "" && now.Words["told"] == "" {
		return false
	}
	if closed.Words["limit"] == now.Words["limit"] && closed.Limit.Value == now.Limit.Value {
		return true
	}
	since, known := h.visit(closed.VisitID)
	switch closed.Rule {
	case VolumeChange:
		urgent, mention := h.sizeLimits(closed.way())
		return known && h.VolumeLimits.On <= since.On && closed.Limit.Value == urgent.Value && now.Limit.Value == mention.Value
	case ClearanceBelow:
		i := slices.IndexFunc(h.Stations, func(s Station) bool { return s.ID == closed.Place })
		return known && i >= 0 && h.Stations[i].LimitOn <= since.On && closed.Words["limit"] == "act" && now.Words["limit"] == "warn" &&
			closed.Limit.Value == h.Stations[i].Limits().ActMM
	}
	return false
}

// goneSince tells whether any visit between that of a finding and the newest had
// its figure back inside the limit.
func (h History) goneSince(closed Finding) bool {
	since, known := h.visit(closed.VisitID)
	visits := h.ascending()
	for i, v := range visits[:max(0, len(visits)-1)] {
		if known && cmp.Or(cmp.Compare(v.At, since.At), cmp.Compare(v.ID, since.ID)) <= 0 {
			continue
		}
		then := h
		then.Visits = visits[:i+1]
		if o, ok := then.Outlying(closed); ok && o.Gone() {
			return true
		}
	}
	return false
}

// visit returns the visit with an id.
func (h History) visit(id string) (Visit, bool) {
	i := slices.IndexFunc(h.Visits, func(v Visit) bool { return v.ID == id })
	if i < 0 {
		return Visit{}, false
	}
	return h.Visits[i], true
}
