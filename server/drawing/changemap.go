package drawing

import (
	"fmt"
	"math"
)

// z95 is the 97.5 % quantile of the normal distribution, as in package analytics.
const z95 = 1.959964

// GirthChange is the change of the girth at one level since the reference,
// with its standard uncertainty, in millimetres, and the words of the cell.
type GirthChange struct {
	ChangeMM, UMM float64
	Words         string // such as "−1.2"
}

// MapVisit is one column of the change map: a visit and its changes by level.
// A level that is not in Changes was not measured or can't be compared.
type MapVisit struct {
	Words   string // such as "25 Nov 2026"
	Changes map[float64]GirthChange
}

// MapCell is one cell of the change map. Bucket is −3 to 3: 0 is within the
// tape's error, that is inside the 95 % interval of no change; each further
// step is one more half-width of that interval, 3 standing for all above three.
// The bar is drawn from BarX over BarWidth, in a view box 48 wide whose middle
// is no change: to the left smaller, to the right larger.
type MapCell struct {
	Measured       bool
	Bucket         int
	Class          string // "smaller-3" to "smaller-1", "within", "larger-1" to "larger-3"; "none" where not measured
	Words          string
	BarX, BarWidth float64
}

// MapRow is one level with its cells in the order of the visits.
type MapRow struct {
	Words string // the level, such as "9.0"
	Cells []MapCell
}

// ChangeMap is the girth change by level and visit, levels down the limb.
type ChangeMap struct {
	Visits []string
	Rows   []MapRow
	// FullMM is the change that a bar of full length stands for.
	FullMM float64
}

// MapLevel is a row of the change map: a level and the words for it.
type MapLevel struct {
	LevelMM float64
	Words   string
}

// half is half the width of a cell's view box.
const half = 24.0

// DrawChangeMap sorts the changes into buckets by their own uncertainty. Bars
// share one scale: a full bar is the largest change on the map rounded up to
// 5 mm, at least 10 mm, so that a steady limb looks steady. An uncertainty that
// is not positive or a change that is not finite is an error that names visit
// and level.
func DrawChangeMap(levels []MapLevel, visits []MapVisit) (ChangeMap, error) {
	out := ChangeMap{FullMM: 10}
	for i, v := range visits {
		for level, c := range v.Changes {
			if math.IsNaN(c.ChangeMM) || math.IsInf(c.ChangeMM, 0) || !(c.UMM > 0) || math.IsInf(c.UMM, 0) {
				return ChangeMap{}, fmt.Errorf("drawing: visit %d, level %v mm: change %v ± %v mm can't be drawn", i+1, level, c.ChangeMM, c.UMM)
			}
			out.FullMM = max(out.FullMM, 5*math.Ceil(math.Abs(c.ChangeMM)/5))
		}
		out.Visits = append(out.Visits, v.Words)
	}
	for _, level := range levels {
		row := MapRow{Words: level.Words}
		for _, v := range visits {
			row.Cells = append(row.Cells, mapCell(v.Changes, level.LevelMM, out.FullMM))
		}
		out.Rows = append(out.Rows, row)
	}
	return out, nil
}

// mapCell makes the cell of one level at one visit.
func mapCell(changes map[float64]GirthChange, levelMM, fullMM float64) MapCell {
	c, ok := changes[levelMM]
	if !ok {
		return MapCell{Class: "none"}
	}
	length := half * math.Abs(c.ChangeMM) / fullMM
	cell := MapCell{Measured: true, Bucket: bucket(c.ChangeMM, c.UMM), Words: c.Words, BarX: half, BarWidth: length}
	if c.ChangeMM < 0 {
		cell.BarX = half - length
	}
	switch {
	case cell.Bucket < 0:
		cell.Class = fmt.Sprintf("smaller-%d", -cell.Bucket)
	case cell.Bucket > 0:
		cell.Class = fmt.Sprintf("larger-%d", cell.Bucket)
	default:
		cell.Class = "within"
	}
	return cell
}

// bucket counts the half-widths of the 95 % interval in a change: 0 up to one,
// ±1 up to two, ±2 up to three, ±3 above.
func bucket(changeMM, uMM float64) int {
	widths := math.Abs(changeMM) / (z95 * uMM)
	steps := int(min(3, max(0, math.Ceil(widths)-1)))
	if changeMM < 0 {
		return -steps
	}
	return steps
}
