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

// Bases looks at what the open flags of a limb rest on, by the id of the flag;
// found are its findings as LimbRecord.Assess gives them. A closed flag stands as
// it was closed and is absent.
func (r ClientRecord) Bases(l LimbRecord, flags []models.Flag, found []assess.Finding) map[string]Basis {
	bases := map[string]Basis{}
	for _, f := range flags {
		if f.LimbID == l.Limb.ID && f.ClosedAt == nil && len(f.Evidence) > 0 && len(l.Visits) > 0 {
			bases[f.ID] = r.basis(l, f, found)
		}
	}
	return bases
}

func (r ClientRecord) basis(l LimbRecord, f models.Flag, found []assess.Finding) Basis {
	var b Basis
	evidence := f.Evidence[0]
	if evidence.CheckinID == nil { // a report stands as it was sent
		return b
	}
	of, corrected, ok := r.Current(*evidence.CheckinID)
	if ok && of.ID == l.Visits[len(l.Visits)-1].Checkin.ID {
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
