package followup

import (
	"encoding/json"
	"slices"

	"fairlead/analytics/assess"
	"fairlead/models"
)

// Basis is how what a flag rests on stands in the record as it is now.
type Basis struct {
	// NotFound tells that its newest evidence is of the newest visit, which does
	// not find it any more.
	NotFound bool
	// Corrected are the current versions of the check-ins that its newest
	// evidence rests on and that were corrected since.
	Corrected []models.Checkin
}

// BasisOf looks at what an open flag rests on; found are the current findings
// of its limb. A closed flag stands as it was closed.
func (r ClientRecord) BasisOf(f models.Flag, found []assess.Finding) Basis {
	var b Basis
	l, known := r.Limb(f.LimbID)
	if f.ClosedAt != nil || len(f.Evidence) == 0 || !known || len(l.Visits) == 0 {
		return b
	}
	newest, evidence := l.Visits[len(l.Visits)-1].Checkin.ID, f.Evidence[0]
	of, corrected, ok := r.Current(evidence.CheckinID)
	if ok && of.ID == newest {
		b.NotFound = !slices.ContainsFunc(found, func(now assess.Finding) bool {
			return string(now.Rule) == f.Rule && now.Place == f.Place
		})
	}
	if corrected {
		b.Corrected = append(b.Corrected, of)
	}
	var finding assess.Finding
	if json.Unmarshal(evidence.Finding, &finding) != nil {
		return b
	}
	if against, corrected, _ := r.Current(finding.AgainstVisitID); corrected && against.ID != of.ID {
		b.Corrected = append(b.Corrected, against)
	}
	return b
}
