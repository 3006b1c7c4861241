package followup

import (
	"maps"
	"math"
	"slices"

	"fairlead/analytics/assess"
	"fairlead/analytics/clearance"
	"fairlead/analytics/quantity"
	"fairlead/models"
)

// RoomWorking is the change of room in a socket, step by step.
type RoomWorking struct {
	Volume          VolumeWorking
	SurfaceMM2      float64 // ∫C dz of the mean of both girths
	LinerThenMM     *float64
	LinerNowMM      *float64
	LinerMM, ULiner float64    // how much thicker the liner now is
	Socks           []SockLine // of both visits
	SocksMM, USocks float64    // how much thicker the socks now are
	Mean            clearance.RoomChange
}

// SockWorking is what is worn between limb and socket, counted.
type SockWorking struct {
	Occasion models.SockOccasion // of the stack that the finding counts
	Lines    []SockLine          // Then is 0 where the finding compares with nothing
	Then     SockCounts
	Now      SockCounts
}

// SockLine is one kind of sock and how many of them there are, with the
// estimated thickness of one in mm.
type SockLine struct {
	Sock             clearance.Sock
	Then, Now        int
	ThicknessMM, UMM float64
}

// SockCounts are the counts of a stack and its estimated thickness in mm.
type SockCounts struct {
	Layers, Thick, Ply int
	ThicknessMM, UMM   float64
}

func workSocks(p visitPair) (Working, bool) {
	now, then := p.now.Assessed, p.then.Assessed
	w := SockWorking{Occasion: models.SocksNow, Then: countsOf(then.SocksNow), Now: countsOf(now.SocksNow)}
	most := countsOf(now.SocksMost)
	var want []expected
	switch p.finding.Rule {
	case assess.SocksThick:
		if most.Thick > w.Now.Thick {
			w.Occasion, w.Now = models.SocksMost, most
		}
		want = append(want, expected{"thick-socks", float64(w.Now.Thick), nil})
	case assess.SocksPly:
		if most.Ply > w.Now.Ply {
			w.Occasion, w.Now = models.SocksMost, most
		}
		want = append(want, expected{"ply", float64(w.Now.Ply), nil})
	default:
		want = append(want,
			expected{"layers-then", float64(w.Then.Layers), nil}, expected{"layers-now", float64(w.Now.Layers), nil},
			expected{"thickness-then", w.Then.ThicknessMM, &w.Then.UMM}, expected{"thickness-now", w.Now.ThicknessMM, &w.Now.UMM},
		)
	}
	worn := now.SocksNow
	if w.Occasion == models.SocksMost {
		worn = now.SocksMost
	}
	w.Lines = sockLines(then.SocksNow, worn)
	return Working{Socks: &w}, p.has(want...)
}

func countsOf(socks []clearance.Sock) SockCounts {
	c := SockCounts{Layers: len(socks)}
	for _, s := range socks {
		c.Ply += s.Ply
		if s.Thick() {
			c.Thick++
		}
	}
	c.ThicknessMM, c.UMM = clearance.SockStack(socks)
	return c
}

// sockLines counts equal socks together, thin ones first.
func sockLines(then, now []clearance.Sock) []SockLine {
	lines := map[clearance.Sock]SockLine{}
	for i, s := range slices.Concat(then, now) {
		line := lines[s]
		line.Sock = s
		line.ThicknessMM, line.UMM = s.ThicknessMM()
		if i < len(then) {
			line.Then++
		} else {
			line.Now++
		}
		lines[s] = line
	}
	return slices.SortedFunc(maps.Values(lines), func(a, b SockLine) int { return clearance.CompareSocks(a.Sock, b.Sock) })
}

func workRoom(p visitPair) (Working, bool) {
	v, ok := p.limb.volumeWorking(p.then, p.now, quantity.Residual)
	if !ok {
		return Working{}, false
	}
	then, now := p.then.Assessed, p.now.Assessed
	worn := func(v assess.Visit) clearance.Worn {
		return clearance.Worn{Limb: v.Residual, LinerType: v.LinerType, LinerMM: v.LinerMM, Socks: v.SocksNow}
	}
	r := RoomWorking{Volume: v, LinerThenMM: then.LinerMM, LinerNowMM: now.LinerMM, Socks: sockLines(then.SocksNow, now.SocksNow)}
	var err error
	if _, r.Mean, err = clearance.ChangeOfRoom(worn(then), worn(now), p.limb.Tape.Sigmas()); err != nil {
		return Working{}, false
	}
	if r.LinerMM, r.ULiner, err = clearance.LinerChange(worn(then), worn(now)); err != nil {
		return Working{}, false
	}
	r.SocksMM, r.USocks = clearance.StackChange(then.SocksNow, now.SocksNow)
	for i := range len(v.Then.Levels) - 1 {
		a, b := v.Then.Levels, v.Now.Levels
		r.SurfaceMM2 += (a[i+1].LevelMM - a[i].LevelMM) * (a[i].GirthMM + a[i+1].GirthMM + b[i].GirthMM + b[i+1].GirthMM) / 4
	}
	const mm3PerML = 1000
	sameRoom := same(r.Mean.RoomMM, -v.Change.ChangeML*mm3PerML/r.SurfaceMM2-r.LinerMM-r.SocksMM) &&
		same(r.Mean.UMM, math.Hypot(v.Change.UML*mm3PerML/r.SurfaceMM2, math.Hypot(r.ULiner, r.USocks)))
	return Working{Room: &r}, sameRoom && p.has(expected{"room", r.Mean.RoomMM, &r.Mean.UMM})
}
