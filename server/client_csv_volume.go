package server

import (
	"strconv"

	"fairlead/analytics/volume"
	"fairlead/server/followup"
)

// courseColumns are those of a single volume. The command "fairlead trend" reads date,
// volume_ml, u_ml, method, fitter and weeks_since_amputation, and follows the very
// series that the page shows: volume_ml is on the span of the reference, and is empty
// where a visit can't be compared with it or lies before it.
var courseColumns = []string{
	"date", "volume_ml", "u_ml", "method", "fitter", "weeks_since_amputation", "round",
	"together_percent", "together_lo_percent", "together_hi_percent", "slip_percent",
}

// visitColumns are those of a visit; they stand with its last round.
var visitColumns = []string{
	"measured_at", "kind", "from_mm", "to_mm", "span_volume_ml", "span_volume_u_ml", "cap_ml", "reference_on", "change_percent", "change_u_percent",
	"lo_percent", "hi_percent", "verdict", "sound_volume_ml", "sound_change_percent", "weight_kg", "socks_mm", "socks_u_mm", "comfort", "computed_by",
}

// volumeCSV is the chart of the course in figures: a row for each round, and one for a
// visit without a volume.
func volumeCSV(view followup.LimbView, names map[string]string) csvTable {
	t := csvTable{append(append([]string{}, courseColumns...), visitColumns...)}
	for _, at := range view.Visits {
		rows := courseCells(view, at, names)
		for i, row := range rows {
			cells := make([]string, len(visitColumns))
			if i == len(rows)-1 {
				cells = visitCells(view, at)
			}
			t = append(t, append(row, cells...))
		}
	}
	return t
}

// courseCells are the cells of courseColumns, a row for each round of a visit.
func courseCells(view followup.LimbView, at followup.VisitView, names map[string]string) [][]string {
	fitter := csvText(names[at.Checkin.MeasuredBy])
	empty := []string{string(at.Assessed.On), "", "", "", fitter, "", "", "", "", "", ""}
	var rows [][]string
	for _, p := range at.Points {
		volumeML, uML, ok := view.Course.Volume(at.Assessed.ID, p.Round)
		if !ok {
			continue
		}
		row := []string{
			string(at.Assessed.On), csvNumber(volumeML), csvNumber(uML), csvText(p.Device), fitter, "", strconv.Itoa(p.Round), "", "", "", "",
		}
		if at.IsReference && view.Course.Series.Weeks > 0 {
			row[5] = csvNumber(view.Course.Series.Weeks)
		}
		if p.Smooth != nil {
			copy(row[7:], []string{csvNumber(p.Smooth.Estimate), csvNumber(p.Smooth.Lo), csvNumber(p.Smooth.Hi), csvNumber(*p.SlipPercent)})
		}
		rows = append(rows, row)
	}
	if len(rows) == 0 {
		return [][]string{empty}
	}
	return rows
}

// visitCells are the cells of visitColumns.
func visitCells(view followup.LimbView, at followup.VisitView) []string {
	reference := ""
	if view.Reference != nil {
		reference = string(view.Reference.Assessed.On)
	}
	row := append([]string{csvTime(at.Local), string(at.Checkin.Kind)}, volumeCells(at, reference)...)
	weight, comfort, socks, u := "", "", "", ""
	if g := at.Checkin.WeightG; g != nil {
		weight = csvNumber(float64(*g) / 1000)
	}
	if at.Assessed.Comfort != nil {
		comfort = strconv.Itoa(*at.Assessed.Comfort)
	}
	if at.SocksAsked {
		socks, u = csvNumber(at.SockMM), csvNumber(at.USockMM)
	}
	return append(row, weight, socks, u, comfort, volume.MethodVersion)
}

// volumeCells are the cells from from_mm to sound_change_percent. reference is
// the day of the visit that changes are counted from; it stands where there is a
// change.
func volumeCells(at followup.VisitView, reference string) []string {
	cells := make([]string, 13)
	if e := at.Volume; e != nil {
		copy(cells, []string{csvNumber(e.FromMM), csvNumber(e.ToMM), csvNumber(e.VolumeML), csvNumber(e.UML), csvNumberOr(at.CapML)})
	}
	if ch := at.Change; ch != nil {
		cells[5], cells[10] = reference, string(ch.Verdict)
		if ch.Comparable {
			copy(cells[6:], []string{csvNumber(ch.ChangePercent), csvNumber(ch.UPercent), csvNumber(ch.LoPercent), csvNumber(ch.HiPercent)})
		}
	}
	if at.SoundVolume != nil {
		cells[11] = csvNumber(at.SoundVolume.VolumeML)
	}
	if ch := at.SoundChange; ch != nil && ch.Comparable {
		cells[12] = csvNumber(ch.ChangePercent)
	}
	return cells
}
