package server

import (
	"math"

	"fairlead/analytics/reliability"
	"fairlead/models"
	"fairlead/server/followup"
)

// studyPartRow is one uncertainty as a study leaves it.
type studyPartRow struct{ Name, Before, Own, InForce, Interval string }

// errorRow is one kind of repetition with its errors.
type errorRow struct{ Name, TEM, Percent, SEM, MDC, ICC string }

// iccRow is one intraclass correlation.
type iccRow struct{ Name, Meaning, Value string }

// studyResult puts what a study comes to on its page.
func (y sayer) studyResult(page *studyPage, study models.Study, r followup.StudyResult) error {
	if r.Apart {
		page.Apart = y.text("study.apart")
	}
	if e := r.Estimate; e != nil && !r.Apart && study.Entered() > 0 {
		page.Sees = y.sees(r.Sees)
		page.Parts = y.studyParts(*e)
		for _, m := range e.Remarks {
			page.Missing = append(page.Missing, y.text("study.remark."+string(m.Code), "Count", m.N))
		}
	}
	if r.NotYet != "" && study.InUse() == nil {
		page.NotYet = y.text("study.not-yet." + string(r.NotYet))
	}
	if r.Report == nil {
		return nil
	}
	report := *r.Report
	page.Errors = y.errorRows(study, report)
	page.ICCOver = y.text("study.icc-trials")
	if report.Between != nil {
		page.ICCOver = y.text("study.icc-between")
	}
	for _, c := range report.ICC() {
		page.ICC = append(page.ICC, iccRow{Name: c.Name(), Meaning: y.text("study.icc." + version(c.Form)), Value: y.figure(c.Figure, 3, "")})
	}
	for _, m := range report.Remarks {
		page.Missing = append(page.Missing, y.text("study.remark."+string(m.Code), "Count", m.N, "Of", m.Of, "Name", y.measurer(m.Rater)))
	}
	var err error
	page.Pairs, page.PairsWhy, err = y.agreements(study, report)
	return err
}

// studyParts are the uncertainties that a study leaves in force.
func (y sayer) studyParts(e reliability.Estimate) []studyPartRow {
	row := func(id string, scale float64, unit string, p reliability.Component) studyPartRow {
		say := func(v float64) string { return y.decimal(scale*v, 2) + narrow + unit }
		var own string
		if p.OwnDF > 0 {
			own = y.text("study.part-own", "Value", say(p.Own), "Count", int(math.Round(p.OwnDF)))
		} else {
			own = upperFirst(y.text("study.reason." + string(p.Why)))
		}
		return studyPartRow{
			Name: y.text(id), Before: say(p.Before), Own: own, InForce: say(p.InForce),
			Interval: y.text("study.from-to", "Lo", y.decimal(scale*p.Lo, 2), "Hi", y.decimal(scale*p.Hi, 2)),
		}
	}
	return []studyPartRow{
		row("study.part.reading", 1, "mm", e.Reading),
		row("study.part.level", 1, "mm", e.Level),
		row("study.part.landmark", 1, "mm", e.Landmark),
		row("study.part.same", 100, "%", e.SameFitter),
		row("study.part.lasting", 100, "%", e.Lasting),
	}
}

// errorRows are the errors of each fitter or method, between them, and of all.
func (y sayer) errorRows(study models.Study, report reliability.Report) []errorRow {
	row := func(name string, p reliability.Precision, sem, mdc reliability.Figure, icc []reliability.ICC) errorRow {
		out := errorRow{
			Name: name, TEM: y.figure(p.TEM, 1, "mL"), Percent: y.figure(p.TEMPercent, 2, "%"), SEM: y.figure(sem, 1, "mL"), MDC: y.figure(mdc, 1, "mL"),
		}
		if len(icc) > 1 {
			out.ICC = y.figure(icc[1].Figure, 3, "") // ICC(2,1)
		}
		return out
	}
	var rows []errorRow
	for _, own := range report.ByRater {
		rows = append(rows, row(y.text("study.errors-own", "Name", y.measurer(own.Rater)), own.Precision, own.SEM, own.MDC95, own.ICC))
	}
	if b := report.Between; b != nil {
		rows = append(rows,
			row(y.text("study.errors-between."+string(study.Kind), "Count", b.Trials), b.Precision, b.SEMAgreement, b.MDC95Agreement, b.ICC),
			row(y.text("study.errors-all"), report.All, report.All.SEMAgreement, report.All.MDC95Agreement, nil))
	}
	return rows
}

// figure says a figure with its interval, or why there is none.
func (y sayer) figure(f reliability.Figure, decimals int, unit string) string {
	if !f.Defined {
		return y.text("study.undefined", "Why", y.text("study.reason."+string(f.Why)))
	}
	said := y.decimal(f.Value, decimals)
	if unit != "" {
		said += narrow + unit
	}
	if !f.Bounded {
		return said
	}
	return y.text("study.figure", "Value", said, "Lo", y.decimal(f.Lo, decimals), "Hi", y.decimal(f.Hi, decimals))
}
