package server

import (
	"cmp"
	"encoding/json"
	"maps"
	"slices"
	"strings"

	"fairlead/analytics/assess"
	"fairlead/models"
)

// openSection lists what needs someone. A few stand open, the others are behind
// one step, so that the page stays calm.
type openSection struct {
	Lede        string
	First, More []flagLine
}

// flagLine is an open flag for the partial "flag".
type flagLine struct {
	saidFinding
	Link, LinkLabel string
}

// flagsInSight is how many flags stand open; those that need someone now or
// soon always do.
const flagsInSight = 6

func (m sheetMaker) openSection() openSection {
	open := m.open()
	section := openSection{Lede: m.text("follow.needs-none")}
	if len(open) > 0 {
		section.Lede = m.text("follow.needs-lede", "Count", len(open), "Number", upperFirst(m.count(len(open))))
	}
	for i, f := range open {
		line := flagLine{saidFinding: m.flag(f), Link: flagPath(f), LinkLabel: m.text("follow.evidence")}
		for _, said := range slices.Backward(m.basis(m.bases[f.ID], m.zone)) {
			line.Rest = joinSentences(said.Sentence, line.Rest)
		}
		for _, said := range m.teller().life(f, m.today) {
			line.Rest = joinSentences(line.Rest, fullStop(said))
		}
		if i < flagsInSight || f.Level != string(assess.Watch) {
			section.First = append(section.First, line)
		} else {
			section.More = append(section.More, line)
		}
	}
	return section
}

// flag puts a flag into the words of its newest evidence, at its own level: that
// never falls while it is open. Nor does a newer report take back what an earlier
// one ticked on the safety page: all of it stands in the claim.
func (y sayer) flag(f models.Flag) saidFinding {
	said := saidFinding{Claim: y.text("finding.other", "Rule", f.Rule)}
	if found, ok := newestFinding(f); ok && f.ClosedAt == nil {
		said = y.finding(withAllSigns(f, found))
	} else if ok {
		said = y.found(withAllSigns(f, found))
	}
	said.Level = f.Level
	return said
}

// firstSign stands before all others on the safety page: it is help to call for,
// before anything of the workshop's.
const firstSign = "breathless"

// withAllSigns adds to the newest finding of a safety flag what was ticked since
// the flag was opened, what is needed most first.
func withAllSigns(f models.Flag, newest assess.Finding) assess.Finding {
	if newest.Rule != assess.ReportSafety {
		return newest
	}
	ticked, cannotPhone := map[string]bool{}, ""
	for _, e := range f.Evidence {
		var found assess.Finding
		if json.Unmarshal(e.Finding, &found) != nil {
			continue
		}
		for sign := range strings.SplitSeq(found.Words["safety"], ",") {
			ticked[sign] = true
		}
		cannotPhone = cmp.Or(cannotPhone, found.Words["cannot-phone"])
	}
	var signs []string
	for _, sign := range append([]string{firstSign}, models.SafetySigns...) {
		if ticked[sign] {
			signs, ticked[sign] = append(signs, sign), false
		}
	}
	newest.Words = maps.Clone(newest.Words)
	newest.Words["safety"], newest.Words["cannot-phone"] = strings.Join(signs, ","), cannotPhone
	return newest
}

// newestFinding reads the newest evidence of a flag; ok is false for a flag
// without any that can be read.
func newestFinding(f models.Flag) (finding assess.Finding, ok bool) {
	if len(f.Evidence) == 0 || json.Unmarshal(f.Evidence[0].Finding, &finding) != nil {
		return finding, false
	}
	return finding, true
}

func flagPath(f models.Flag) string { return "/clients/" + f.ClientID + "/flags/" + f.ID }

// handoverPath is the address of a handover.
func handoverPath(clientID, handoverID string) string {
	return "/clients/" + clientID + "/handovers/" + handoverID
}
