package server

import (
	"cmp"
	"encoding/json"

	"fairlead/analytics/assess"
	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/followup"
)

// stays says why the level of a flag stands above that of its newest evidence: by
// the newest piece that was as urgent as the flag is, with its figure, the limit it
// was judged by and what else made it so. Empty for a flag whose newest evidence is
// of its own level.
func (t flagTeller) stays(f models.Flag, record followup.ClientRecord) string {
	if len(f.Evidence) == 0 || f.Evidence[0].Level == f.Level {
		return ""
	}
	for _, e := range f.Evidence {
		if e.Level != f.Level {
			continue
		}
		id := "flag.stays"
		if f.ClosedAt != nil {
			id = "flag.stayed"
		}
		return t.text(id, "Level", lowerFirst(t.word("mark", f.Level)), "Of", lowerFirst(t.restsOn(e, record)), "Said", t.whySoUrgent(f, e))
	}
	return ""
}

// restsOn names what a piece of evidence is of: "Check-in of 25 June 2026".
func (t flagTeller) restsOn(e models.FlagEvidence, record followup.ClientRecord) string {
	if e.CheckinID != nil {
		if link, ok := t.checkinLink(record, *e.CheckinID, "flag.checkin", "flag.checkin-corrected"); ok {
			return link.Day
		}
		return t.text("flag.evidence-of", "On", t.day(e.AddedAt))
	}
	var f assess.Finding
	on := t.day(e.AddedAt)
	if json.Unmarshal(e.Finding, &f) == nil && f.Words["reported-on"] != "" {
		on = t.date(quantity.Date(f.Words["reported-on"]))
	}
	return t.text("flag.of-report", "On", on)
}

// whySoUrgent says what a piece of evidence found, the limit and who set it, and
// what made it more urgent than the figure alone.
func (t flagTeller) whySoUrgent(flag models.Flag, e models.FlagEvidence) string {
	var f assess.Finding
	if json.Unmarshal(e.Finding, &f) != nil || sayings[f.Rule] == nil {
		return t.text("finding.other", "Rule", cmp.Or(flag.Rule, string(f.Rule))) + "."
	}
	said := t.finding(f)
	all := joinSentences(said.Claim+".", said.Rest)
	if f.Rule == assess.VolumeChange && f.Words["with"] != "" {
		all = joinSentences(all, t.text("finding.volume-with."+f.Words["with"]))
	}
	for _, because := range []string{"reduced-feeling", "diabetes"} {
		if f.Words[because] != "" {
			all = joinSentences(all, t.text("finding.because."+because))
		}
	}
	return all
}
