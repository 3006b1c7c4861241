package server

import (
	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/form"
)

// walkLevels say where a proposed walk goes round the limb. A nil level leaves
// its stations out.
type walkLevels struct{ upper, lower, joint, foot *quantity.Length }

// typedWalk proposes levels for the walk: the second and the last but one level
// of the measuring plan, and for a limb that ends below a joint the landmark, at
// which the joint moves. Where the foot's stations lie only the cover can say.
func typedWalk(who models.Person, l models.Limb, plan models.MeasuringPlan) map[string]string {
	typed := map[string]string{}
	if n := len(plan.Levels); n >= 4 {
		typed["walk_upper"] = typedLength(who, &plan.Levels[1])
		typed["walk_lower"] = typedLength(who, &plan.Levels[n-2])
	} else if n >= 2 {
		typed["walk_upper"] = typedLength(who, &plan.Levels[0])
		typed["walk_lower"] = typedLength(who, &plan.Levels[n-1])
	}
	if belowJoint(l.Level) {
		var landmark quantity.Length
		typed["walk_joint"] = typedLength(who, &landmark)
	}
	return typed
}

// belowJoint tells whether the landmark of a level of amputation lies at the
// joint above, so that a cover ends beside a joint that moves.
func belowJoint(a quantity.AmputationLevel) bool {
	switch a {
	case quantity.Transtibial, quantity.AnkleDisarticulation, quantity.Transradial, quantity.WristDisarticulation:
		return true
	}
	return false
}

func readWalk(r *form.Reader) walkLevels {
	level := func(field string) *quantity.Length { return r.Length(field, r.Unit(), lowestStation, highestStation) }
	w := walkLevels{upper: level("walk_upper"), lower: level("walk_lower"), joint: level("walk_joint"), foot: level("walk_foot")}
	if r.Empty("walk_upper") && r.Empty("walk_lower") && r.Empty("walk_joint") && r.Empty("walk_foot") {
		r.Add("walk_upper", "problem.walk-empty", nil)
	}
	return w
}

// proposeWalk makes the stations of a walk after section 8 (e) of the domain
// notes: the gap between socket and cover in four directions at two levels. To
// them come the joint at the ends of its movement and, on a leg, heel and toe
// under load. Every check-in reads the posterior stations and those in
// movement; delivery and a change read all (common practice, no source).
func proposeWalk(a quantity.AmputationLevel, w walkLevels) []models.Station {
	var stations []models.Station
	add := func(level *quantity.Length, p quantity.Posture, n quantity.Neighbour, every bool, directions ...quantity.Direction) {
		if level == nil {
			return
		}
		for _, d := range directions {
			stations = append(stations, models.Station{
				Level: *level, Direction: d, Posture: p, Neighbour: n, EveryTime: every || d == quantity.Posterior,
			})
		}
	}
	still, bent := quantity.Standing, quantity.FullFlexion
	if a.Arm() {
		still, bent = quantity.Straight, quantity.FullBend
	}
	add(w.upper, still, quantity.SocketWall, false, quantity.Directions...)
	add(w.lower, still, quantity.SocketWall, false, quantity.Directions...)
	add(w.joint, bent, quantity.MovingJoint, true, quantity.Anterior, quantity.Posterior)
	if !a.Arm() {
		add(w.joint, quantity.Seated, quantity.MovingJoint, true, quantity.Posterior)
		add(w.foot, quantity.HeelLoaded, quantity.FootOrKeel, true, quantity.Posterior)
		add(w.foot, quantity.ToeLoaded, quantity.FootOrKeel, true, quantity.Anterior)
	}
	return stations
}

// addWalk puts the proposed stations behind the rows of a typed form, without
// those that stand there already, and returns how many came.
func addWalk(who models.Person, r *form.Reader, typed map[string]string, stations []models.Station) int {
	count := rowCount(typed, "stations", mostStations)
	there := map[[3]string]bool{}
	for i := range count {
		there[[3]string{
			r.Typed(rowField("station", i, "level")), r.Typed(rowField("station", i, "direction")),
			r.Typed(rowField("station", i, "posture")),
		}] = true
	}
	var fresh []models.Station
	for _, st := range stations {
		level := form.FormatTyped(st.Level, who.LengthUnit, who.DecimalComma)
		if !there[[3]string{level, string(st.Direction), string(st.Posture)}] && count+len(fresh) < mostStations {
			fresh = append(fresh, st)
		}
	}
	putStations(who, typed, count, fresh)
	typed["stations"] = version(count + len(fresh))
	return len(fresh)
}
