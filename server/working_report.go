package server

import (
	"fairlead/analytics/assess"
	"fairlead/server/followup"
)

// workingBeside works out what stands beside a client's report, after what was
// reported.
func (y sayer) workingBeside(view *workingView, w followup.Working, f assess.Finding) {
	said := y.answerSteps(f)
	said[0].What = y.text("working.reported")
	view.Steps = said
	switch {
	case w.Gap != nil:
		view.Note = y.text("working.digits")
		view.Steps = append(view.Steps, y.gapSteps(*w.Gap, f)...)
		view.Source = joinSentences(view.Source, y.text("working.beside-gap", "Source", y.text("source."+string(gapRule(f)))))
	case w.Volume != nil:
		view.Note = y.text("working.digits")
		view.Steps = append(view.Steps, y.volumeSteps(*w.Volume, f)...)
	default:
		view.Missing = y.text("working.missing." + string(w.Missing))
	}
}

// gapRule is the rule by which a gap beside a rub was judged.
func gapRule(f assess.Finding) assess.Rule {
	if f.ByDrop() {
		return assess.AsBuiltDrop
	}
	return assess.ClearanceBelow
}
