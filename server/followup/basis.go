package followup

import (
	"encoding/json"
	"slices"

	"fairlead/analytics/assess"
	"fairlead/models"
)

// Basis is how what a flag rests on stands in the record as it is now.
type Basis struct {
	// NotFound tells that the newest visit does not find it any more: the one that
	// its newest evidence is of, as the record stands now, or a later one whose
	// figure is back inside the limit. A figure that is inside by no more than its
	// standard uncertainty does not count as gone.
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
	h, err := l.defaultHistory()
	if err != nil { // then it could not be assessed, either
		return bases
	}
	for _, f := range flags {
		if f.LimbID == l.Limb.ID && f.ClosedAt == nil && len(f.Evidence) > 0 && len(l.Visits) > 0 {
			bases[f.ID] = r.basis(l, h, f, found)
		}
	}
	return bases
}

func (r ClientRecord) basis(l LimbRecord, h assess.History, f models.Flag, found []assess.Finding) Basis {
	var b Basis
	evidence := f.Evidence[0]
	if evidence.CheckinID == nil { // a report stands as it was sent
		return b
	}
	var finding assess.Finding
	unread := json.Unmarshal(evidence.Finding, &finding) != nil
	of, corrected, ok := r.Current(*evidence.CheckinID)
	if !slices.ContainsFunc(found, func(now assess.Finding) bool { return string(now.Rule) == f.Rule && now.Place == f.Place }) {
		o, judged := h.Outlying(finding)
		b.NotFound = judged && o.Gone() || !judged && ok && of.ID == l.Visits[len(l.Visits)-1].Checkin.ID
	}
	if corrected {
		b.Corrected = append(b.Corrected, of)
	}
	if unread {
		return b
	}
	if against, corrected, _ := r.Current(finding.AgainstVisitID); corrected && against.ID != of.ID {
		b.Corrected = append(b.Corrected, against)
	}
	return b
}
