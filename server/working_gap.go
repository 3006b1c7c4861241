package server

import (
	"fmt"
	"strings"

	"fairlead/analytics/assess"
	"fairlead/analytics/clearance"
	"fairlead/server/followup"
)

// gapSteps are the steps of a finding about a gap, in mm.
func (y sayer) gapSteps(g followup.GapWorking, f assess.Finding) []workingStep {
	table := workingTable{
		Caption: y.text("working.gap.caption"),
		Head:    []string{y.text("working.col.by"), y.text("working.col.gap"), y.text("working.col.sigma")},
	}
	var gaps, squares []string
	for _, r := range g.Readings {
		gap, sigma := y.decimal(r.GapMM, 1), y.exact(r.SigmaMM)
		table.Rows = append(table.Rows, []string{y.word("clearance-method", string(r.Method)), gap, sigma})
		gaps, squares = append(gaps, gap), append(squares, sigma+"²")
	}
	n, mean, u := y.decimal(float64(len(g.Readings)), 0), y.upTo(g.GapMM, 4), y.upTo(g.UMM, 4)
	steps := []workingStep{
		{What: y.text("working.gap"), Tables: []workingTable{table}},
		{What: y.text("working.gap.mean"), Lines: []string{
			fmt.Sprintf("(%s) ÷ %s = %s%smm", strings.Join(gaps, " + "), n, mean, narrow),
			fmt.Sprintf("u = √(%s) ÷ %s = %s%smm", strings.Join(squares, " + "), n, u, narrow),
		}},
	}
	switch {
	case g.Drop != nil:
		return append(steps, y.dropSteps(g, f, mean, u)...)
	case f.Limit != nil:
		return append(steps, y.gapLimitStep(g, f, mean, u))
	}
	return steps
}

// gapLimitStep compares a gap with its limit, from one side.
func (y sayer) gapLimitStep(g followup.GapWorking, f assess.Finding, mean, u string) workingStep {
	limit, factor := y.exact(f.Limit.Value), y.upTo(clearance.OneSided, 3)
	margin := clearance.OneSided * g.UMM
	compared := func(id, sign string, mm float64) string {
		keys := fmt.Sprintf("%s %s %s × %s = %s%smm", mean, sign, factor, u, y.decimal(mm, 3), narrow)
		return y.text(id, "Keys", keys, "Limit", limit+narrow+"mm")
	}
	below, above := g.GapMM-margin, g.GapMM+margin
	var step workingStep
	switch {
	case above < f.Limit.Value:
		step = workingStep{What: y.text("working.gap.below"), Lines: []string{compared("working.less", "+", above)}}
	case below < f.Limit.Value:
		step = workingStep{What: y.text("working.gap.unsure"), Lines: []string{
			compared("working.less", "−", below), compared("working.not-less", "+", above),
		}}
	default: // beside a polish mark
		step = workingStep{What: y.text("working.gap.clear"), Lines: []string{compared("working.not-less", "−", below)}}
	}
	distance := fmt.Sprintf("(%s − %s) ÷ %s = %s", mean, limit, u, y.decimal((g.GapMM-f.Limit.Value)/g.UMM, 1))
	step.Lines = append(step.Lines, y.text("working.in-u", "Keys", distance))
	return step
}

// dropSteps compare a gap with the one that was accepted at delivery.
func (y sayer) dropSteps(g followup.GapWorking, f assess.Finding, mean, u string) []workingStep {
	d := g.Drop
	drop, uDrop := y.upTo(d.DropMM, 4), y.upTo(d.UMM, 4)
	margin := fmt.Sprintf("%s × %s = %s%smm", y.upTo(clearance.OneSided, 3), uDrop, y.decimal(clearance.OneSided*d.UMM, 3), narrow)
	steps := []workingStep{
		{What: y.text("working.drop"), Lines: []string{
			fmt.Sprintf("%s − %s = %s%smm", y.upTo(d.AcceptedMM, 4), mean, drop, narrow),
			fmt.Sprintf("u = √(%s² + %s²) = %s%smm", y.exact(d.SigmaMM), u, uDrop, narrow),
		}},
		{What: y.text("working.drop.beyond"), Lines: []string{
			y.text("working.less", "Keys", margin, "Limit", drop+narrow+"mm"),
			y.text("working.in-u", "Keys", fmt.Sprintf("%s ÷ %s = %s", drop, uDrop, y.decimal(d.DropMM/d.UMM, 1))),
		}},
	}
	if f.Rule == assess.AsBuiltDrop {
		steps[1].Lines = append(steps[1].Lines, y.text("working.drop.soon"))
	}
	return steps
}

// pairSteps are the pairs of readings that are too far apart, in mm.
func (y sayer) pairSteps(pairs []followup.PassPair) []workingStep {
	t := workingTable{
		Caption: y.text("working.pairs.caption"),
		Head: []string{
			y.text("working.col.level"), y.text("working.col.first"), y.text("working.col.second"),
			y.text("working.col.apart"), y.text("working.col.may-be"),
		},
	}
	for _, p := range pairs {
		t.Rows = append(t.Rows, []string{
			y.level(p.LevelMM), y.decimal(p.FirstMM, 1), y.decimal(p.SecondMM, 1), y.decimal(p.SpreadMM, 1), y.upTo(p.LimitMM, 5),
		})
	}
	return []workingStep{{What: y.text("working.pairs"), Tables: []workingTable{t}}}
}
