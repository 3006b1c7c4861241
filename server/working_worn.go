package server

import (
	"fmt"
	"math"
	"strings"

	"fairlead/analytics/assess"
	"fairlead/analytics/clearance"
	"fairlead/analytics/volume"
	"fairlead/server/followup"
)

// sockSteps are the steps of a finding about what is worn between limb and
// socket.
func (y sayer) sockSteps(w followup.SockWorking, f assess.Finding) []workingStep {
	limit := 0.0
	if f.Limit != nil {
		limit = f.Limit.Value
	}
	atLeast := func(count int) string {
		return y.text("working.at-least", "Keys", y.decimal(float64(count), 0), "Limit", y.exact(limit))
	}
	worn := y.word("sock-occasion", string(w.Occasion))
	switch f.Rule {
	case assess.SocksThick:
		return []workingStep{{
			What:  y.text("working.socks.thick", "Worn", worn, "Ply", y.decimal(clearance.ThickPly, 0)),
			Lines: []string{atLeast(w.Now.Thick)}, Tables: []workingTable{y.sockTable(w.Lines, false)},
		}}
	case assess.SocksPly:
		var products []string
		for _, line := range w.Lines {
			products = append(products, fmt.Sprintf("%d × %d", line.Now, line.Sock.Ply))
		}
		keys := strings.Join(products, " + ") + " = " + y.decimal(float64(w.Now.Ply), 0)
		return []workingStep{{
			What:  y.text("working.socks.ply", "Worn", worn),
			Lines: []string{y.text("working.more-than", "Keys", keys, "Limit", y.exact(limit))}, Tables: []workingTable{y.sockTable(w.Lines, false)},
		}}
	}
	layers := fmt.Sprintf("%d − %d = %d", w.Now.Layers, w.Then.Layers, w.Now.Layers-w.Then.Layers)
	what := "working.socks.layers"
	switch {
	case f.Words["thick"] != "":
		layers = fmt.Sprintf("%d − %d = %d", w.Now.Thick, w.Then.Thick, w.Now.Thick-w.Then.Thick)
		what = "working.socks.layers-thick"
	case f.Words["lasting"] != "":
		what = "working.socks.layers-lasting"
	}
	return []workingStep{
		{What: y.text(what, "Ply", y.decimal(clearance.ThickPly, 0)), Lines: []string{y.text("working.at-least", "Keys", layers, "Limit", y.exact(limit))},
			Tables: []workingTable{y.sockTable(w.Lines, true)}},
		{What: y.text("working.socks.thickness"), Lines: []string{
			y.text("working.socks.thickness-then", "Sum", y.upTo(w.Then.ThicknessMM, 4), "U", y.decimal(w.Then.UMM, 3)),
			y.text("working.socks.thickness-now", "Sum", y.upTo(w.Now.ThicknessMM, 4), "U", y.decimal(w.Now.UMM, 3)),
		}},
	}
}

// sockTable counts the socks, with the estimated thickness of one.
func (y sayer) sockTable(lines []followup.SockLine, compared bool) workingTable {
	t := workingTable{Caption: y.text("working.socks.caption"), Head: []string{y.text("working.col.sock")}}
	if compared {
		t.Head = append(t.Head, y.text("working.col.then"))
	}
	t.Head = append(t.Head, y.text("working.col.now"), y.text("working.col.thickness"), y.text("working.col.u"))
	for _, line := range lines {
		sock := []string{y.text("working.sock", "Ply", line.Sock.Ply)}
		if line.Sock.Material != "" {
			sock = append(sock, y.word("sock-material", line.Sock.Material))
		}
		if line.Sock.WornThin {
			sock = append(sock, y.text("working.sock.worn"))
		}
		row := []string{strings.Join(sock, ", ")}
		if compared {
			row = append(row, y.decimal(float64(line.Then), 0))
		}
		t.Rows = append(t.Rows, append(row, y.decimal(float64(line.Now), 0), y.upTo(line.ThicknessMM, 4), y.upTo(line.UMM, 4)))
	}
	return t
}

