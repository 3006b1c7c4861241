package assess

import (
	"fairlead/analytics/volume"
)

// worthPoints is the change of a 0–10 rating that is worth attention (row P1:
// Farrar et al. 2001 for pain, reproduced in later papers), and how far from
// "just right" a report of looseness counts.
const worthPoints = 2

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
// since the first visit, from the reference on, that has them.
func worsened(h History, reference, now Visit) []worsening {
	var worse []worsening
	for _, r := range ratings {
		today := r.of(now)
		if today == nil {
			continue
		}
		for _, v := range h.earlier() {
			then := r.of(v)
			if v.At < reference.At || then == nil {
				continue
			}
			points := *then - *today
			if r.up {
				points = -points
			}
			if points >= worthPoints {
				worse = append(worse, worsening{r, *then, *today, points, v})
			}
			break
		}
	}
	return worse
}

// symptomWith names what makes a change of volume more urgent: comfort or pain
// worse by two points, or a socket said to be too loose by two.
func symptomWith(h History, reference, now Visit) string {
	if len(worsened(h, reference, now)) > 0 {
		return "comfort"
	}
	if now.Looseness != nil && *now.Looseness <= -worthPoints {
		return "looseness"
	}
	return ""
}

// comfortFindings raises comfort down or pain up by two points (P1): watch
// alone, soon when the limb or the room in its socket changed beyond measuring
// error as well.
//
// Words: those of a change of a limb, and "with": volume or room.
func comfortFindings(h History, v Visit) []Finding {
	reference, _ := h.Reference() // there is one where there is a visit
	worse := worsened(h, reference, v)
	if len(worse) == 0 {
		return nil
	}
	f := newFinding(v, ComfortDrop, AboutLimb, Watch, "")
	f.Limit = &LimitUsed{Value: worthPoints, Unit: Points, Starting: true}
	f.LookFirst = []string{LookSocks, LookRecentEvents}
	for _, w := range worse {
		f.add(exact(w.name+"-then", float64(w.then), Points), exact(w.name+"-now", float64(w.now), Points))
	}
	since := worse[0].since
	f.AgainstVisitID = since.ID
	f.limb(h, since, v)

	if change, _, ok := h.VolumeChange(); ok && (change.Verdict == volume.Smaller || change.Verdict == volume.Larger) {
		f.Level = Soon
		f.say("with", "volume")
		f.add(estimated("change", change.ChangePercent, change.UPercent, change.LoPercent, change.HiPercent, Percent))
	} else if room, none := h.Room(); none == "" && room.Beyond() {
		f.Level = Soon
		f.say("with", "room")
		f.add(estimated("room", room.Mean.RoomMM, room.Mean.UMM, room.Mean.LoMM, room.Mean.HiMM, MM))
	}
	return []Finding{f}
}
