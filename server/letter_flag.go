package server

import (
	"math"

	"fairlead/analytics/assess"
	"fairlead/models"
)

// letterFlag is one flag that was handed over: what was found, the figures it
// rests on, the limit and who set it.
type letterFlag struct {
	saidFinding
	Since   string
	Today   bool // a clinician is to hear of it today
	Figures []letterFigure
}

// letterFigure is a figure with its unit and half of its 95 % interval, or the
// limit with who set it.
type letterFigure struct{ Name, Value string }

func (m sheetMaker) letterFlag(f models.Flag) letterFlag {
	said := letterFlag{saidFinding: m.flag(f), Since: m.text("flag.open", "On", m.date(m.onDay(f.OpenedAt))), Today: isNow(f)}
	if f.ClosedAt != nil {
		said.Since = m.teller().closed(f)
	}
	found, ok := newestFinding(f)
	if !ok {
		return said
	}
	for _, v := range found.Values {
		v = m.withVolumeError(found, v)
		said.Figures = append(said.Figures, letterFigure{m.text("figure." + v.Name), m.withError(v)})
	}
	if found.Limit != nil {
		limit := m.limitLine(found)
		if found.Limit.Unit == assess.Points {
			limit.Value = m.text("letter.points", "Count", int(found.Limit.Value))
		}
		said.Figures = append(said.Figures, letterFigure{limit.Name, m.text("letter.limit", "Limit", limit.Value, "By", limit.Interval)})
	}
	return said
}

// withVolumeError gives a volume that a finding compared the uncertainty of that
// visit, where the visit's own volume is the same one, of the same span.
func (m sheetMaker) withVolumeError(f assess.Finding, v assess.Value) assess.Value {
	of := map[string]string{"then-volume": f.AgainstVisitID, "now-volume": f.VisitID}[v.Name]
	for _, at := range m.view.Visits {
		if of != "" && at.Assessed.ID == of && at.Volume != nil && math.Abs(at.Volume.VolumeML-v.Value) < 0.05 {
			v.U = &at.Volume.UML
		}
	}
	return v
}

// decimalsOf are those that a figure of a unit is read to on paper.
var decimalsOf = map[assess.Unit]int{assess.MM: 1, assess.Percent: 1, assess.PercentPerMonth: 1}

// withError says a figure with its unit and its 95 % interval; one that carries no
// uncertainty, such as a count or a rating, stands alone. A change has its sign.
func (y sayer) withError(v assess.Value) string {
	switch {
	case v.Name == "looseness":
		return y.looseness(int(v.Value))
	case v.Unit == assess.Points:
		return y.text("letter.of-ten", "Rating", y.short(v.Value))
	}
	decimals := decimalsOf[v.Unit]
	said := y.short(v.Value)
	if v.U != nil || v.Lo != nil || v.Unit == assess.ML {
		said = y.decimal(v.Value, decimals)
	}
	if (v.Lo != nil || v.Name == "change-volume") && v.Value > 0 {
		said = "+" + said
	}
	if v.Unit != assess.Count {
		said += narrow + string(v.Unit)
	}
	switch {
	case v.Lo != nil && v.Hi != nil:
		return y.text("letter.interval", "Value", said, "Half", y.decimal((*v.Hi-*v.Lo)/2, decimals), "Interval", y.interval(*v.Lo, *v.Hi))
	case v.U != nil:
		return y.text("letter.half", "Value", said, "Half", y.half95(*v.U, decimals))
	}
	return said
}

// letterReport is what a client reported, in short.
type letterReport struct {
	On, Number string
	Safety     []string
	NoPhone    bool
	Facts      []reportFact
	Text       string
}

func (m sheetMaker) letterReport(r models.Report) letterReport {
	said := letterReport{
		On: m.moment(r.SentAt, m.zone), Number: r.Number, NoPhone: r.Said.CannotPhone, Facts: m.reportFacts(r.Said), Text: r.Said.Text,
	}
	for _, sign := range r.Said.Safety {
		said.Safety = append(said.Safety, upperFirst(m.text("reported.safety."+sign)))
	}
	return said
}

// letterBox is something that the answer can say, with a line to write on or
// without.
type letterBox struct {
	Label string
	Line  bool
}

// letterBoxes are the answers in the words of a review's decisions, each with a
// line where it takes a date or a figure.
func (m sheetMaker) letterBoxes() []letterBox {
	return []letterBox{
		{Label: m.text("letter.box.no-change")},
		{Label: m.text("letter.box.adjust"), Line: true},
		{Label: m.text("letter.box.do-not-wear")},
		{Label: m.text("letter.box.cover-off"), Line: true},
		{Label: m.text("letter.box.socks"), Line: true},
		{Label: m.text("letter.box.limits-confirmed")},
		{Label: m.text("letter.box.limits-changed"), Line: true},
		{Label: m.text("letter.box.look-again"), Line: true},
		{Label: m.text("letter.box.refer"), Line: true},
		{Label: m.text("letter.box.other"), Line: true},
	}
}
