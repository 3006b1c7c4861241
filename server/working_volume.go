package server

import (
	"fmt"
	"math"
	"strings"

	"fairlead/analytics/assess"
	"fairlead/analytics/quantity"
	"fairlead/analytics/volume"
	"fairlead/server/followup"
)

// The decimals of the figures of a volume. Each step is shown with a digit less
// than what goes into it, so that what rounding takes off the figures of one
// step stays below half a unit in the last digit of the next. They hold for
// volumes of 200 mL or more, where even a change by the whole volume leaves the
// percent right; smaller ones get a digit more for each power of ten.
const (
	interpolatedDecimals = 6 // girth in mm; one that was read is exact
	frustumDecimals      = 4 // mL; one more above tenFrusta of them
	volumeDecimals       = 3 // mL, and mL of change
	percentDecimals      = 3
	gradientDecimals     = 6 // mL per mm
	slopeDecimals        = 6 // mm per mm
	partDecimals         = 4 // mL, of one part of an uncertainty
	riseDecimals         = 7 // % of volume after doffing
	intervalDecimals     = 2 // %
	tenFrusta            = 10
	pi                   = 3.14159265
)

// volumeSayer puts the working of a change of volume into words.
type volumeSayer struct {
	sayer
	followup.VolumeWorking
	more int // decimals more than for 200 mL
}

func (y sayer) volumeSayer(w followup.VolumeWorking) volumeSayer {
	v := volumeSayer{sayer: y, VolumeWorking: w}
	for ml := math.Min(w.Change.ReferenceML, w.Change.NowML); ml > 0 && ml < 200; ml *= 10 {
		v.more++
	}
	return v
}

func (v volumeSayer) ml(value float64, decimals int) string { return v.decimal(value, decimals+v.more) }

// volumeSteps are all steps of a finding about a change of volume.
func (y sayer) volumeSteps(w followup.VolumeWorking, f assess.Finding) []workingStep {
	v := y.volumeSayer(w)
	steps := append(v.changeSteps(), v.uncertaintySteps()...)
	steps = append(steps, v.intervalStep(), v.verdictStep(f))
	if w.Sound != nil {
		steps = append(steps, v.soundStep(*w.Sound))
	}
	return steps
}

// changeSteps lead from the readings to the change.
func (v volumeSayer) changeSteps() []workingStep {
	girths := workingStep{
		What:   v.text("working.girths"),
		Tables: []workingTable{v.girthTable("working.then", v.Then), v.girthTable("working.now", v.Now)},
	}
	if v.Then.Interpolated() || v.Now.Interpolated() {
		girths.Lines = append(girths.Lines, v.text("working.girths.curve"))
	}
	c := v.Change
	then, now, change := v.ml(c.ReferenceML, volumeDecimals), v.ml(c.NowML, volumeDecimals), v.ml(c.ChangeML, volumeDecimals)
	return []workingStep{
		girths,
		{What: v.text("working.frusta"), Lines: []string{v.firstFrustum()}, Tables: []workingTable{v.frustumTable()}},
		{What: v.text("working.change"), Lines: []string{
			fmt.Sprintf("ΔV = %s − %s = %s%smL", now, then, change, narrow),
			fmt.Sprintf("100 × %s ÷ %s = %s%s%%", change, then, v.decimal(c.ChangePercent, percentDecimals), narrow),
		}},
	}
}

// when names a visit: "Then: check-in of 12 March 2026".
func (v volumeSayer) when(id string, of followup.VolumeOf) string {
	return v.text(id, "On", v.date(quantity.DateOf(of.Visit.Local)))
}

func (v volumeSayer) girthTable(id string, of followup.VolumeOf) workingTable {
	t := workingTable{
		Caption: v.when(id, of),
		Head:    []string{v.text("working.col.level"), v.text("working.col.readings"), v.text("working.col.girth")},
	}
	for _, at := range of.Levels {
		var readings []string
		for _, mm := range at.Readings {
			readings = append(readings, v.decimal(mm, 1))
		}
		said := strings.Join(readings, "; ")
		if len(readings) == 0 {
			said = v.text("working.by-curve")
		}
		t.Rows = append(t.Rows, []string{v.level(at.LevelMM), said, v.girthOf(at)})
	}
	return t
}

// level says a level in mm, as exactly as the record keeps it.
func (y sayer) level(mm float64) string { return y.short(mm) }

// girthOf says a girth in mm: exactly, or with enough digits where it was
// interpolated.
func (v volumeSayer) girthOf(at followup.LevelWorking) string {
	if len(at.Readings) == 0 {
		return v.ml(at.GirthMM, interpolatedDecimals)
	}
	return v.upTo(at.GirthMM, 2) // the middle of two tenths of a mm
}

