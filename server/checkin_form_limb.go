package server

import (
	"slices"
	"strconv"
	"time"

	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/form"
)

// The rows that a page offers for things of which there can be several.
const (
	sockRows = 5
	skinRows = 5
)

// mostPly bounds the ply of one sock; socks are made with up to about ten.
const mostPly = 20

var sockMaterials = []string{"single", "blended"}

// mostLiner is the thickest liner that is taken: 30 mm.
const mostLiner quantity.Length = 300

// mostLimbLength is the longest residual limb that is taken: 1 m.
const mostLimbLength quantity.Length = 10000

// parseLimb reads what was typed of one limb. It also names the parts that were
// left empty without a reason, each by the field of its reason.
func parseLimb(r *form.Reader, l limbLayout) (seen models.CheckinLimb, empty []string) {
	p := l.prefix()
	seen = models.CheckinLimb{LimbID: l.Limb.ID}
	if l.Plan != nil {
		seen.PlanID = &l.Plan.ID
	}
	if l.Cover != nil {
		seen.CoverID = &l.Cover.ID
	}
	if l.Prosthesis != nil {
		seen.ProsthesisID = &l.Prosthesis.ID
	}
	seen.Shoe = r.Text(p+"shoe", longestLine)
	seen.LinerType = r.Text(p+"liner", longestLine)
	seen.LinerThickness = r.Length(p+"liner_thickness", quantity.Millimetre, 0, mostLiner)
	part := func(name string, done bool, into *models.NotDone) {
		reasons := models.NotDoneReasons
		if name == "skin" {
			reasons = skinReasons
		}
		*into = form.Choice(r, p+name+"_not_done", reasons)
		switch {
		case done && *into != models.Done:
			r.Add(p+name+"_not_done", "checkin.done-and-not", nil)
		case !done && *into == models.Done:
			empty = append(empty, p+name+"_not_done")
		}
	}
	var said bool
	seen.Socks, said = parseSocks(r, p)
	part("socks", said, &seen.SocksNotDone)
	if l.Cover != nil || l.Prosthesis != nil {
		seen.Functions = parseFunctions(r, p)
		part("function", len(seen.Functions) > 0, &seen.FunctionNotDone)
	}
	if l.Cover != nil {
		seen.Clearances = parseClearances(r, l, seen.Shoe)
		if len(l.Cover.Stations) > 0 {
			part("clearance", len(seen.Clearances) > 0, &seen.ClearanceNotDone)
		}
		seen.Attachments = parseAttachments(r, l)
	}
	parseOff(r, p, &seen)
	seen.Skin = parseSkin(r, p+"skin", models.OnDoffing)
	none := r.Bool(p + "skin_none")
	if none && len(seen.Skin) > 0 {
		r.Add(p+"skin_none", "checkin.none-and-some", nil)
	}
	part("skin", none || len(seen.Skin) > 0, &seen.SkinNotDone)
	seen.Skin = append(seen.Skin, parseSkin(r, p+"again", models.AfterTape)...)
	empty = append(empty, parseTape(r, l, &seen)...)
	refuseUnseenSkin(r, p, seen)
	return seen, empty
}

// skinReasons are the reasons not to look at the skin. Skin itself is none: what
// is seen on it is recorded.
var skinReasons = slices.DeleteFunc(slices.Clone(models.NotDoneReasons), func(why models.NotDone) bool { return why == models.OpenSkin })

// refuseUnseenSkin refuses skin as the reason not to tape while no sign is
// recorded: nobody would hear of what kept the fitter from taping.
func refuseUnseenSkin(r *form.Reader, p string, seen models.CheckinLimb) {
	if len(seen.Skin) > 0 {
		return
	}
	if seen.ResidualNotDone == models.OpenSkin {
		r.Add(p+notDoneField(quantity.Residual), "checkin.skin-first", nil)
	}
	if seen.SecondNotDone == models.OpenSkin {
		r.Add(p+notDoneField(secondRound), "checkin.skin-first", nil)
	}
	if seen.SoundNotDone == models.OpenSkin {
		r.Add(p+notDoneField(quantity.Sound), "checkin.skin-first", nil)
	}
}

// parseSocks reads the three stacks. said tells whether anybody spoke of socks
// at all: no sock worn is an answer of its own.
func parseSocks(r *form.Reader, p string) (socks []models.Sock, said bool) {
	for _, occasion := range models.SockOccasions {
		for i := range sockRows {
			field := sockField(p, occasion, i+1)
			ply := r.Int(field+".ply", 0, mostPly)
			material := form.Choice(r, field+".material", sockMaterials)
			worn := r.Bool(field + ".worn")
			switch {
			case ply != nil:
				socks = append(socks, models.Sock{Occasion: occasion, Ply: *ply, Material: material, Worn: worn})
			case (material != "" || worn) && r.Empty(field+".ply"):
				r.Add(field+".ply", "checkin.ply-missing", nil)
			}
		}
	}
	none := r.Bool(p + "socks_none")
	for _, sock := range socks {
		if none && sock.Occasion == models.SocksNow {
			r.Add(p+"socks_none", "checkin.none-and-socks", nil)
			break
		}
	}
	return socks, none || len(socks) > 0
}

