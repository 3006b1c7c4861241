package followup

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"time"

	"fairlead/analytics/assess"
	"fairlead/models"
)

// raiseFlags assesses every limb that a check-in saw and raises what it finds. A
// check-in that is not the newest of its limb, entered late or corrected, is no
// news about the fit: of itself it raises what it says about skin and safety.
// But it changes the history that the newest visit is compared with, so that
// one is assessed again, and raises what it did not find before. What a person has
// closed is raised again only by news (see unsettled).
//
// It returns what was raised, by limb.
func raiseFlags(ctx context.Context, tx *models.Store, now time.Time, c models.Checkin) (map[string][]assess.Finding, error) {
	record, err := Load(ctx, tx, c.ClientID)
	if err != nil {
		return nil, err
	}
	flags, err := tx.FlagsOf(ctx, c.ClientID)
	if err != nil {
		return nil, err
	}
	raised := map[string][]assess.Finding{}
	for _, l := range record.Limbs {
		known := l.upTo(c.ID)
		if len(known.Visits) == 0 {
			continue
		}
		newest := len(known.Visits) == len(l.Visits)
		if newest {
			if err := tx.SeeAttachments(ctx, known.Visits[len(known.Visits)-1].Seen.Attachments); err != nil {
				return nil, err
			}
		}
		found, err := known.assess(newest)
		if err != nil {
			return nil, err
		}
		if !newest {
			news, err := record.news(l, flags)
			if err != nil {
				return nil, err
			}
			found = append(found, news...)
		}
		if found, err = record.unsettled(l, flags, found); err != nil {
			return nil, err
		}
		raised[l.Limb.ID] = found
		for _, f := range found {
			if err := raiseFlag(ctx, tx, now, c.ClientID, l.Limb.ID, f); err != nil {
				return nil, err
			}
		}
	}
	return raised, nil
}

// news are the findings of the newest visit of a limb that no flag keeps yet.
func (r ClientRecord) news(l LimbRecord, flags []models.Flag) ([]assess.Finding, error) {
	found, err := l.Assess()
	if err != nil {
		return nil, err
	}
	return slices.DeleteFunc(found, func(f assess.Finding) bool {
		return slices.ContainsFunc(flags, func(flag models.Flag) bool { return flag.LimbID == l.Limb.ID && r.keeps(flag, f) })
	}), nil
}

// unsettled are the findings of a limb that open a flag or join an open one: all
// but those that say nothing new beside what a person has closed. They still
// stand on the client's page, with who closed their flag and why.
func (r ClientRecord) unsettled(l LimbRecord, flags []models.Flag, found []assess.Finding) ([]assess.Finding, error) {
	h, err := l.defaultHistory()
	if err != nil {
		return nil, err
	}
	return slices.DeleteFunc(found, func(f assess.Finding) bool {
		flag, ok := lastFlag(flags, l.Limb.ID, f)
		return ok && r.settles(h, flag, f)
	}), nil
}

// lastFlag is the open flag of a limb for a finding's rule and place, or the one
// that was closed last.
func lastFlag(flags []models.Flag, limbID string, f assess.Finding) (last models.Flag, ok bool) {
	for _, flag := range flags {
		if flag.LimbID != limbID || flag.Rule != string(f.Rule) || flag.Place != f.Place {
			continue
		}
		if flag.ClosedAt == nil {
			return flag, true
		}
		if !ok || flag.ClosedAt.After(*last.ClosedAt) {
			last, ok = flag, true
		}
	}
	return last, ok
}

// keeps tells whether a flag has a finding as evidence. For a closed flag the
// version of the check-ins does not count: whoever closed it has seen these
// very figures, and correcting something else does not open it again.
func (r ClientRecord) keeps(flag models.Flag, f assess.Finding) bool {
	if flag.Rule != string(f.Rule) || flag.Place != f.Place {
		return false
	}
	return slices.ContainsFunc(flag.Evidence, func(e models.FlagEvidence) bool {
		var kept assess.Finding
		if json.Unmarshal(e.Finding, &kept) != nil {
			return false
		}
		if flag.ClosedAt != nil {
			kept.VisitID, kept.AgainstVisitID = r.currentID(kept.VisitID), r.currentID(kept.AgainstVisitID)
		}
		return equal(kept, f)
	})
}

// currentID is the id of the version that stands now of a check-in.
func (r ClientRecord) currentID(id string) string {
	if c, _, ok := r.Current(id); ok {
		return c.ID
	}
	return id
}

// equal tells whether two findings are the same as evidence, to the last figure.
func equal(a, b assess.Finding) bool {
	x, errX := json.Marshal(a)
	y, errY := json.Marshal(b)
	return errX == nil && errY == nil && bytes.Equal(x, y)
}

// raiseFlag opens a flag for a finding, or adds the finding to the open one.
func raiseFlag(ctx context.Context, tx *models.Store, now time.Time, clientID, limbID string, f assess.Finding) error {
	finding, err := json.Marshal(f)
	if err != nil {
		return fmt.Errorf("finding %s: %w", f.Rule, err)
	}
	flag := models.Flag{
		ID: models.NewID(), ClientID: clientID, LimbID: limbID, Rule: string(f.Rule), Place: f.Place,
		About: string(f.About), Level: string(f.Level), OpenedAt: now,
	}
	evidence := models.FlagEvidence{
		ID: models.NewID(), RuleVersion: f.RuleVersion, Level: string(f.Level), Finding: finding, AddedAt: now,
	}
	if f.ReportID != "" {
		evidence.ReportID = &f.ReportID
	} else {
		evidence.CheckinID = &f.VisitID
	}
	_, err = tx.RaiseFlag(ctx, flag, evidence)
	return err
}
