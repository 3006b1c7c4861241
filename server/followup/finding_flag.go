package followup

import (
	"encoding/json"
	"slices"

	"fairlead/analytics/assess"
	"fairlead/models"
)

// FlagState is how a finding of a check-in stands among the flags of its limb.
type FlagState string

// How a finding stands.
const (
	FlagThere   FlagState = "there"   // a flag, open or closed, rests on it
	FlagSettled FlagState = "settled" // none was opened: one that a person closed has answered it
	FlagNone    FlagState = "none"    // none rests on it
	FlagJoins   FlagState = "joins"   // saving the check-in adds it to an open flag
	FlagOpens   FlagState = "opens"   // saving the check-in opens one
)

// FlagStates lists the states.
var FlagStates = []FlagState{FlagThere, FlagSettled, FlagNone, FlagJoins, FlagOpens}

// FindingFlag is how a finding stands, and the flag that it is about: none for
// FlagNone and FlagOpens.
type FindingFlag struct {
	State FlagState
	Flag  models.Flag
}

// FlagOf looks for the flag that rests on a finding about a limb of a recorded
// check-in, or for the one that had answered it when the check-in was entered.
func (r ClientRecord) FlagOf(l LimbRecord, flags []models.Flag, f assess.Finding) (FindingFlag, error) {
	if flag, ok := r.restingOn(l, flags, f); ok {
		return FindingFlag{FlagThere, flag}, nil
	}
	at, _, _ := r.Current(f.VisitID)
	known := slices.DeleteFunc(slices.Clone(flags), func(flag models.Flag) bool {
		return flag.OpenedAt.After(at.EnteredAt)
	})
	flag, ok := lastFlag(known, l.Limb.ID, f)
	if !ok || flag.ClosedAt == nil || flag.ClosedAt.After(at.EnteredAt) {
		return FindingFlag{State: FlagNone}, nil
	}
	settled, err := r.settledBy(l, flag, f)
	if err != nil || !settled {
		return FindingFlag{State: FlagNone}, err
	}
	return FindingFlag{FlagSettled, flag}, nil
}

// FlagOfUnsaved tells what becomes of a finding when the check-in that makes it is
// saved; the check-in is among those of the record.
func (r ClientRecord) FlagOfUnsaved(l LimbRecord, flags []models.Flag, f assess.Finding) (FindingFlag, error) {
	if of, _, _ := r.Current(f.VisitID); !of.EnteredAt.IsZero() { // of a newer one, which is recorded
		for _, flag := range flags {
			if flag.LimbID == l.Limb.ID && r.keeps(flag, f) {
				return FindingFlag{FlagThere, flag}, nil
			}
		}
	}
	flag, ok := lastFlag(flags, l.Limb.ID, f)
	switch {
	case !ok:
		return FindingFlag{State: FlagOpens}, nil
	case flag.ClosedAt == nil:
		return FindingFlag{FlagJoins, flag}, nil
	}
	settled, err := r.settledBy(l, flag, f)
	if err != nil || !settled {
		return FindingFlag{State: FlagOpens}, err
	}
	return FindingFlag{FlagSettled, flag}, nil
}

// restingOn returns the flag that has a finding of the same rule, place and visit
// as evidence, whichever version of its check-in that was: an open one before a
// closed one, then the last that was opened.
func (r ClientRecord) restingOn(l LimbRecord, flags []models.Flag, f assess.Finding) (models.Flag, bool) {
	var on []models.Flag
	for _, flag := range flags {
		rests := slices.ContainsFunc(flag.Evidence, func(e models.FlagEvidence) bool {
			return e.CheckinID != nil && r.currentID(*e.CheckinID) == r.currentID(f.VisitID)
		})
		if rests {
			on = append(on, flag)
		}
	}
	return lastFlag(on, l.Limb.ID, f)
}

// settledBy tells whether a person who closed a flag of the same rule and place has
// answered a finding, with what was known up to the visit that it is of.
func (r ClientRecord) settledBy(l LimbRecord, flag models.Flag, f assess.Finding) (bool, error) {
	h, err := l.upTo(f.VisitID).defaultHistory()
	if err != nil {
		return false, err
	}
	return r.settles(h, flag, f), nil
}

// settles tells whether a closed flag has answered a finding of the newest visit of
// a history.
func (r ClientRecord) settles(h assess.History, flag models.Flag, f assess.Finding) bool {
	if flag.ClosedAt == nil || len(flag.Evidence) == 0 {
		return false
	}
	var closed assess.Finding
	if json.Unmarshal(flag.Evidence[0].Finding, &closed) != nil {
		return false
	}
	closed.VisitID, closed.AgainstVisitID = r.currentID(closed.VisitID), r.currentID(closed.AgainstVisitID)
	return h.Settled(closed, f)
}
