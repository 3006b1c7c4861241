package server

import (
	"fairlead/models"
	"fairlead/server/followup"
)

// letterVisits is the table of the newest visits.
type letterVisits struct {
	Lede    string
	Earlier int    // visits that the letter leaves out
	Volumes bool   // some visit has a volume
	Whose   string // uncertainties the volumes have; empty without one
	Lines   []letterVisit
}

// letterVisit is one visit: the volume of the residual limb with half of its 95 %
// interval, and its change since the reference.
type letterVisit struct{ On, Kind, By, Span, Volume, Change, Interval, Verdict string }

func (m sheetMaker) letterVisits() letterVisits {
	v := letterVisits{Lede: m.text("letter.visits-none")}
	for i := len(m.view.Visits) - 1; i >= 0; i-- {
		if len(v.Lines) == letterRows {
			v.Earlier = i + 1
			break
		}
		v.Lines = append(v.Lines, m.letterVisit(m.view.Visits[i]))
		v.Volumes = v.Volumes || m.view.Visits[i].Volume != nil
	}
	switch {
	case len(v.Lines) == 0:
	case !m.view.History.Limb.Level.HasCone():
		v.Lede = m.text("follow.volume.no-cone") + "."
	case !v.Volumes:
		v.Lede = m.text("follow.volume.none") + "."
	default:
		v.Lede = m.text("letter.visits-lede", "Since", m.since(), "Landmark", m.landmark())
		v.Whose = m.whoseTape(m.view.Record.Tape)
	}
	return v
}

func (m sheetMaker) letterVisit(at followup.VisitView) letterVisit {
	line := letterVisit{
		On: m.date(at.Assessed.On), Kind: upperFirst(m.word("checkin-kind", string(at.Checkin.Kind))), By: m.people[at.Checkin.MeasuredBy],
	}
	switch {
	case at.Volume == nil:
		if why := at.LimbVisit.Seen.ResidualNotDone; why != models.Done {
			line.Verdict = upperFirst(m.notDone(why)) + "."
		}
		return line
	case at.IsReference:
		line.Change, line.Verdict = m.text("follow.volume.baseline"), m.text("follow.volume.baseline-note")
	case at.Change == nil:
	case !at.Change.Comparable:
		line.Verdict = m.notComparable(at.Change.Why.Code)
	default:
		line.Change, line.Verdict = m.percentChange(at.Change.ChangePercent), m.verdict(at.Change.Verdict)
		line.Interval = m.interval(at.Change.LoPercent, at.Change.HiPercent) + narrow + "%"
	}
	line.Span = m.text("follow.span", "From", m.bareLength(at.Volume.FromMM), "To", m.length(at.Volume.ToMM))
	line.Volume = m.text("follow.cover.gap", "Gap", m.decimal(at.Volume.VolumeML, 0), "U", m.half95(at.Volume.UML, 0)) + narrow + "mL"
	return line
}
