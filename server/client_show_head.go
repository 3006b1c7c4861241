package server

import (
	"slices"

	"fairlead/analytics/assess"
	"fairlead/models"
)

// finding is the heading of the page: the most urgent that is open, or what the
// newest check-in says while nothing is. It doesn't join limb and cover. What a
// prosthetist holds the client back from stands there until it is lifted, unless
// something is for now.
func (m sheetMaker) finding() string {
	open := m.open()
	if m.held != "" && (len(open) == 0 || open[0].Level != string(assess.Now)) {
		return m.held
	}
	if m.view.Last == nil {
		return m.text("follow.head.no-visit")
	}
	if len(open) == 0 {
		return m.nothingOpen()
	}
	level, count, about := open[0].Level, 0, open[0].About
	for _, f := range open {
		if f.Level != level {
			continue
		}
		count++
		if f.About != about {
			about = "mixed"
		}
	}
	if level == string(assess.Now) {
		return m.text("follow.head.now", "Count", count, "Number", upperFirst(m.count(count)))
	}
	return m.text("follow.head."+level+"-"+about, "Count", count, "Number", upperFirst(m.count(count)))
}

// nothingOpen is the heading while no flag is open. A flag that is closed does not
// bring its value back inside the limits.
func (m sheetMaker) nothingOpen() string {
	switch {
	case len(m.standing) == 0:
		return m.text("follow.head.none")
	case slices.ContainsFunc(m.standing, func(f assess.Finding) bool { return f.Limit != nil }):
		return m.text("follow.head.closed-outside")
	}
	return m.text("follow.head.closed")
}

// standingLines say what the newest check-in finds and no open flag keeps: each with
// who closed its flag, when and why.
func (m sheetMaker) standingLines() []string {
	var lines []string
	open := m.open()
	for _, f := range m.standing {
		if slices.ContainsFunc(open, func(flag models.Flag) bool { return flag.Rule == string(f.Rule) && flag.Place == f.Place }) {
			continue
		}
		claim := m.sayer.finding(f).Claim
		if flag, ok := m.closedFlag(f); ok {
			lines = append(lines, m.text("follow.standing.closed", "Claim", claim, "Closed", lowerFirst(m.teller().closing(flag).Sentence)))
			continue
		}
		lines = append(lines, m.text("follow.standing.none", "Claim", claim))
	}
	return lines
}

// closedFlag is the flag of a finding's rule and place that was closed last.
func (m sheetMaker) closedFlag(f assess.Finding) (last models.Flag, ok bool) {
	for _, flag := range m.flags {
		if flag.Rule == string(f.Rule) && flag.Place == f.Place && flag.ClosedAt != nil && (!ok || flag.ClosedAt.After(*last.ClosedAt)) {
			last, ok = flag, true
		}
	}
	return last, ok
}

// open are the limb's open flags, the most urgent first.
func (m sheetMaker) open() []models.Flag { return openFlags(m.flags) }

func openFlags(flags []models.Flag) []models.Flag {
	return slices.DeleteFunc(slices.Clone(flags), func(f models.Flag) bool { return f.ClosedAt != nil })
}

// meta says whose limb it is in a line.
func (m sheetMaker) meta() []string {
	limb, record := m.view.Record.Limb, m.view.Record
	var said []string
	switch {
	case limb.Origin == models.PresentAtBirth:
		said = append(said, m.word("origin", string(models.PresentAtBirth)))
	case limb.AmputatedOn != "":
		said = append(said, m.text("follow.amputated", "On", m.date(limb.AmputatedOn)))
	}
	if record.Cover != nil && record.Cover.DeliveredOn != "" {
		said = append(said, m.text("follow.cover-delivered", "On", m.date(record.Cover.DeliveredOn)))
	}
	if record.Prosthesis != nil && record.Prosthesis.NoSocket {
		said = append(said, m.text("follow.bone-anchored"))
	}
	if m.client.StillGrowing {
		said = append(said, m.text("follow.still-growing"))
	}
	if m.client.ReducedFeeling {
		said = append(said, m.text("follow.reduced-feeling"))
	}
	return said
}
