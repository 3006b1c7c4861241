package server

import (
	"strings"

	"fairlead/analytics/assess"
	"fairlead/server/followup"
)

// workingView is how a finding follows from what was read, for the partial
// "working". Every figure in it is written with as many digits as it takes to
// work out the next one with a pocket calculator, to the last digit shown.
type workingView struct {
	Open    bool   // shown at once rather than on request
	Of      string // the check-in or report that it is of
	Missing string // why there are no steps
	Note    string // on the digits
	Steps   []workingStep
	Limit   string // and who set it
	Source  string
}

// workingStep is one step: what is done, then lines and tables of figures. Aside
// are steps of their own that lead to a figure of its lines, folded.
type workingStep struct {
	What   string
	Aside  *workingAside
	Lines  []string
	Tables []workingTable
}

// workingAside are steps beside the main ones, with what they lead to.
type workingAside struct {
	Of    string
	Steps []workingStep
}

// workingTable is a table of figures whose first column names the row. The units
// are in the heads.
type workingTable struct {
	Caption string
	Head    []string
	Rows    [][]string
	Total   []string // the last row, or none
}

// working shows how a finding about a limb was worked out, from the versions of
// the check-ins that it rests on. Of names what it is of.
func (y sayer) working(record followup.ClientRecord, limbID string, f assess.Finding, of string) workingView {
	w := record.Working(limbID, f)
	view := workingView{Of: of, Source: y.text("source." + formulaOf(f)), Limit: y.workingLimit(f)}
	switch {
	case f.ReportID != "" && (w.Gap != nil || w.Volume != nil || w.Missing != ""):
		y.workingBeside(&view, w, f)
	case w.Missing != "":
		view.Missing = y.text("working.missing." + string(w.Missing))
	case w.Volume != nil:
		view.Note = y.text("working.digits")
		view.Steps = y.volumeSteps(*w.Volume, f)
	case w.Course != nil:
		view.Note = y.text("working.course.note")
		view.Steps = y.courseSteps(*w.Course, f)
	case w.Room != nil:
		view.Note = y.text("working.digits")
		view.Steps = y.roomSteps(*w.Room, f)
	case w.Gap != nil:
		view.Note = y.text("working.digits")
		view.Steps = y.gapSteps(*w.Gap, f)
	case w.Socks != nil:
		view.Steps = y.sockSteps(*w.Socks, f)
	case len(w.Pairs) > 0:
		view.Steps = y.pairSteps(w.Pairs)
	case f.Rule == assess.ComfortDrop, f.Rule == assess.ReportComfort && f.Limit != nil:
		view.Steps = y.comfortSteps(f)
	default:
		view.Steps = y.answerSteps(f)
	}
	return view
}

// workingLimit says the limit as the last line of a working, and who set it.
func (y sayer) workingLimit(f assess.Finding) string {
	if f.Limit == nil {
		return ""
	}
	id := "working.limit"
	if f.ByDrop() {
		id = "working.accepted"
	}
	value := y.exact(f.Limit.Value)
	switch f.Limit.Unit {
	case assess.MM, assess.Percent:
		value += narrow + string(f.Limit.Unit)
	case assess.PercentPerMonth:
		value += narrow + y.text("say.percent-per-month")
	}
	return y.text(id, "Limit", value, "SetBy", y.setBy("flag.limit.", value, *f.Limit))
}

// upTo says a figure with some decimals and no zeros at its end.
func (y sayer) upTo(v float64, decimals int) string {
	return strings.TrimSuffix(strings.TrimRight(y.decimal(v, decimals), "0"), y.point())
}