func sockField(prefix string, occasion models.SockOccasion, row int) string {
	return prefix + "sock." + string(occasion) + "." + strconv.Itoa(row)
}

func parseFunctions(r *form.Reader, p string) []models.FunctionCheck {
	var checks []models.FunctionCheck
	for _, check := range models.FunctionChecks {
		answer := form.Choice(r, p+"check."+check, models.CheckAnswers)
		note := r.Text(p+"check."+check+".note", longestLine)
		switch {
		case answer != "":
			checks = append(checks, models.FunctionCheck{Check: check, Answer: answer, Note: note})
		case note != "":
			r.Add(p+"check."+check, "checkin.note-without-answer", nil)
		}
	}
	return checks
}

// seenAtStation are the answers at a station without a figure.
var seenAtStation = []string{
	string(quantity.Contact), string(quantity.NoContact), string(quantity.PolishMark), string(quantity.NotReachable),
}

// readingMethods are the ways to read a figure at a station.
var readingMethods = []quantity.ClearanceMethod{quantity.Feeler, quantity.Putty, quantity.WitnessMark}

func parseClearances(r *form.Reader, l limbLayout, shoe string) []models.ClearanceReading {
	var readings []models.ClearanceReading
	for _, s := range l.Cover.Stations {
		field := l.prefix() + "station." + s.ID
		gap := r.Gap(field + ".gap")
		seen := form.Choice(r, field+".touch", seenAtStation)
		method := form.Choice(r, field+".method", readingMethods)
		if gap == nil && seen == "" {
			continue
		}
		reading := models.ClearanceReading{StationID: s.ID, Posture: s.Posture, Method: method, Gap: gap, Shoe: shoe}
		switch {
		case seen == string(quantity.NotReachable):
			reading.Method = quantity.NotReachable
			if gap != nil {
				r.Add(field+".gap", "checkin.gap-not-reachable", nil)
			}
		case seen != "":
			reading.Touch = quantity.Touch(seen)
			if reading.Touch == quantity.Contact && gap != nil && *gap > 0 {
				r.Add(field+".gap", "checkin.gap-and-contact", nil)
			}
		}
		if reading.Method == "" && gap != nil {
			reading.Method = quantity.Feeler
		} else if reading.Method == "" {
			reading.Method = quantity.WitnessMark
		}
		readings = append(readings, reading)
	}
	return readings
}

func parseAttachments(r *form.Reader, l limbLayout) []models.AttachmentSeen {
	var seen []models.AttachmentSeen
	for _, a := range l.Cover.Attachments {
		if state := form.Choice(r, l.prefix()+"attachment."+a.ID, models.AttachmentStates); state != "" {
			seen = append(seen, models.AttachmentSeen{AttachmentID: a.ID, State: state})
		}
	}
	return seen
}

// parseOff reads the clock: when the prosthesis came off and when the first
// reading was taken, both on the day of the visit. A first reading that is
// earlier by the clock than the taking off was taken after midnight.
func parseOff(r *form.Reader, p string, seen *models.CheckinLimb) {
	seen.DoffedAt = timeOfVisit(r, p+"doffed", whenMeasured(r))
	seen.FirstReadingAt, seen.MinutesOff = readingAfter(r, p+"first_reading", seen.DoffedAt)
}

// readingAfter reads when a round began, and the minutes since the prosthesis came
// off.
func readingAfter(r *form.Reader, field string, doffed *time.Time) (began *time.Time, minutesOff *float64) {
	if doffed == nil {
		return timeOfVisit(r, field, whenMeasured(r)), nil
	}
	if began = timeOfVisit(r, field, *doffed); began == nil {
		return nil, nil
	}
	off := began.Sub(*doffed)
	if off < -12*time.Hour {
		next := began.Add(24 * time.Hour)
		began, off = &next, off+24*time.Hour
	}
	if off < 0 {
		no, _ := splitLimb(field)
		r.Add(field, "checkin.first-before-off", map[string]any{"First": r.Typed(field), "Off": r.Typed(limbPrefix(no) + "doffed")})
		return began, nil
	}
	minutes := off.Minutes()
	return began, &minutes
}

// parseSkin reads the rows of what was seen on the skin.
func parseSkin(r *form.Reader, field string, moment models.SkinMoment) []models.SkinFinding {
	var findings []models.SkinFinding
	for i := range skinRows {
		row := field + "." + strconv.Itoa(i+1)
		sign := form.Choice(r, row+".sign", models.SkinSigns)
		place, note := r.Text(row+".place", longestLine), r.Text(row+".note", longestLine)
		switch {
		case sign != "" && r.Empty(row+".place"):
			r.Add(row+".place", "checkin.place-missing", nil)
		case sign == "" && (place != "" || note != ""):
			r.Add(row+".sign", "checkin.sign-missing", nil)
		}
		if sign != "" {
			findings = append(findings, models.SkinFinding{Moment: moment, Place: place, Sign: sign, Note: note})
		}
	}
	return findings
}
