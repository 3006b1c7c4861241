package server

import (
	"fmt"

	"fairlead/models"
)

// action names something a person can do. Every route has exactly one.
type action string

const (
	openDoor      action = "open-door"       // sign in, choose a first password, fetch a style sheet
	ownSession    action = "own-session"     // sign out, own preferences
	seeToday      action = "see-today"       // Today and the list of clients
	seeClient     action = "see-client"      // a client's page, check-ins, evidence, downloads
	keepRecord    action = "keep-record"     // clients, limbs, plans, prostheses, events, covers
	logCheckin    action = "log-checkin"     // drafts, check-ins, corrections
	closeOwnFlag  action = "close-own-flag"  // flags about cover and data, with the action taken
	noteFlag      action = "note-flag"       // seen, called: by anyone who may see the client
	handOver      action = "hand-over"       // to a prosthetist who does not sign in, and what was answered
	seeReviews    action = "see-reviews"     // the list of limbs that wait for a prosthetist
	signReview    action = "sign-review"     // limits, decisions, signature
	makeLink      action = "make-link"       // private links for a client's report
	sendReport    action = "send-report"     // the client's form, by a private link
	setUpWorkshop action = "set-up-workshop" // people, roles, links, the workshop's name and zone
	readStudy     action = "read-study"      // how well the workshop measures, and its studies of that
	makeStudy     action = "make-study"      // begin a study, enter and import readings
	useStudy      action = "use-study"       // take a study into use, or withdraw it
)

// may is one row of the access table.
type may struct {
	action                             action
	anyone, fitter, prosthetist, owner bool
	note                               string
}

// accessTable is the written role × action matrix. What is not in it is
// refused. A prosthetist, whatever this table says, reaches only clients whose
// care team or deputy they are (see reachable); a fitter reaches every client
// of the workshop; an owner as such reaches none.
var accessTable = []may{
	{action: openDoor, anyone: true, fitter: true, prosthetist: true, owner: true, note: "before anybody is signed in"},
	{action: ownSession, fitter: true, prosthetist: true, owner: true, note: "one's own session and preferences"},
	{action: seeToday, fitter: true, prosthetist: true, owner: true, note: "an owner sees set-up only, without names of clients"},
	{action: seeClient, fitter: true, prosthetist: true, note: "prosthetist: care team or deputy only"},
	{action: keepRecord, fitter: true, note: "the workshop's own record; who joins a care team: see mayJoin"},
	{action: logCheckin, fitter: true, note: "measuring is the fitter's work"},
	{action: closeOwnFlag, fitter: true, note: "about cover and data only; limb, socket and skin flags are the prosthetist's"},
	{action: noteFlag, fitter: true, prosthetist: true, note: "neither closes anything"},
	{action: handOver, fitter: true, note: "a written answer closes what its prosthetist decides; recording it is the fitter's act"},
	{action: seeReviews, prosthetist: true, note: "care team or deputy only"},
	{action: signReview, prosthetist: true, note: "care team or deputy only, under their own name and password"},
	{action: makeLink, fitter: true, note: "only while the client's three numbers are there"},
	{action: sendReport, anyone: true, fitter: true, prosthetist: true, owner: true, note: "whoever holds a link reports and reads nothing back"},
	{action: setUpWorkshop, owner: true, note: "people, roles and the workshop"},
	{action: readStudy, fitter: true, prosthetist: true, owner: true, note: "names no client"},
	{action: makeStudy, fitter: true, prosthetist: true, note: "whoever measures can measure for a study"},
	{action: useStudy, prosthetist: true, owner: true, note: "it moves every uncertainty of the workshop from then on"},
}

// allowed tells whether somebody (nil: nobody is signed in) may do an action.
// A person with several roles may do what any of them may.
func allowed(a action, who *models.Person) bool {
	for _, row := range accessTable {
		if row.action != a {
			continue
		}
		if who == nil {
			return row.anyone
		}
		return row.fitter && who.IsFitter || row.prosthetist && who.IsProsthetist || row.owner && who.IsOwner || row.anyone
	}
	return false
}

// reachable tells whether a person may know that a client exists.
func reachable(who models.Person, c models.Client) bool {
	return who.IsFitter || looksAfter(who, c)
}

// looksAfter tells whether a person is a prosthetist of a client's care team, or
// the deputy. Only they review; being a fitter besides does not make them so.
func looksAfter(who models.Person, c models.Client) bool {
	if !who.IsProsthetist {
		return false
	}
	if c.DeputyID != nil && *c.DeputyID == who.ID {
		return true
	}
	for _, member := range c.CareTeam {
		if member.ID == who.ID {
			return true
		}
	}
	return false
}

// mayJoin tells whether somebody who writes a client's record may put a person on
// its care team or make them deputy. Everybody may put others there. Nobody makes
// themself the client's prosthetist, and so the one who signs, while the client
// has another one who signs in, or after they took that one off; an owner may.
// Changes are those told of the client until now.
func mayJoin(who, joins models.Person, before models.Client, changes []models.CareTeamChange) bool {
	if joins.ID != who.ID || !joins.IsProsthetist || who.IsOwner || looksAfter(who, before) {
		return true
	}
	for _, member := range before.CareTeam {
		if member.IsProsthetist && member.DisabledAt == nil {
			return false
		}
	}
	for _, c := range changes {
		if c.MadeBy == who.ID && c.PersonID != who.ID && c.Change == models.OffTeam && c.Prosthetist {
			return false
		}
	}
	return true
}

// checkTable fails when a route names an action that the table lacks, so that
// a forgotten row stops the program at its start and not a person at work.
func checkTable(routes []route) error {
	known := map[action]bool{}
	for _, row := range accessTable {
		if known[row.action] {
			return fmt.Errorf("access table: %s stands twice", row.action)
		}
		known[row.action] = true
	}
	for _, r := range routes {
		if !known[r.action] {
			return fmt.Errorf("route %s %s: action %q is not in the access table", r.method, r.path, r.action)
		}
	}
	return nil
}
