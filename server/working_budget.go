package server

import (
	"fmt"
	"strings"

	"fairlead/server/followup"
)

// uncertaintySteps lead from the readings to the uncertainty of the change.
func (v volumeSayer) uncertaintySteps() []workingStep {
	s := v.Sigmas
	fitter := "working.bias.same"
	if v.OtherFitter {
		fitter = "working.bias.other"
	}
	gradient := "working.gradient"
	if v.Then.Interpolated() || v.Now.Interpolated() {
		gradient = "working.gradient.curve"
	}
	parts := workingStep{
		What: v.text("working.parts"),
		Lines: []string{
			v.text("working.sigmas", "Reading", v.sigmaMM(s.ReadingMM), "Level", v.sigmaMM(s.LevelMM), "Landmark", v.sigmaMM(s.LandmarkMM)),
			v.text(fitter, "Bias", v.upTo(s.BiasSameFitter, 6)),
			v.whoseTape(v.Tape),
			v.text(gradient), v.text("working.slope"), v.text("working.passes"),
		},
		Tables: []workingTable{v.gradientTable("working.then", v.Then), v.gradientTable("working.now", v.Now), v.partTable()},
	}
	return []workingStep{parts, v.jointStep()}
}

func (v volumeSayer) gradientTable(id string, of followup.VolumeOf) workingTable {
	t := workingTable{
		Caption: v.when(id, of),
		Head:    []string{v.text("working.col.level"), "k", v.text("working.col.gradient"), v.text("working.col.slope")},
	}
	for _, at := range of.Measured {
		t.Rows = append(t.Rows, []string{
			v.level(at.LevelMM), v.upTo(at.EffectivePasses, 6), v.ml(at.MLPerMM, gradientDecimals), v.decimal(at.Slope, slopeDecimals),
		})
	}
	return t
}

// partTable has the four parts of the uncertainty of both volumes.
func (v volumeSayer) partTable() workingTable {
	then, now := v.Then.Estimate, v.Now.Estimate
	row := func(id string, a, b float64) []string {
		return []string{v.text(id), v.ml(a, partDecimals), v.ml(b, partDecimals)}
	}
	return workingTable{
		Caption: v.text("working.parts.caption"),
		Head:    []string{v.text("working.col.part"), v.text("working.col.then-ml"), v.text("working.col.now-ml")},
		Rows: [][]string{
			row("working.part.reading", then.Terms.ReadingML, now.Terms.ReadingML),
			row("working.part.level", then.Terms.LevelML, now.Terms.LevelML),
			row("working.part.landmark", then.Terms.LandmarkML, now.Terms.LandmarkML),
			row("working.part.bias", then.Terms.BiasML, now.Terms.BiasML),
		},
		Total: []string{v.text("working.part.u"), v.ml(then.UML, volumeDecimals), v.ml(now.UML, volumeDecimals)},
	}
}

// jointStep joins the uncertainties of both volumes. It squares the parts rather
// than their sums, which have a digit less.
func (v volumeSayer) jointStep() workingStep {
	step := workingStep{What: v.text("working.joint")}
	squares := []string{}
	for _, t := range []followup.VolumeOf{v.Then, v.Now} {
		for _, part := range []float64{t.Estimate.Terms.ReadingML, t.Estimate.Terms.LevelML, t.Estimate.Terms.LandmarkML, t.Estimate.Terms.BiasML} {
			squares = append(squares, v.ml(part, partDecimals)+"²")
		}
	}
	if d := v.Doffing; d != nil {
		step.Lines = append(step.Lines,
			v.text("working.doffing", "Then", v.upTo(d.ThenMinutes, 6), "Now", v.upTo(d.NowMinutes, 6),
				"ThenRise", v.decimal(d.ThenPercent, riseDecimals), "NowRise", v.decimal(d.NowPercent, riseDecimals)),
			fmt.Sprintf("|%s − %s| ÷ 100 × %s = %s%smL", v.decimal(d.NowPercent, riseDecimals), v.decimal(d.ThenPercent, riseDecimals),
				v.ml(v.Change.ReferenceML, volumeDecimals), v.ml(d.ML, partDecimals), narrow))
		squares = append(squares, v.ml(d.ML, partDecimals)+"²")
	}
	u := v.ml(v.Change.UML, volumeDecimals)
	step.Lines = append(step.Lines,
		fmt.Sprintf("u = √(%s) = %s%smL", strings.Join(squares, " + "), u, narrow),
		fmt.Sprintf("100 × %s ÷ %s = %s%s%%", u, v.ml(v.Change.ReferenceML, volumeDecimals),
			v.decimal(v.Change.UPercent, percentDecimals), narrow))
	return step
}