const mm3PerML = 1000

// roomSteps are the steps of a finding about the room in the socket.
func (y sayer) roomSteps(w followup.RoomWorking, f assess.Finding) []workingStep {
	v := y.volumeSayer(w.Volume)
	steps := append(v.changeSteps(), v.uncertaintySteps()...)
	surface := y.decimal(w.SurfaceMM2, 1)
	limbMM := -w.Volume.Change.ChangeML * mm3PerML / w.SurfaceMM2
	steps = append(steps,
		workingStep{What: y.text("working.room.limb"), Lines: []string{
			y.text("working.room.surface", "Surface", surface),
			fmt.Sprintf("−1000 × %s ÷ %s = %s%smm", v.bracketed(w.Volume.Change.ChangeML, volumeDecimals+v.more), surface, y.decimal(limbMM, 3), narrow),
			fmt.Sprintf("u = 1000 × %s ÷ %s = %s%smm", v.ml(w.Volume.Change.UML, volumeDecimals), surface,
				y.decimal(w.Volume.Change.UML*mm3PerML/w.SurfaceMM2, 4), narrow),
		}},
		y.fillStep(w), y.roomStep(w, f, limbMM),
	)
	return steps
}

// fillStep is how much thicker liner and socks are.
func (y sayer) fillStep(w followup.RoomWorking) workingStep {
	step := workingStep{What: y.text("working.room.fill"), Tables: []workingTable{y.sockTable(w.Socks, true)}}
	if w.ULiner == 0 {
		step.Lines = append(step.Lines, y.text("working.room.same-liner"))
	} else {
		keys := fmt.Sprintf("%s − %s = %s%smm", y.exact(*w.LinerNowMM), y.exact(*w.LinerThenMM), y.exact(w.LinerMM), narrow)
		step.Lines = append(step.Lines, y.text("working.room.liner", "Keys", keys, "Sigma", y.exact(clearance.LinerSigmaMM), "U", y.upTo(w.ULiner, 4)))
	}
	step.Lines = append(step.Lines, y.text("working.room.socks", "Change", y.upTo(w.SocksMM, 4), "U", y.upTo(w.USocks, 4)))
	return step
}

// roomStep joins limb, liner and socks, and compares with the limit.
func (y sayer) roomStep(w followup.RoomWorking, f assess.Finding, limbMM float64) workingStep {
	m := w.Mean
	room, u, factor := y.decimal(m.RoomMM, 3), y.decimal(m.UMM, 3), y.decimal(volume.Normal975, 2)
	uLimb := y.decimal(w.Volume.Change.UML*mm3PerML/w.SurfaceMM2, 4)
	step := workingStep{What: y.text("working.room"), Lines: []string{
		fmt.Sprintf("%s − %s − %s = %s%smm", y.decimal(limbMM, 3), y.bracketed(w.LinerMM, 1), y.bracketed(w.SocksMM, 3), room, narrow),
		fmt.Sprintf("u = √(%s² + %s² + %s²) = %s%smm", uLimb, y.upTo(w.ULiner, 4), y.upTo(w.USocks, 4), u, narrow),
		fmt.Sprintf("%s − %s × %s = %s%smm", room, factor, u, y.decimal(m.LoMM, intervalDecimals), narrow),
		fmt.Sprintf("%s + %s × %s = %s%smm", room, factor, u, y.decimal(m.HiMM, intervalDecimals), narrow),
		y.text("working.verdict.leaves-out-0"),
	}}
	if f.Limit != nil {
		step.Lines = append(step.Lines, y.text("working.verdict.reached",
			"Size", y.decimal(math.Abs(m.RoomMM), 3)+narrow+"mm", "Limit", y.exact(f.Limit.Value)+narrow+"mm"))
	}
	return step
}
