package server

import (
	"encoding/json"
	"strconv"

	"fairlead/analytics/reliability"
	"fairlead/models"
	"fairlead/server/chart"
)

// agreementView is the agreement of two fitters or methods, as a plot with a
// finding, a table and a file.
type agreementView struct {
	ID       string // of the data block
	Finding  string
	Lede     string
	Option   json.RawMessage
	Describe string
	HeightPX int
	Figures  []agreementFigure
	Head     []string
	Rows     [][]string
	Why      string // why there is no plot
}

type agreementFigure struct{ Name, Value string }

// mostPlots is how many pairs are plotted; all are in the file.
const mostPlots = 6

// agreements compares every two fitters or methods.
func (y sayer) agreements(study models.Study, report reliability.Report) ([]agreementView, string, error) {
	b := report.Between
	switch {
	case b == nil:
		return nil, y.text("study.reason." + string(report.BetweenWhy)), nil
	case b.Pairs == nil:
		return nil, y.text("study.reason." + string(b.PairsWhy)), nil
	}
	var views []agreementView
	for i, pair := range b.Pairs {
		if i == mostPlots {
			return views, y.text("study.more-pairs", "Count", len(b.Pairs)-i), nil
		}
		v, err := y.agreement(study, pair, i)
		if err != nil {
			return nil, "", err
		}
		views = append(views, v)
	}
	return views, "", nil
}

// shownAgreement is the one of a pair that is plotted: by the means of all trials
// where there are several, in percent where the differences grow with size.
func shownAgreement(p reliability.RaterPair) reliability.Agreement {
	switch {
	case p.First.Growing && p.Percent.N > 0:
		return p.Percent
	case p.Means.N > 0:
		return p.Means
	}
	return p.First
}

func (y sayer) agreement(study models.Study, pair reliability.RaterPair, i int) (agreementView, error) {
	a := shownAgreement(pair)
	names := []any{"First", y.measurer(pair.A), "Second", y.measurer(pair.B)}
	v := agreementView{ID: "agreement-" + strconv.Itoa(i), HeightPX: chart.AgreementPX}
	if !a.Bias.Defined {
		v.Finding = y.text("study.agree.none", names...)
		v.Why = y.text("study.reason." + string(a.Bias.Why))
		return v, nil
	}
	unit := "mL"
	if a.Percent {
		unit = "%"
	}
	v.Finding = y.agreementFinding(a, unit, names)
	v.Lede = y.text("study.agree.lede", append(names, "Count", a.N)...)
	if a.Repeated > 1 {
		v.Lede += " " + y.text("study.agree.means", "Count", a.Repeated)
	}
	if a.Percent {
		v.Lede += " " + y.text("study.agree.percent")
	}
	v.Figures = []agreementFigure{
		{y.text("study.agree.bias"), y.figure(a.Bias, 1, unit)}, {y.text("study.agree.lower"), y.figure(a.Lower, 1, unit)},
		{y.text("study.agree.upper"), y.figure(a.Upper, 1, unit)},
	}
	v.Head = []string{y.text("study.limb"), y.text("study.agree.mean"), y.text("study.agree.difference", "Unit", unit)}
	plot := chart.Agreement{
		MeanName:   y.text("study.agree.mean"),
		Difference: y.text("study.agree.axis", append(names, "Unit", unit)...), Description: v.Finding + ". " + v.Lede,
		Lines: []chart.AgreementLine{
			{At: a.Upper.Value, Words: y.text("study.agree.line-upper", "Value", y.change(a.Upper.Value))},
			{At: a.Bias.Value, Words: y.text("study.agree.line-bias", "Value", y.change(a.Bias.Value)), Heavy: true},
			{At: a.Lower.Value, Words: y.text("study.agree.line-lower", "Value", y.change(a.Lower.Value))},
		},
	}
	v.Describe = plot.Description
	for _, p := range a.Points {
		mean, difference := y.decimal(p.Mean, 1)+narrow+"mL", y.change(p.Difference)+narrow+unit
		v.Rows = append(v.Rows, []string{p.Subject, mean, difference})
		plot.Points = append(plot.Points, chart.AgreementPoint{Mean: p.Mean, Difference: p.Difference, Words: []string{p.Subject, mean, difference}})
	}
	var err error
	v.Option, err = plot.Option()
	return v, err
}

// agreementFinding says which of two gives more, if that can be told.
func (y sayer) agreementFinding(a reliability.Agreement, unit string, names []any) string {
	size := func(v float64) string { return y.decimal(max(v, -v), 1) + narrow + unit }
	switch {
	case a.SD.Defined && a.SD.Value == 0 && a.Bias.Value == 0:
		return y.text("study.agree.same", names...)
	case a.Bias.Bounded && a.Bias.Lo > 0, !a.Bias.Bounded && a.Bias.Value > 0:
		return y.text("study.agree.first-more", append(names, "Size", size(a.Bias.Value))...)
	case a.Bias.Bounded && a.Bias.Hi < 0, !a.Bias.Bounded && a.Bias.Value < 0:
		return y.text("study.agree.second-more", append(names, "Size", size(a.Bias.Value))...)
	}
	return y.text("study.agree.neither", names...)
}
