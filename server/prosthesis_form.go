package server

import (
	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/form"
)

// The thickest liner and the highest heel that are taken: 30 mm and 200 mm
// (common practice, no source).
const (
	thickestLiner quantity.Length = 300
	highestHeel   quantity.Length = 2000
)

var prosthesisWording = wording{
	form: "prosthesis", kinds: map[string]string{"no_socket": "tick"},
	ids: map[string]string{"done_by": "event.done_by", "told_by": "event.told_by"},
}

// typedProsthesis is a prosthesis as it stands in the form.
func typedProsthesis(who models.Person, p models.Prosthesis) map[string]string {
	return map[string]string{
		"no_socket": yes(p.NoSocket), "socket_type": p.SocketType, "socket_fitted_on": string(p.SocketFittedOn),
		"socket_accepted_on": string(p.SocketAcceptedOn), "suspension": p.Suspension, "adjuster": p.Adjuster,
		"liner_type": p.LinerType, "liner_thickness": typedMM(who, p.LinerThickness), "sleeve": p.Sleeve,
		"foot": p.Foot, "knee": p.Knee, "pylon": p.Pylon, "shoe": p.Shoe, "heel_height": typedLength(who, p.HeelHeight),
		"version": version(p.Version),
	}
}

// readProsthesis reads the form into what is worn on the limb. With no socket
// (bone-anchored) what was typed about one is left out; ignored tells so.
func readProsthesis(r *form.Reader, before models.Prosthesis, l models.Limb) (p models.Prosthesis, ignored bool) {
	p = before
	p.LimbID = l.ID
	p.NoSocket = r.Bool("no_socket")
	p.Suspension = r.Text("suspension", longestLine)
	p.Adjuster = r.Text("adjuster", longestLine)
	p.LinerType = r.Text("liner_type", longestLine)
	p.LinerThickness = r.Length("liner_thickness", quantity.Millimetre, 0, thickestLiner)
	p.Sleeve = r.Text("sleeve", longestLine)
	p.Foot, p.Knee, p.Pylon = r.Text("foot", longestLine), r.Text("knee", longestLine), r.Text("pylon", longestLine)
	p.Shoe = r.Text("shoe", longestLine)
	p.HeelHeight = r.Length("heel_height", r.Unit(), 0, highestHeel)
	p.Version = readVersion(r)
	if p.NoSocket {
		p.SocketType, p.SocketFittedOn, p.SocketAcceptedOn = "", "", ""
		return p, !r.Empty("socket_type") || !r.Empty("socket_fitted_on") || !r.Empty("socket_accepted_on")
	}
	p.SocketType = r.RequiredText("socket_type", longestLine)
	p.SocketFittedOn, p.SocketAcceptedOn = r.DateNotFuture("socket_fitted_on"), r.DateNotFuture("socket_accepted_on")
	if p.SocketFittedOn != "" && p.SocketAcceptedOn != "" && p.SocketAcceptedOn < p.SocketFittedOn {
		r.Add("socket_accepted_on", "problem.accepted-early", map[string]any{"Fitted": string(p.SocketFittedOn)})
	}
	if p.SocketFittedOn != "" && p.SocketFittedOn < l.AmputatedOn {
		r.Add("socket_fitted_on", "problem.before-amputation", map[string]any{"Amputated": string(l.AmputatedOn)})
	}
	return p, false
}

// wornChange is a part of a prosthesis that was changed: the event it makes,
// the field, and the day if it has one of its own.
type wornChange struct {
	kind  models.EventKind
	field string
	on    quantity.Date
}

// partEvents says which event a changed field makes.
var partEvents = []struct {
	field string
	kind  models.EventKind
}{
	{"adjuster", models.AdjusterMoved},
	{"liner_type", models.LinerChanged}, {"liner_thickness", models.LinerChanged},
	{"suspension", models.PartReplaced}, {"sleeve", models.PartReplaced},
	{"foot", models.PartReplaced}, {"knee", models.PartReplaced}, {"pylon", models.PartReplaced},
	{"shoe", models.ShoeChanged}, {"heel_height", models.ShoeChanged},
}

// wornChanges lists what a saved form changed, as events to record. A socket
// carries its own dates. What is recorded for the first time is no change,
// except of a socket.
func wornChanges(before, after models.Prosthesis, typedBefore, typedAfter map[string]string) []wornChange {
	var changes []wornChange
	if after.SocketFittedOn != "" && after.SocketFittedOn != before.SocketFittedOn {
		changes = append(changes, wornChange{models.SocketFitted, "socket_type", after.SocketFittedOn})
	}
	if after.SocketAcceptedOn != "" && after.SocketAcceptedOn != before.SocketAcceptedOn {
		changes = append(changes, wornChange{models.SocketAccepted, "socket_type", after.SocketAcceptedOn})
	}
	if before.Version == 0 {
		return changes
	}
	for _, part := range partEvents {
		if typedBefore[part.field] != typedAfter[part.field] {
			changes = append(changes, wornChange{kind: part.kind, field: part.field})
		}
	}
	return changes
}
