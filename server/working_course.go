package server

import (
	"fmt"
	"math"

	"fairlead/analytics/assess"
	"fairlead/analytics/volume"
	"fairlead/server/followup"
)

// formulaOf is the name of the formula and the source of a finding: that of its
// rule, or of the course where it judged by that.
func formulaOf(f assess.Finding) string {
	if f.Rule == assess.VolumeChange && byCourse(f) {
		return "volume-course"
	}
	return string(f.Rule)
}

// leastWeight is the weight from which on an explanation has a row of its own; what
// lies below it adds up to less than shows.
const leastWeight = 0.0005

// courseSteps show what went into the course, the explanations that came out of it,
// and how a probability and an interval add up from them.
func (y sayer) courseSteps(w followup.CourseWorking, f assess.Finding) []workingStep {
	steps := []workingStep{{What: y.text("working.course.volumes"), Lines: []string{y.text("working.course.log"), y.whoseTape(w.Tape)}, Tables: []workingTable{y.courseVolumes(w)}}}
	switch f.Rule {
	case assess.VolumeSlope:
		return append(steps, y.slopeStep(w))
	case assess.MeasureAgainRule:
		return append(steps, y.againStep(w))
	}
	steps = append(steps, y.partsStep(w))
	if w.Days == 0 {
		steps = append(steps, y.courseInterval(w), y.courseLevel(w, f))
	}
	return steps
}

// courseLevel says which probability makes the finding what it is.
func (y sayer) courseLevel(w followup.CourseWorking, f assess.Finding) workingStep {
	step := workingStep{What: y.text("working.course.level")}
	say := func(id string, args ...any) { step.Lines = append(step.Lines, y.text("working.course."+id, args...)) }
	args := []any{"Probability", y.decimal(w.Beyond, 4), "Beyond", y.decimal(w.Percent, 1) + narrow + "%"}
	if f.Words["told"] == "early" {
		say("told", args...)
		if w.Beyond >= assess.SoonAt {
			say("sure")
		}
		if f.Words["with"] != "" {
			say("symptom")
		}
		return step
	}
	say("passed", args...)
	if f.Limit != nil && f.Limit.Value > math.Abs(w.Percent) {
		say("estimate", "Size", y.decimal(math.Abs(100*math.Expm1(w.Change.Mean/100)), 2)+narrow+"%", "Limit", y.exact(f.Limit.Value)+narrow+"%")
	}
	return step
}

func (y sayer) courseVolumes(w followup.CourseWorking) workingTable {
	t := workingTable{Caption: y.text("working.course.volumes-caption"), Head: []string{
		y.text("follow.date"), y.text("working.col.course-volume"), y.text("working.col.course-u"), y.text("working.col.log"), y.text("working.col.slip"),
	}}
	for _, at := range w.Volumes {
		day := y.date(at.On)
		if at.Rounds > 1 {
			day = y.text("working.course.round", "On", day, "Round", at.Round)
		}
		t.Rows = append(t.Rows, []string{
			day, y.decimal(at.VolumeML, 1), y.decimal(at.UML, 1), y.decimal(at.Log, 3), y.decimal(at.SlipPercent, 1),
		})
	}
	return t
}

// partsStep adds the probabilities of the explanations up.
func (y sayer) partsStep(w followup.CourseWorking) workingStep {
	loss := w.Percent < 0
	step := workingStep{What: y.text("working.course.parts")}
	if w.Days > 0 {
		step.What = y.text("working.course.parts-ahead", "Count", w.Days)
	}
	step.Lines = append(step.Lines, fmt.Sprintf("100 × ln(1 %s %s ÷ 100) = %s",
		y.sign(w.Percent), y.decimal(math.Abs(w.Percent), 1), y.decimal(w.Edge, 4)))
	if loss {
		step.Lines = append(step.Lines, y.text("working.course.z-loss", "Edge", y.decimal(w.Edge, 4)))
	} else {
		step.Lines = append(step.Lines, y.text("working.course.z-gain", "Edge", y.decimal(w.Edge, 4)))
	}
	t := workingTable{Caption: y.text("working.course.parts-caption"), Head: []string{
		y.text("working.col.course-no"), y.text("working.col.course-weight"), y.text("working.col.course-mean"), y.text("working.col.course-sd"), y.text("working.col.phi"), y.text("working.col.product"),
	}}
	rest, n := 0.0, 0
	for _, part := range w.Parts {
		p := followup.PartBeyond(part, w.Edge, loss)
		if part.Weight < leastWeight {
			rest += part.Weight * p
			continue
		}
		n++
		t.Rows = append(t.Rows, []string{
			y.decimal(float64(n), 0), y.decimal(part.Weight, 4), y.decimal(part.Mean, 3), y.decimal(part.SD, 3), y.decimal(p, 4), y.decimal(part.Weight*p, 4),
		})
	}
	t.Rows = append(t.Rows, []string{y.text("working.course.rest"), "", "", "", "", y.decimal(rest, 4)})
	t.Total = []string{y.text("working.sum"), "", "", "", "", y.decimal(w.Beyond, 4)}
	step.Tables = []workingTable{t}
	return step
}

// sign is the sign of a figure as an operator.
func (y sayer) sign(v float64) string {
	if v < 0 {
		return "−"
	}
	return "+"
}

// courseInterval turns mean and SD of all explanations into percent.
func (y sayer) courseInterval(w followup.CourseWorking) workingStep {
	mean, sd, factor := y.decimal(w.Change.Mean, 3), y.decimal(w.Change.SD, 3), y.decimal(volume.Normal975, 2)
	percent := func(log float64) string { return y.decimal(100*math.Expm1(log/100), 2) + narrow + "%" }
	return workingStep{What: y.text("working.course.interval"), Lines: []string{
		y.text("working.course.moments", "Mean", mean, "SD", sd),
		fmt.Sprintf("100 × (exp(%s ÷ 100) − 1) = %s", mean, percent(w.Change.Mean)),
		fmt.Sprintf("100 × (exp((%s − %s × %s) ÷ 100) − 1) = %s", mean, factor, sd, percent(w.Change.Mean-volume.Normal975*w.Change.SD)),
		fmt.Sprintf("100 × (exp((%s + %s × %s) ÷ 100) − 1) = %s", mean, factor, sd, percent(w.Change.Mean+volume.Normal975*w.Change.SD)),
	}}
}

func (y sayer) slopeStep(w followup.CourseWorking) workingStep {
	sd := (w.Slope.Hi - w.Slope.Lo) / (2 * volume.Normal975)
	mean, factor := y.decimal(w.Slope.Estimate, 3), y.decimal(volume.Normal975, 2)
	return workingStep{What: y.text("working.course.slope"), Lines: []string{
		fmt.Sprintf("%s − %s × %s = %s", mean, factor, y.decimal(sd, 3), y.decimal(w.Slope.Lo, 2)),
		fmt.Sprintf("%s + %s × %s = %s", mean, factor, y.decimal(sd, 3), y.decimal(w.Slope.Hi, 2)),
		y.text("working.verdict.leaves-out-0"),
	}}
}

func (y sayer) againStep(w followup.CourseWorking) workingStep {
	return workingStep{What: y.text("working.course.newest"), Lines: []string{fmt.Sprintf("%s + %s = %s%s%%",
		y.decimal(100*w.Slip, 1), y.decimal(100*w.Step, 1), y.decimal(100*(w.Slip+w.Step), 1), narrow)}}
}
