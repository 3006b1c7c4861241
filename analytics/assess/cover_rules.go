package assess

import (
	"slices"
	"strings"

	"fairlead/analytics/clearance"
	"fairlead/analytics/quantity"
)

// asBuiltSoonMM is the drop from the accepted gap that is soon rather than
// watch, when it is beyond error: the 1 mm by which a shell comes back to
// another place after it was taken off (common practice, no source).
const asBuiltSoonMM = 1.0

// skinContactFindings raises a cover that touches skin: act today (row K5, never
// waived). It uses what was seen and typed, no judged figure.
func skinContactFindings(h History, v Visit) []Finding {
	var findings []Finding
	for _, s := range h.Stations {
		at := slices.DeleteFunc(slices.Clone(v.Clearances), func(c Clearance) bool { return c.StationID != s.ID })
		if s.Neighbour != quantity.SkinSurface || !touches(at) {
			continue
		}
		f := newFinding(v, ContactSkin, AboutCover, Now, s.ID)
		f.LookFirst = []string{LookTrimLine, LookAttachment, LookRecentEvents}
		f.describe(s)
		findings = append(findings, f)
	}
	return findings
}

// coverFindings judges the cover: gaps, what was seen of a touch, attachment
// points. Place is the station or attachment point. A gap between cover and
// socket does not close because a limb shrinks, so the mount, the shell and
// recent events come first and the limb is not mentioned.
//
// Words: "direction", "posture", "neighbour", "shoe" (a person's own text),
// "limit" (warn or act, of a gap below it), "first-on" (date of the figure
// "first-gap"), "events" (kinds since then, with commas), "state" and "name" of
// an attachment point.
func coverFindings(h History, v Visit) []Finding {
	var findings []Finding
	for _, gap := range h.Gaps(v) {
		findings = append(findings, gapFindings(h, v, gap)...)
	}
	for _, a := range v.Attachments {
		if a.State != "loose" && a.State != "missing" {
			continue
		}
		f := newFinding(v, Attachment, AboutCover, Soon, a.ID)
		f.LookFirst = []string{LookAttachment}
		f.say("state", a.State)
		f.say("name", a.Name)
		findings = append(findings, f)
	}
	return findings
}

// gapFindings judges one gap.
func gapFindings(h History, v Visit, gap Gap) []Finding {
	var findings []Finding
	raise := func(rule Rule, level Level, limit *LimitUsed) {
		f := newFinding(v, rule, AboutCover, level, gap.Station.ID)
		f.Limit = limit
		f.LookFirst = lookAtGap(gap, rule)
		f.describe(gap.Station)
		f.say("shoe", gap.Shoe)
		if rule == ClearanceBelow {
			f.say("limit", map[bool]string{false: "warn", true: "act"}[gap.State == clearance.BelowAct])
		}
		f.evidence(h, v, gap)
		findings = append(findings, f)
	}
	atSkin := gap.Station.Neighbour == quantity.SkinSurface
	if gap.Polished {
		level := Watch
		if atSkin {
			level = Soon // a polish mark where skin is: it has touched
		}
		raise(RubEvidence, level, nil)
	}
	if gap.Dropped() {
		level := Watch
		if gap.DropMM >= asBuiltSoonMM {
			level = Soon
		}
		raise(AsBuiltDrop, level, asBuiltLimit(gap.Station))
	}
	switch {
	case gap.Touching:
		if !atSkin { // skin: skinContactFindings
			raise(CoverContact, Soon, nil)
		}
	case gap.AsBuilt: // accepted: its limits are not used
	case gap.State == clearance.BelowAct:
		raise(ClearanceBelow, Soon, actLimit(gap.Station))
	case gap.State == clearance.BelowWarn:
		raise(ClearanceBelow, Soon, warnLimit(gap.Station))
	case gap.State == clearance.Unsure:
		raise(ClearanceUnsure, Watch, warnLimit(gap.Station))
	}
	return findings
}

// lookAtGap returns what to look at first when a gap is small.
func lookAtGap(gap Gap, rule Rule) []string {
	first := []string{LookAttachment, LookShell, LookRecentEvents}
	if gap.Station.Neighbour == quantity.SkinSurface {
		first = []string{LookTrimLine, LookAttachment, LookRecentEvents}
	}
	if rule == ClearanceUnsure || rule == RubEvidence {
		return append([]string{LookFeeler}, first...)
	}
	return first
}

// describe names the station in codes.
func (f *Finding) describe(s Station) {
	f.add(exact("level", s.LevelMM, MM))
	f.say("direction", string(s.Direction))
	f.say("posture", string(s.Posture))
	f.say("neighbour", string(s.Neighbour))
}

// evidence adds the gap, the drop, and the first gap that can be compared.
func (f *Finding) evidence(h History, v Visit, gap Gap) {
	if gap.Readings > 0 {
		f.add(measured("gap", gap.GapMM, gap.UMM, MM), exact("readings", float64(gap.Readings), Count))
	}
	if gap.Accepted {
		f.add(measured("drop", gap.DropMM, gap.UDropMM, MM))
	}
	if first, on, ok := h.firstGap(gap, v); ok {
		f.AgainstVisitID = on.ID
		f.add(measured("first-gap", first.GapMM, first.UMM, MM))
		f.say("first-on", string(on.On))
		f.say("events", strings.Join(h.eventsSince(on, v), ","))
	}
}

func warnLimit(s Station) *LimitUsed { return s.limitUsed(s.Limits().WarnMM, s.WarnMM == nil) }

func actLimit(s Station) *LimitUsed { return s.limitUsed(s.Limits().ActMM, s.ActMM == nil) }

// limitUsed tells who set a limit of the station.
func (s Station) limitUsed(mm float64, starting bool) *LimitUsed {
	if starting {
		return &LimitUsed{Value: mm, Unit: MM, Starting: true}
	}
	return &LimitUsed{Value: mm, Unit: MM, By: s.LimitBy, On: s.LimitOn}
}

// asBuiltLimit is the accepted gap and who accepted it.
func asBuiltLimit(s Station) *LimitUsed {
	return &LimitUsed{Value: *s.AsBuiltMM, Unit: MM, By: s.AsBuiltBy, On: s.AsBuiltOn}
}
