package followup

import (
	"slices"

	"fairlead/analytics/assess"
	"fairlead/analytics/quantity"
	"fairlead/models"
)

// workReport works out what stands beside a client's report: a tight station of
// the newest walk beside a rub, a change of volume beside a socket that is said to
// be tight or loose. The report itself takes no arithmetic, and its finding names
// one check-in: the newest of those that it looked at.
func (r ClientRecord) workReport(l LimbRecord, f assess.Finding) Working {
	_, gap := f.Value("gap")
	_, change := f.Value("change")
	gap = gap && f.Rule == assess.ReportRub && f.Words["touch"] != string(quantity.Contact)
	change = change && f.Rule == assess.ReportFit
	if !gap && !change {
		return Working{}
	}
	pair := visitPair{limb: l, finding: f}
	var missing MissingWorking
	if pair.now, missing = r.visitOf(l, f.AgainstVisitID); missing != "" {
		return Working{Missing: missing}
	}
	var working Working
	var same bool
	if gap {
		working, same = pair.besideRub()
	} else {
		working, same = r.besideFit(pair)
	}
	if !same {
		return Working{Missing: WorkingDiffers}
	}
	return working
}

// besideRub works out the gap of the station that the finding describes. It names
// a place of the body map and no station: of those that it describes the one that
// comes to its figures.
func (p visitPair) besideRub() (Working, bool) {
	if p.limb.Cover == nil {
		return Working{}, false
	}
	for _, s := range p.limb.Cover.Stations {
		words := p.finding.Words
		level, _ := p.finding.Value("level")
		described := same(s.Level.MM(), level.Value) && words["direction"] == string(s.Direction) &&
			words["posture"] == string(s.Posture) && words["neighbour"] == string(s.Neighbour)
		if w, ok := p.gapAt(s.ID); ok && described {
			return w, true
		}
	}
	return Working{}, false
}

// besideFit works out the change of volume since the day that the finding names:
// of the visits of that day, corrected since or not, the one that comes to its
// figures.
func (r ClientRecord) besideFit(p visitPair) (Working, bool) {
	since := quantity.Date(p.finding.Words["since"])
	of := func(c models.Checkin) bool { return Day(c) == since && c.ID != p.finding.AgainstVisitID }
	for _, c := range slices.Concat(r.Checkins, r.Superseded) {
		if !of(c) {
			continue
		}
		then, missing := r.visitOf(p.limb, c.ID)
		if missing != "" {
			continue
		}
		v, ok := p.limb.volumeWorking(then, p.now, quantity.Residual)
		if ok && p.has(expected{"change", v.Change.ChangePercent, &v.Change.UPercent}) {
			return Working{Volume: &v}, true
		}
	}
	return Working{}, false
}
