package server

import (
	"fairlead/analytics/assess"
	"fairlead/analytics/clearance"
	"fairlead/analytics/volume"
	"fairlead/server/followup"
)

// answerView is one of the first answers: the figure, its interval, its
// sentence. Without a figure the sentence says why.
type answerView struct {
	What     string
	Figure   string
	Interval string
	Sentence string
}

// answers say how limb and cover are now.
func (m sheetMaker) answers() []answerView {
	return []answerView{m.coverAnswer(), m.volumeAnswer(), m.roomAnswer(), m.comfortAnswer()}
}

func (m sheetMaker) coverAnswer() answerView {
	tightest := m.view.Tightest()
	if tightest == nil {
		return answerView{What: m.text("follow.answer.cover"), Sentence: m.text(m.noGap()) + "."}
	}
	now, station := *tightest.Now, tightest.Station
	a := answerView{What: m.text("follow.answer.cover-to", "Neighbour", m.word("neighbour", string(station.Neighbour)))}
	place := upperFirst(m.station(station.Direction, station.LevelMM, station.Posture)) + "."
	switch {
	case now.State == clearance.Touching:
		a.Figure, a.Sentence = m.text("follow.contact"), place
	case now.AsBuilt:
		a.Figure, a.Interval = m.gap(now.GapMM), m.plusMinus(now.UMM, 1)
		a.Sentence = place + " " + m.text("follow.answer.accepted", "Gap", m.limitMM(*station.AsBuiltMM))
	default:
		a.Figure, a.Interval = m.gap(now.GapMM), m.plusMinus(now.UMM, 1)
		a.Sentence = place + " " + m.againstLimit(now.State, station)
	}
	a.Sentence += m.notToday(now.CheckinID)
	return a
}

// againstLimit says a gap's state and the limit that decided it.
func (m sheetMaker) againstLimit(state clearance.State, st assess.Station) string {
	limit, set := st.Limits().WarnMM, st.WarnMM
	if state == clearance.BelowAct {
		limit, set = st.Limits().ActMM, st.ActMM
	}
	said := m.text("follow.answer.state."+string(state), "Limit", m.limitMM(limit))
	if set == nil {
		said += " " + m.text("follow.answer.starting")
	}
	return said
}

// noGap is why there is no gap to tell.
func (m sheetMaker) noGap() string {
	switch {
	case m.view.Record.Cover == nil:
		return "follow.answer.no-cover"
	case len(m.view.Record.Cover.Stations) == 0:
		return "follow.answer.no-station"
	}
	return "follow.answer.no-gap"
}

// notToday says when a figure was measured, where that is not the newest visit.
func (m sheetMaker) notToday(checkinID string) string {
	if m.view.Last == nil || m.view.Last.Checkin.ID == checkinID {
		return ""
	}
	for _, at := range m.view.Visits {
		if at.Checkin.ID == checkinID {
			return " " + m.text("follow.answer.measured", "On", m.date(at.Assessed.On))
		}
	}
	return ""
}

func (m sheetMaker) volumeAnswer() answerView {
	a := answerView{What: m.text("follow.answer.volume", "Since", m.since())}
	taped := m.view.Taped
	switch {
	case !m.view.History.Limb.Level.HasCone():
		a.What, a.Sentence = m.text("follow.answer.volume-alone"), m.text("follow.volume.no-cone")+"."
		return a
	case taped == nil:
		a.What, a.Sentence = m.text("follow.answer.volume-alone"), m.text("follow.volume.none")+"."
		return a
	case taped.Change == nil:
		a.What = m.text("follow.answer.volume-alone")
		a.Figure, a.Interval = m.millilitres(taped.Volume.VolumeML), m.plusMinus(taped.Volume.UML, 0)
		a.Sentence = m.text("follow.volume.one")
	case !taped.Change.Comparable:
		a.Figure, a.Sentence = m.text("follow.not-comparable"), m.notComparable(taped.Change.Why.Code)
	case m.view.Judged():
		m.judgedAnswer(&a)
	default:
		change := *taped.Change
		a.Figure, a.Interval = m.percentChange(change.ChangePercent), m.interval95(change.LoPercent, change.HiPercent)
		a.Sentence = m.verdict(change.Verdict)
		if m.view.Before != nil && m.view.Before.Comparable {
			a.Sentence += " " + m.text("follow.answer.before", "Change", m.percentChange(m.view.Before.ChangePercent))
		}
	}
	a.Sentence += m.notToday(taped.Checkin.ID)
	return a
}