func (v volumeSayer) frustumTable() workingTable {
	decimals := frustumDecimals
	if len(v.Then.Estimate.Segments) > tenFrusta {
		decimals++
	}
	t := workingTable{
		Caption: v.text("working.frusta.caption"),
		Head:    []string{v.text("working.col.levels"), v.text("working.col.height"), v.text("working.col.then-ml"), v.text("working.col.now-ml")},
		Total: []string{
			v.text("working.sum"), v.level(v.Change.ToMM - v.Change.FromMM),
			v.ml(v.Change.ReferenceML, volumeDecimals), v.ml(v.Change.NowML, volumeDecimals),
		},
	}
	for i, then := range v.Then.Estimate.Segments {
		t.Rows = append(t.Rows, []string{
			v.text("working.from-to", "From", v.level(then.FromMM), "To", v.level(then.ToMM)), v.level(then.ToMM - then.FromMM),
			v.ml(then.VolumeML, decimals), v.ml(v.Now.Estimate.Segments[i].VolumeML, decimals),
		})
	}
	return t
}

// firstFrustum writes the first frustum out as keys of a calculator.
func (v volumeSayer) firstFrustum() string {
	segment, a, b := v.Then.Estimate.Segments[0], v.girthOf(v.Then.Levels[0]), v.girthOf(v.Then.Levels[1])
	keys := fmt.Sprintf("%s × (%s² + %s × %s + %s²) ÷ (12 × %s) ÷ 1000 = %s%smL",
		v.level(segment.ToMM-segment.FromMM), a, a, b, b, v.decimal(pi, 8), v.ml(segment.VolumeML, frustumDecimals), narrow)
	return v.text("working.first-row", "Keys", keys)
}

// intervalStep adds the 95 % interval.
func (v volumeSayer) intervalStep() workingStep {
	c := v.Change
	change, u := v.decimal(c.ChangePercent, percentDecimals), v.decimal(c.UPercent, percentDecimals)
	factor := v.decimal(volume.Normal975, 2)
	return workingStep{What: v.text("working.interval"), Lines: []string{
		fmt.Sprintf("%s − %s × %s = %s%s%%", change, factor, u, v.decimal(c.LoPercent, intervalDecimals), narrow),
		fmt.Sprintf("%s + %s × %s = %s%s%%", change, factor, u, v.decimal(c.HiPercent, intervalDecimals), narrow),
	}}
}

// verdictStep compares the change with 0 and with the limit.
func (v volumeSayer) verdictStep(f assess.Finding) workingStep {
	step := workingStep{What: v.text("working.verdict")}
	if days, ok := f.Value("days"); ok {
		step.Lines = append(step.Lines, v.text("working.verdict.days", "Days", v.decimal(days.Value, 0)))
	}
	size := v.decimal(math.Abs(v.Change.ChangePercent), percentDecimals) + narrow + "%"
	if f.Rule == assess.VolumeUnresolved {
		step.Lines = append(step.Lines, v.text("working.verdict.holds-0", "Size", size, "Least", "5"+narrow+"%"))
		return step
	}
	step.Lines = append(step.Lines, v.text("working.verdict.leaves-out-0"))
	switch {
	case f.Limit != nil:
		step.Lines = append(step.Lines, v.text("working.verdict.reached", "Size", size, "Limit", v.exact(f.Limit.Value)+narrow+"%"))
	case f.Rule == assess.ReportFit:
		step.Lines = append(step.Lines, v.text("working.verdict.fit"))
	}
	return step
}

// soundStep takes off the change of the sound limb over the same time, whose own
// steps stand folded beside it.
func (v volumeSayer) soundStep(w followup.SoundWorking) workingStep {
	sound, c := v.volumeSayer(w.Volume), w.Control
	own := append(sound.changeSteps(), sound.uncertaintySteps()...)
	difference, u := v.decimal(c.DifferencePercent, percentDecimals), v.decimal(c.UPercent, intervalDecimals)
	factor := v.decimal(volume.Normal975, 2)
	return workingStep{
		What:  v.text("working.sound"),
		Aside: &workingAside{Of: v.text("working.sound.own"), Steps: append(own, sound.intervalStep())},
		Lines: []string{
			fmt.Sprintf("%s − %s = %s%s%%", v.decimal(v.Change.ChangePercent, percentDecimals),
				v.bracketed(sound.Change.ChangePercent, percentDecimals), difference, narrow),
			fmt.Sprintf("u = √(%s² + %s²) = %s%s%%", v.decimal(v.Change.UPercent, percentDecimals),
				v.decimal(sound.Change.UPercent, percentDecimals), u, narrow),
			fmt.Sprintf("%s − %s × %s = %s%s%%", difference, factor, u, v.decimal(c.LoPercent, 1), narrow),
			fmt.Sprintf("%s + %s × %s = %s%s%%", difference, factor, u, v.decimal(c.HiPercent, 1), narrow),
		},
	}
}

// bracketed puts a figure below 0 into brackets, for what is taken off.
func (y sayer) bracketed(value float64, decimals int) string {
	said := y.decimal(value, decimals)
	if value < 0 {
		return "(" + said + ")"
	}
	return said
}
