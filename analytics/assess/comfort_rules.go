package assess

import (
	"slices"

	"fairlead/analytics/volume"
)

// WorthPoints is the change of a 0–10 rating that is worth attention (row P1:
// Farrar et al. 2001 for pain, reproduced in later papers), and how far from
// "just right" a report of looseness counts.
const WorthPoints = 2

// rating is one 0–10 item of a visit. Up tells that more is worse.
type rating struct {
	name string
	of   func(Visit) *int
	up   bool
}

var ratings = []rating{
	{"comfort", func(v Visit) *int { return v.Comfort }, false},
	{"worst-comfort", func(v Visit) *int { return v.WorstComfort }, false},
	{"worst-pain", func(v Visit) *int { return v.WorstPain }, true},
}

// worsening is how much worse one rating has become, in points.
type worsening struct {
	rating
	then, now, points int
	since             Visit
}

// worsened returns the ratings that have become worse by two points or more
// since the first visit, from the base on, that has them.
func worsened(h History, base, now Visit) []worsening {
	var worse []worsening
	for _, r := range ratings {
		today := r.of(now)
		if today == nil {
			continue
		}
		for _, v := range h.earlier() {
			then := r.of(v)
			if v.At < base.At || then == nil {
				continue
			}
			points := *then - *today
			if r.up {
				points = -points
			}
			if points >= WorthPoints {
				worse = append(worse, worsening{r, *then, *today, points, v})
			}
			break
		}
	}
	return worse
}

// rubSigns are the signs on the skin that count as a report of rubbing.
var rubSigns = []string{rubMark, "blister", "redness-stays"}

// reportedDays is how long before a visit a report still counts as a symptom of
// what the visit finds: four weeks (common practice, no source).
const reportedDays = 28

// symptomWith names what makes a change of volume more urgent (V7): comfort or
// pain worse by two points, a socket said to be too loose by two, or a sign of
// rubbing on the limb, at the same visit or in a report of the four weeks before.
// A polish mark and a rub at the cover are the cover's and do not count.
func symptomWith(h History, base, now Visit) string {
	if len(worsened(h, base, now)) > 0 {
		return "comfort"
	}
	if now.Looseness != nil && *now.Looseness <= -WorthPoints {
		return "looseness"
	}
	if slices.ContainsFunc(now.Skin, func(s Skin) bool { return slices.Contains(rubSigns, s.Sign) }) {
		return "rub"
	}
	if slices.ContainsFunc(h.Reports, func(r Report) bool { return r.symptomOf(now) }) {
		return "reported"
	}
	return ""
}

// symptomOf tells whether a report speaks, shortly before a visit, of a socket
// that is loose or of skin that was rubbed.
func (r Report) symptomOf(now Visit) bool {
	days, known := now.On.DaysSince(r.On)
	if !known || days < 0 || days > reportedDays {
		return false
	}
	return slices.Contains(r.What, "loose") || r.Looseness != nil && *r.Looseness <= -WorthPoints ||
		slices.ContainsFunc(r.Skin, func(sign string) bool { return slices.Contains(rubSigns, sign) })
}

// comfortFindings raises comfort down or pain up by two points (P1): watch
// alone, soon when the limb or the room in its socket changed beyond measuring
// error as well.
//
// Words: those of a change of a limb, the name of each rating with "-since" (date
// of its figure then), "with" (volume or room), and "with-since" (date that this
// counts from, where it is not the visit of every rating then).
func comfortFindings(h History, v Visit) []Finding {
	base, _ := h.base() // without one there is no earlier visit to be worse than
	worse := worsened(h, base, v)
	if len(worse) == 0 {
		return nil
	}
	f := newFinding(v, ComfortDrop, AboutLimb, Watch, "")
	f.Limit = &LimitUsed{Value: WorthPoints, Unit: Points, Fixed: true}
	f.LookFirst = []string{LookSocks, LookRecentEvents}
	for _, w := range worse {
		f.add(exact(w.name+"-then", float64(w.then), Points), exact(w.name+"-now", float64(w.now), Points))
		f.say(w.name+"-since", string(w.since.On))
	}
	f.AgainstVisitID = worse[0].since.ID
	f.limb(h, worse[0].since, v)

	if change, ok := h.changeSince(base); ok && (change.Verdict == volume.Smaller || change.Verdict == volume.Larger) {
		f.Level = Soon
		f.say("with", "volume")
		f.say("with-since", otherThan(worse, base))
		f.add(estimated("change", change.ChangePercent, change.UPercent, change.LoPercent, change.HiPercent, Percent))
	} else if room, none := h.Room(); none == "" && room.Beyond() {
		f.Level = Soon
		f.say("with", "room")
		f.say("with-since", otherThan(worse, room.Since))
		f.add(estimated("room", room.Mean.RoomMM, room.Mean.UMM, room.Mean.LoMM, room.Mean.HiMM, MM))
	}
	return []Finding{f}
}

// otherThan returns the date of a visit when not every rating is counted from
// it, and nothing when all are.
func otherThan(worse []worsening, visit Visit) string {
	if slices.ContainsFunc(worse, func(w worsening) bool { return w.since.ID != visit.ID }) {
		return string(visit.On)
	}
	return ""
}