// judgedAnswer is the change by all visits together, with that of the two measurements
// by themselves; the other way round where the rules hold on to these.
func (m sheetMaker) judgedAnswer(a *answerView) {
	change, two := m.view.Course.Result.Change, *m.view.Taped.Change
	if m.judgedCode() == saidTwice {
		a.Figure, a.Interval = m.percentChange(two.ChangePercent), m.interval95(two.LoPercent, two.HiPercent)
		a.Sentence = m.verdict(two.Verdict) + " " + m.text("follow.course.answer.against", "Change", m.percentChange(change.Estimate))
		return
	}
	a.Figure, a.Interval = m.percentChange(change.Estimate), m.interval95(change.Lo, change.Hi)
	a.Sentence = m.text("follow.course.answer." + m.wayOf(change))
	if two.Comparable {
		a.Sentence += " " + m.text("follow.course.answer.alone", "Change", m.percentChange(two.ChangePercent))
	}
}

// verdictCode is a verdict as it stands in the ids of texts.
func verdictCode(v volume.Verdict) string {
	if code, ok := verdictCodes[v]; ok {
		return code
	}
	return "not-comparable"
}

func (y sayer) verdict(v volume.Verdict) string { return y.text("follow.verdict." + verdictCode(v)) }

func (m sheetMaker) millilitres(ml float64) string { return m.decimal(ml, 0) + narrow + "mL" }

func (m sheetMaker) roomAnswer() answerView {
	a := answerView{What: m.text("follow.answer.room")}
	if !m.view.History.Limb.Level.HasCone() {
		a.Sentence = m.text("follow.room.no-cone")
		return a
	}
	if m.view.NoRoom != "" {
		a.Sentence = m.text("follow.no-room." + string(m.view.NoRoom))
		return a
	}
	mean := m.view.Room.Mean
	a.Figure, a.Interval = m.change(mean.RoomMM)+narrow+"mm", m.interval95(mean.LoMM, mean.HiMM)
	a.Sentence = m.text("follow.room.within", "On", m.date(m.view.Room.Since.On))
	switch {
	case m.view.Room.Beyond() && mean.RoomMM > 0:
		a.Sentence = m.text("follow.room.more", "On", m.date(m.view.Room.Since.On))
	case m.view.Room.Beyond():
		a.Sentence = m.text("follow.room.less", "On", m.date(m.view.Room.Since.On))
	}
	a.Sentence += m.notToday(m.view.Taped.Checkin.ID)
	return a
}

func (m sheetMaker) comfortAnswer() answerView {
	a := answerView{What: m.text("follow.answer.comfort")}
	now := m.lastWithComfort(len(m.view.Visits))
	if now < 0 {
		a.Sentence = m.text("follow.comfort.none")
		return a
	}
	at := m.view.Visits[now]
	a.Figure = m.decimal(float64(*at.Assessed.Comfort), 0)
	a.Interval = m.text("follow.comfort.of-ten")
	if before := m.comfortBefore(now); before != nil {
		a.Interval = m.text("follow.comfort.was", "Then", *before.Assessed.Comfort)
		a.Sentence = m.text("follow.comfort.then-on", "On", m.date(before.Assessed.On))
	}
	if pain := at.Assessed.WorstPain; pain != nil {
		a.Sentence += " " + m.text("follow.comfort.pain", "Pain", *pain)
	}
	a.Sentence += m.notToday(at.Checkin.ID)
	return a
}

// lastWithComfort is the index of the last visit before another that has a
// comfort rating, or −1.
func (m sheetMaker) lastWithComfort(before int) int {
	for i := before - 1; i >= 0; i-- {
		if m.view.Visits[i].Assessed.Comfort != nil {
			return i
		}
	}
	return -1
}

// comfortBefore is the rating to compare with: that of the reference visit, or
// of the visit before.
func (m sheetMaker) comfortBefore(now int) *followup.VisitView {
	if ref := m.view.Reference; ref != nil && ref.Assessed.Comfort != nil && ref.Checkin.ID != m.view.Visits[now].Checkin.ID {
		return ref
	}
	if i := m.lastWithComfort(now); i >= 0 {
		return &m.view.Visits[i]
	}
	return nil
}
