package server

import (
	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/form"
)

// The rows of attachment points that a cover can have, those on a new form, and
// how many rows a press of a button adds.
const (
	mostAttachments  = 40
	usualAttachments = 3
	rowsAdded        = 4
)

// thickestWall is the thickest wall of a cover that is taken: 50 mm (common
// practice, no source).
const thickestWall quantity.Length = 500

var coverWording = wording{
	form: "cover",
	kinds: map[string]string{
		"state": "cover-state", "attachment-state": "attachment-state", "station-direction": "direction",
		"station-posture": "posture", "station-neighbour": "neighbour", "station-every": "tick",
	},
	ids: map[string]string{
		"walk_upper": "cover.walk-upper", "walk_lower": "cover.walk-lower", "walk_joint": "cover.walk-joint", "walk_foot": "cover.walk-foot",
	},
	rows: map[string]string{"attachment": "cover.attachment-row", "station": "station.row"},
}

// typedCover is a cover as it stands in the form.
func typedCover(who models.Person, cover models.Cover) map[string]string {
	typed := map[string]string{
		"material": cover.Material, "wall": typedMM(who, cover.Wall), "delivered_on": string(cover.DeliveredOn),
		"state": string(cover.State), "version": version(cover.Version), "stations": version(len(cover.Stations)),
	}
	for i, a := range cover.Attachments {
		typed[rowField("attachment", i, "id")] = a.ID
		typed[rowField("attachment", i, "name")] = a.Name
		typed[rowField("attachment", i, "state")] = string(a.State)
	}
	spare := usualAttachments
	if len(cover.Attachments) > 0 {
		spare = len(cover.Attachments) + 1
	}
	typed["attachments"] = version(min(spare, mostAttachments))
	putStations(who, typed, 0, cover.Stations)
	return typed
}

// readCover reads the form into a cover of the limb. by is who typed it, today.
func readCover(r *form.Reader, before models.Cover, l models.Limb, by signer) models.Cover {
	cover := before
	cover.LimbID = l.ID
	cover.Material = r.RequiredText("material", longestLine)
	cover.Wall = r.Length("wall", quantity.Millimetre, 1, thickestWall)
	cover.DeliveredOn = r.DateNotFuture("delivered_on")
	if cover.DeliveredOn != "" && cover.DeliveredOn < l.AmputatedOn {
		r.Add("delivered_on", "problem.before-amputation", map[string]any{"Amputated": string(l.AmputatedOn)})
	}
	cover.State = form.RequiredChoice(r, "state", models.CoverStates)
	cover.Version = readVersion(r)
	cover.Attachments = readAttachments(r, before)
	stored := make(map[string]models.Station, len(before.Stations))
	for _, st := range before.Stations {
		stored[st.ID] = st
	}
	cover.Stations = stationRows{
		r: r, before: stored, postures: quantity.PosturesOf(l.Level), by: by, delivered: cover.DeliveredOn,
	}.read(formRows(r, "stations", mostStations))
	return cover
}

// readAttachments reads the rows of attachment points. A row that is empty, or
// that is ticked to be left out, is none.
func readAttachments(r *form.Reader, before models.Cover) []models.Attachment {
	stored := make(map[string]bool, len(before.Attachments))
	for _, a := range before.Attachments {
		stored[a.ID] = true
	}
	var attachments []models.Attachment
	for i := range formRows(r, "attachments", mostAttachments) {
		id, name, state := rowField("attachment", i, "id"), rowField("attachment", i, "name"), rowField("attachment", i, "state")
		if r.Bool(rowField("attachment", i, "out")) || r.Empty(name) && r.Empty(id) {
			continue
		}
		a := models.Attachment{Name: r.RequiredText(name, longestName), Ordinal: len(attachments) + 1}
		a.State = form.RequiredChoice(r, state, models.AttachmentStates)
		if stored[r.Typed(id)] {
			a.ID = r.Typed(id)
		}
		attachments = append(attachments, a)
	}
	return attachments
}

// formRows is rowCount of what a reader reads.
func formRows(r *form.Reader, field string, most int) int {
	return rowCount(map[string]string{field: r.Typed(field)}, field, most)
}
