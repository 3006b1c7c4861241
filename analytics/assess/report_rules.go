package assess

import (
	"slices"
	"strings"

	"fairlead/analytics/volume"
)

// reportSafety raises what was ticked on the safety page: today, whatever else
// is known (section 6.2 of the domain notes: same-day signs of patient leaflets).
// "Not sure" counts like a sign, and so does somebody who can't phone.
//
// Words: "safety" (what was ticked, with commas), "cannot-phone".
func reportSafety(r Report) []Finding {
	if len(r.Safety) == 0 && !r.CannotPhone {
		return nil
	}
	f := newReportFinding(r, ReportSafety, AboutSkin, Now, "")
	f.LookFirst = []string{LookReachClient, LookCallToday, LookCoverOff}
	f.say("safety", strings.Join(r.Safety, ","))
	if r.CannotPhone {
		f.say("cannot-phone", "yes")
	}
	return []Finding{f}
}

// unnamedSign stands for a skin complaint without a sign of the list.
const unnamedSign = "other"

// reportSkin raises the signs that the client saw, at each place that was named,
// with the levels and the step up of those that a fitter sees.
//
// Words: "areas" (with commas), "sign", "signs", "reduced-feeling" and "diabetes" as for a sign
// that a fitter sees.
func reportSkin(h History, r Report) []Finding {
	signs := r.Skin
	if len(signs) == 0 && r.says("skin") {
		signs = []string{unnamedSign}
	}
	if len(signs) == 0 {
		return nil
	}
	var findings []Finding
	for place, areas := range r.places() {
		f := newReportFinding(r, ReportSkin, AboutSkin, Watch, place)
		f.skin(h, signs)
		f.say("areas", strings.Join(areas, ","))
		findings = append(findings, f)
	}
	return findings
}

// reportFit raises a socket that is said to be tight or loose: soon when the
// newest volume is changed beyond measuring error as well (row V7: symptom plus
// size), watch otherwise. Gaps of the cover say nothing about it.
//
// Words: "fit" (tight, loose, with commas), and of the change "since" (date of
// the other visit) and "seen-on" (date of the newest).
func reportFit(h History, r Report) []Finding {
	var fit []string
	if r.says("tight") || r.Looseness != nil && *r.Looseness >= WorthPoints {
		fit = append(fit, "tight")
	}
	if r.says("loose") || r.Looseness != nil && *r.Looseness <= -WorthPoints {
		fit = append(fit, "loose")
	}
	if len(fit) == 0 {
		return nil
	}
	f := newReportFinding(r, ReportFit, AboutLimb, Watch, "")
	f.LookFirst = []string{LookSocks, LookRecentEvents}
	f.say("fit", strings.Join(fit, ","))
	if r.Looseness != nil {
		f.add(exact("looseness", float64(*r.Looseness), Points))
	}
	f.bother(r)
	f.withVolume(h)
	return []Finding{f}
}

// withVolume makes a finding about the limb one for the next days when the
// newest volume is changed beyond measuring error, and says by how much.
func (f *Finding) withVolume(h History) {
	base, _ := h.base()
	change, ok := h.changeSince(base)
	if !ok || change.Verdict != volume.Smaller && change.Verdict != volume.Larger {
		return
	}
	newest, _ := h.Newest()
	f.Level = Soon
	f.AgainstVisitID = newest.ID
	f.add(estimated("change", change.ChangePercent, change.UPercent, change.LoPercent, change.HiPercent, Percent))
	f.say("since", string(base.On))
	f.say("seen-on", string(newest.On))
	f.expected(h, newest)
}

// lowComfort is the average comfort of 7 days from which down on the client is
// called: the lower half of the scale (row P2, common practice).
const lowComfort = 4

// Pain at its worst and bother from which up on the client is called, whatever was
// said before (our own rule: so that the end of a scale is worth no less than a word
// of the list).
const (
	strongPain   = 8
	strongBother = 9
)

// reportComfort raises comfort in the lower half of the scale (soon), and
// comfort down or pain up by two points since the last check-in that asked (P1).
// Heat or sweat is soon as well, so that naming it is worth no less than naming
// nothing of the list (our own rule), and so are strong pain and bother.
//
// Words: "low" when comfort is in the lower half, "what" (heat), "strong" (worst-pain,
// bother, with a comma), and the name of each rating that is worse with "-since" (date of its figure then).
func reportComfort(h History, r Report) []Finding {
	f := newReportFinding(r, ReportComfort, AboutLimb, Watch, "")
	told := Visit{Comfort: r.Comfort, WorstComfort: r.WorstComfort, WorstPain: r.WorstPain}
	for _, item := range ratings {
		before, ok := h.lastRated(item)
		today := item.of(told)
		if !ok || today == nil {
			continue
		}
		then := *item.of(before)
		worse := then - *today
		if item.up {
			worse = -worse
		}
		if worse >= WorthPoints {
			f.AgainstVisitID = before.ID
			f.Limit = &LimitUsed{Value: WorthPoints, Unit: Points, Fixed: true}
			f.add(exact(item.name+"-then", float64(then), Points), exact(item.name+"-now", float64(*today), Points))
			f.say(item.name+"-since", string(before.On))
		}
	}
	if r.Comfort != nil && *r.Comfort <= lowComfort {
		f.Level = Soon
		f.Limit = &LimitUsed{Value: lowComfort, Unit: Points, Fixed: true}
		f.say("low", "yes")
		if _, said := f.Value("comfort-now"); !said {
			f.add(exact("comfort-now", float64(*r.Comfort), Points))
		}
	}
	if r.says("heat") {
		f.Level = Soon
		f.say("what", "heat")
	}
	f.strong(r)
	if f.Limit == nil && f.Words["what"] == "" && f.Words["strong"] == "" {
		return nil
	}
	f.LookFirst = []string{LookReadReport, LookSocks, LookRecentEvents}
	return []Finding{f}
}

// strong makes a finding one for the next days where pain or bother is near the end of
// its scale.
func (f *Finding) strong(r Report) {
	var strong []string
	if r.WorstPain != nil && *r.WorstPain >= strongPain {
		strong = append(strong, "worst-pain")
		if _, said := f.Value("worst-pain-now"); !said {
			f.add(exact("worst-pain-now", float64(*r.WorstPain), Points))
		}
	}
	if r.Bother != nil && *r.Bother >= strongBother {
		strong = append(strong, "bother")
		f.add(exact("bother-now", float64(*r.Bother), Points))
	}
	if len(strong) > 0 {
		f.Level = Soon
		f.say("strong", strings.Join(strong, ","))
	}
}

// lastRated returns the newest visit that has a rating.
func (h History) lastRated(item rating) (last Visit, ok bool) {
	for _, v := range h.ascending() {
		if item.of(v) != nil {
			last, ok = v, true
		}
	}
	return last, ok
}

// reportDamage raises damage of the cover: within days. What is broken, bent or
// sharp is asked for on the safety page and comes from there.
//
// Words: "areas" (with commas).
func reportDamage(r Report) []Finding {
	if !r.says("damage") {
		return nil
	}
	f := newReportFinding(r, ReportDamage, AboutCover, Soon, "")
	f.LookFirst = []string{LookReadReport, LookShell, LookAttachment}
	areas := slices.Sorted(slices.Values(r.Areas))
	f.say("areas", strings.Join(slices.Compact(areas), ","))
	f.bother(r)
	return []Finding{f}
}

// bother adds how much the client is bothered, where it was said.
func (f *Finding) bother(r Report) {
	if r.Bother != nil {
		f.add(exact("bother", float64(*r.Bother), Points))
	}
}
