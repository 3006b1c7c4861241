package followup

import (
	"cmp"
	"math"

	"fairlead/analytics/clearance"
	"fairlead/analytics/girth"
	"fairlead/analytics/quantity"
)

// GapWorking is a gap at one station, step by step, in mm.
type GapWorking struct {
	Readings   []GapReading
	GapMM, UMM float64 // mean of the readings
	Drop       *DropWorking
}

// GapReading is one gap as it was read.
type GapReading struct {
	GapMM, SigmaMM float64
	Method         quantity.ClearanceMethod
}

// DropWorking is the drop of a gap from the one accepted at delivery, in mm.
type DropWorking struct{ AcceptedMM, SigmaMM, DropMM, UMM float64 }

func workGap(p visitPair) (Working, bool) { return p.gapAt(p.finding.Place) }

// gapAt works out the gap at a station, and the drop from the accepted one where
// the finding is judged by that.
func (p visitPair) gapAt(stationID string) (Working, bool) {
	var g GapWorking
	var read []clearance.Reading
	for _, c := range p.now.Assessed.Clearances {
		here := c.StationID == stationID && cmp.Or(c.Shoe, p.now.Assessed.Shoe) == p.finding.Words["shoe"]
		if !here || c.GapMM == nil || c.Method == quantity.NotReachable {
			continue
		}
		read = append(read, clearance.Reading{GapMM: *c.GapMM, Method: c.Method})
		g.Readings = append(g.Readings, GapReading{GapMM: *c.GapMM, SigmaMM: clearance.GapSigmaMM(c.Method), Method: c.Method})
	}
	var ok bool
	if g.GapMM, g.UMM, ok = clearance.PoolReadings(read); !ok {
		return Working{}, false
	}
	want := []expected{{"gap", g.GapMM, &g.UMM}, {"readings", float64(len(g.Readings)), nil}}
	if p.finding.ByDrop() {
		if p.finding.Limit == nil {
			return Working{}, false
		}
		d := DropWorking{AcceptedMM: p.finding.Limit.Value, SigmaMM: clearance.GapSigmaMM(quantity.Feeler)}
		d.DropMM, d.UMM, _ = clearance.DropFromAsBuilt(d.AcceptedMM, d.SigmaMM, g.GapMM, g.UMM)
		g.Drop = &d
		want = append(want, expected{"drop", d.DropMM, &d.UMM})
	}
	return Working{Gap: &g}, p.has(want...)
}

// PassPair is a pair of readings at one level that disagree, in mm.
type PassPair struct{ LevelMM, FirstMM, SecondMM, SpreadMM, LimitMM float64 }

// workPairs lists the pairs of one body part that are further apart than two
// readings may be.
func workPairs(p visitPair) (Working, bool) {
	part := quantity.BodyPart(p.finding.Place)
	profile := taped(p.now, part).Profile
	var w Working
	want := []expected{{"levels", 0, nil}}
	for _, at := range profile {
		if !at.Reread {
			continue
		}
		readings := readingsAt(p.limb.Counted(p.now.LimbVisit, part), at.LevelMM)
		pair := PassPair{at.LevelMM, readings[0], readings[1], math.Abs(readings[0] - readings[1]), girth.PairLimitMM(readings[0], readings[1])}
		w.Pairs = append(w.Pairs, pair)
		want[0].value++
	}
	return w, p.has(want...) && p.hasPairs(w.Pairs)
}

// hasPairs tells whether the finding names these levels and spreads, in order.
func (p visitPair) hasPairs(pairs []PassPair) bool {
	var figures []float64
	for _, v := range p.finding.Values {
		if v.Name == "level" || v.Name == "spread" {
			figures = append(figures, v.Value)
		}
	}
	if len(figures) != 2*len(pairs) {
		return false
	}
	for i, pair := range pairs {
		if !same(figures[2*i], pair.LevelMM) || !same(figures[2*i+1], pair.SpreadMM) {
			return false
		}
	}
	return true
}
