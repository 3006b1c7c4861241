package server

import (
	"slices"
	"strings"

	"fairlead/models"
	"fairlead/server/followup"
)

// sinceReview is what came since the last signature.
type sinceReview struct {
	Lede     string
	Link     string // of the last review
	Checkins []sinceCheckin
	More     []sinceCheckin
	Lines    []historyLine
}

// sinceCheckin is a check-in with its main figures.
type sinceCheckin struct {
	On, Kind, By, Link         string
	Change, Interval, Note     string
	Socks, Comfort, Pain, Feel string
}

func (m sheetMaker) sinceReview(b followup.ReviewBasis) sinceReview {
	since := b.Since()
	said := sinceReview{Lede: m.text("review.since-never")}
	if last := b.Last(); last != nil {
		said.Lede = m.text("review.since", "On", m.date(m.onDay(last.SignedAt)), "By", last.Signer(), "Number", last.Number)
		said.Link = signedPath(*last)
	}
	for _, at := range slices.Backward(m.view.Visits) {
		if !slices.ContainsFunc(since.Checkins, func(c models.Checkin) bool { return c.ID == at.Checkin.ID }) {
			continue
		}
		if line := m.sinceCheckin(at); len(said.Checkins) < rowsInSight {
			said.Checkins = append(said.Checkins, line)
		} else {
			said.More = append(said.More, line)
		}
	}
	said.Lines = m.sinceLines(b, since)
	if b.Last() != nil && len(said.Checkins)+len(said.Lines) == 0 {
		said.Lede = joinSentences(said.Lede, m.text("review.since-nothing"))
	}
	return said
}

func (m sheetMaker) sinceCheckin(at followup.VisitView) sinceCheckin {
	line := sinceCheckin{
		On: m.date(at.Assessed.On), Kind: upperFirst(m.word("checkin-kind", string(at.Checkin.Kind))), By: m.people[at.Checkin.MeasuredBy],
		Link: checkinPath(at.Checkin.ClientID, at.Checkin.ID),
	}
	if at.Checkin.Number > 1 {
		line.Note = m.text("follow.history.corrected", "Number", at.Checkin.Number, "Reason", at.Checkin.Reason)
	}
	if v := m.courseVisit(at); v.Residual != nil {
		line.Change, line.Interval = v.Residual.Words, ""
		if at.Change != nil {
			line.Interval = m.interval95(at.Change.LoPercent, at.Change.HiPercent)
		}
	} else {
		line.Change = v.Note
	}
	worn := m.wearLine(at)
	line.Socks, line.Comfort, line.Pain, line.Feel = worn.Now, worn.Comfort, worn.Pain, worn.Looseness
	return line
}

// sinceLines are the other things since the last signature, in sentences.
func (m sheetMaker) sinceLines(b followup.ReviewBasis, since followup.SinceReview) []historyLine {
	var lines []historyLine
	for _, e := range since.Events {
		lines = append(lines, m.eventLine(e))
	}
	for _, r := range since.Reports {
		lines = append(lines, historyLine{
			On: m.date(m.onDay(r.SentAt)), at: r.SentAt, Sentence: m.text("review.since-report", "Number", r.Number), More: m.reportInShort(r.Said),
			Link: reportPath(r.ClientID, r.ID), LinkLabel: m.text("review.see-report"),
		})
	}
	for _, f := range since.Opened {
		lines = append(lines, historyLine{
			On: m.date(m.onDay(f.OpenedAt)), at: f.OpenedAt, Link: flagPath(f), LinkLabel: m.text("follow.evidence"),
			Sentence: m.text("follow.history.opened", "Claim", m.claimAtOpening(f)),
		})
	}
	for _, f := range since.Closed {
		lines = append(lines, historyLine{
			On: m.date(m.onDay(*f.ClosedAt)), at: *f.ClosedAt, Link: flagPath(f), LinkLabel: m.text("follow.evidence"),
			Sentence: m.teller().closing(f).Short,
		})
	}
	for i := range since.Letters {
		d := followup.Decided{Letter: &since.Letters[i]}
		lines = append(lines, historyLine{
			On: m.date(m.onDay(d.At())), at: d.At(), Sentence: m.decidedSayer().by(d) + ":",
			More: strings.Join(m.decisions(d.Decisions()), " "), Link: decidedPath(d), LinkLabel: m.text("handover.see"),
		})
	}
	for _, l := range since.Limits {
		at, _ := l.SetOn.Time()
		lines = append(lines, historyLine{On: m.date(l.SetOn), at: at, Sentence: m.text("review.since-limits", "Origin", m.limitsOrigin(l)), More: l.Reason})
	}
	slices.SortStableFunc(lines, func(a, b historyLine) int { return b.at.Compare(a.at) })
	return lines
}
