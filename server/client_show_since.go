package server

import (
	"slices"

	"fairlead/analytics/quantity"
	"fairlead/server/followup"
)

// sinceChoice chooses the visit that changes are counted from.
type sinceChoice struct {
	LimbID  string
	Value   string
	Options []Option
}

// since says what changes are counted from: "since this cover was delivered".
func (m sheetMaker) since() string { return m.text("follow.since", "When", m.sinceWhen(m.view.Since)) }

func (m sheetMaker) sinceWhen(r followup.Reference) string {
	if slices.Contains(followup.References, r) {
		_, id := m.view.Record.Choose(r)
		for _, at := range m.view.Visits {
			if at.Checkin.ID == id && laterThanAccepted(m.view.Record, r, at.Assessed.On) {
				return m.text("follow.since-after-accepted")
			}
		}
		return m.word("reference", string(r))
	}
	if m.view.Reference != nil {
		return m.date(m.view.Reference.Assessed.On)
	}
	return m.word("reference", string(followup.SinceFirst))
}

// laterThanAccepted tells whether changes are counted from a visit after the day
// on which the socket was accepted, because nobody taped the limb on that day.
func laterThanAccepted(l followup.LimbRecord, r followup.Reference, on quantity.Date) bool {
	return r == followup.SinceAccepted && l.Prosthesis != nil && on > l.Prosthesis.SocketAcceptedOn
}

func (m sheetMaker) sinceChoice() sinceChoice {
	choice := sinceChoice{LimbID: m.view.Record.Limb.ID, Value: string(m.view.Since)}
	for _, r := range m.view.Offered {
		choice.Options = append(choice.Options, Option{Value: string(r), Label: m.sinceWhen(r)})
	}
	for i := len(m.view.Visits) - 1; i >= 0; i-- {
		if at := m.view.Visits[i]; at.Volume != nil {
			choice.Options = append(choice.Options, Option{Value: at.Checkin.ID, Label: m.date(at.Assessed.On)})
		}
	}
	return choice
}
