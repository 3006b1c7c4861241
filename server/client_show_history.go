package server

import (
	"cmp"
	"slices"
	"time"

	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/followup"
)

// historySection is what happened and what was decided, newest first.
type historySection struct {
	Heading     string
	First, More []historyLine
}

// historyLine is one sentence with its date, and a link to what it is about.
type historyLine struct {
	On, Sentence, More string
	Link, LinkLabel    string
	at                 time.Time
}

// linesInSight is how many sentences of the history stand open.
const linesInSight = 10

func (m sheetMaker) history() historySection {
	var lines []historyLine
	for _, at := range m.view.Visits {
		lines = append(lines, m.visitLine(at))
	}
	for _, e := range m.view.Record.Events {
		lines = append(lines, m.eventLine(e))
	}
	for _, change := range m.team {
		lines = append(lines, m.teamLine(change))
	}
	for _, f := range m.flags {
		lines = append(lines, m.flagLines(f)...)
	}
	lines = append(lines, m.limitLines()...)
	slices.Reverse(lines) // of one moment what came last stands first
	slices.SortStableFunc(lines, func(a, b historyLine) int { return cmp.Compare(b.at.Unix(), a.at.Unix()) })
	told := map[historyLine]bool{}
	lines = slices.DeleteFunc(lines, func(l historyLine) bool { // what was done about several flags at once stands at each
		l.at = l.at.Truncate(time.Second)
		again := told[l]
		told[l] = true
		return again
	})
	h := historySection{Heading: m.historyHeading(), First: lines}
	if len(lines) > linesInSight {
		h.First, h.More = lines[:linesInSight], lines[linesInSight:]
	}
	return h
}

// historyHeading counts what there is.
func (m sheetMaker) historyHeading() string {
	closed := 0
	for _, f := range m.flags {
		if f.ClosedAt != nil {
			closed++
		}
	}
	n := len(m.view.Visits)
	if n == 0 {
		return m.text("follow.history.none")
	}
	visits := m.text("follow.history.visits", "Count", n, "Number", upperFirst(m.count(n)))
	if closed == 0 {
		return m.text("follow.history.heading", "Visits", visits)
	}
	return m.text("follow.history.heading-closed", "Visits", visits,
		"Flags", m.text("follow.history.closed", "Count", closed, "Number", m.count(closed)))
}

func (m sheetMaker) visitLine(at followup.VisitView) historyLine {
	line := historyLine{
		On: m.date(at.Assessed.On), at: at.Checkin.MeasuredAt,
		Link: clientPath(m.client) + "/checkins/" + at.Checkin.ID, LinkLabel: m.text("follow.history.see"),
		Sentence: m.text("follow.history.visit", "Kind", upperFirst(m.word("checkin-kind", string(at.Checkin.Kind))), "By", m.people[at.Checkin.MeasuredBy]),
	}
	if at.Checkin.Number > 1 {
		line.More = m.text("follow.history.corrected", "Number", at.Checkin.Number, "Reason", at.Checkin.Reason)
	} else if quantity.DateOf(at.Checkin.EnteredAt.In(at.Local.Location())) != at.Assessed.On {
		line.More = m.text("follow.history.entered", "On", m.date(m.onDay(at.Checkin.EnteredAt)), "By", m.people[at.Checkin.EnteredBy])
	}
	if at.Checkin.Talk != "" {
		line.More = joinSentences(line.More, m.text("follow.history.talk", "Talk", at.Checkin.Talk))
	}
	if at.Checkin.Notes != "" {
		line.More = joinSentences(line.More, at.Checkin.Notes)
	}
	return line
}

func (m sheetMaker) eventLine(e models.Event) historyLine {
	at, _ := e.On.Time()
	line := historyLine{On: m.date(e.On), at: at, Sentence: upperFirst(m.word("event-kind", string(e.Kind))) + ".", More: e.What}
	if e.DoneBy != "" {
		line.Sentence = m.text("follow.history.event-by", "Kind", upperFirst(m.word("event-kind", string(e.Kind))), "By", e.DoneBy)
	}
	return line
}

// flagLines tells the history of a flag. What was done about it leads to what it
// rests on, all else to the flag.
func (m sheetMaker) flagLines(f models.Flag) []historyLine {
	teller := m.teller()
	var lines []historyLine
	for _, told := range teller.told(f, m.claimOf(f)) {
		line := historyLine{On: teller.day(told.at), at: told.at, Link: flagPath(f), LinkLabel: m.text("follow.evidence"), Sentence: told.Short}
		if told.Link != "" {
			line.Link, line.LinkLabel = told.Link, told.LinkLabel
		}
		lines = append(lines, line)
	}
	return lines
}

// teller tells the history of the limb's flags.
func (m sheetMaker) teller() flagTeller {
	return flagTeller{sayer: m.sayer, people: m.people, around: m.around, zone: m.zone}
}

// onDay is the day at the workshop.
func (m sheetMaker) onDay(at time.Time) quantity.Date { return quantity.DateOf(at.In(m.zone)) }

func joinSentences(a, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + " " + b
}
