package server

import (
	"strings"

	"fairlead/analytics/assess"
	"fairlead/analytics/clearance"
	"fairlead/analytics/quantity"
)

// saysOwnLimit are the rules that say their limit beside the figure it belongs
// to, because what was reported comes first.
var saysOwnLimit = map[assess.Rule]bool{assess.ReportRub: true, assess.ReportComfort: true, assess.MeasureAgainRule: true}

// reported says what a finding of a client's report has in common with all
// others: that the side was not said, and that nobody has confirmed who sent it.
func (y sayer) reported(f assess.Finding, rest, why []string) ([]string, []string) {
	if f.Words["side-unsaid"] != "" {
		rest = append(rest, y.text("finding.side-unsaid"))
	}
	if bother, ok := f.Value("bother"); ok {
		rest = append(rest, y.text("finding.bother", "Points", int(bother.Value)))
	}
	return rest, append(why, y.text("finding.not-confirmed", "On", y.date(quantity.Date(f.Words["reported-on"]))))
}

// codes says several codes of a list, given with commas between them, by the
// texts that begin with id.
func (y sayer) codes(id, codes string) string {
	var said []string
	for code := range strings.SplitSeq(codes, ",") {
		if code != "" {
			said = append(said, y.text(id+code))
		}
	}
	return y.list(said)
}

// area names a place of the body map: "calf, posterior".
func (y sayer) area(code string) string {
	segment, direction, ok := strings.Cut(code, ".")
	if !ok {
		return ""
	}
	return y.text("reported.area", "Segment", y.text("reported.segment."+segment), "Direction", y.word("direction", direction))
}

// at adds the place of a finding to its claim. Where several were named for the
// whole they are listed after it.
func (y sayer) at(claim string, f assess.Finding) (at string, rest []string) {
	var places []string
	for area := range strings.SplitSeq(f.Words["areas"], ",") {
		if place := y.area(area); place != "" {
			places = append(places, place)
		}
	}
	switch len(places) {
	case 0:
		return claim, nil
	case 1:
		return y.text("reported.at", "Claim", claim, "Place", places[0]), nil
	}
	return claim, []string{y.text("finding.places", "Places", strings.Join(places, "; "))}
}

func sayReportSafety(y sayer, f assess.Finding) (claim string, rest, why []string) {
	claim = y.text("finding.claim.report-safety", "Signs", y.codes("reported.safety.", f.Words["safety"]))
	if f.Words["safety"] == "" {
		claim = y.text("finding.claim.report-safety-none")
	}
	if f.Words["cannot-phone"] != "" {
		rest = append(rest, y.text("finding.cannot-phone"))
	}
	rest, why = y.reported(f, rest, nil)
	return claim, rest, why
}

func sayReportSkin(y sayer, f assess.Finding) (claim string, rest, why []string) {
	claim, rest = y.at(y.text("finding.claim.report-skin", "Signs", y.words("skin-sign", f.Words["signs"])), f)
	rest, why = y.reported(f, rest, nil)
	return claim, rest, why
}

func sayReportFit(y sayer, f assess.Finding) (claim string, rest, why []string) {
	claim = y.text("finding.claim.report-fit", "Fit", y.codes("reported.what.", f.Words["fit"]))
	if scale, ok := f.Value("looseness"); ok {
		rest = append(rest, y.text("finding.looseness", "Points", y.signed(int(scale.Value))))
	}
	if change, ok := f.Value("change"); ok && change.Lo != nil && change.Hi != nil {
		rest = append(rest, y.text("finding.fit-volume", "Change", y.percentChange(change.Value), "Interval", y.interval(*change.Lo, *change.Hi),
			"Since", y.date(quantity.Date(f.Words["since"])), "On", y.date(quantity.Date(f.Words["seen-on"]))))
	}
	rest, why = y.reported(f, rest, nil)
	return claim, rest, why
}

// signed says a whole number with its sign: "−2", "0", "+3".
func (y sayer) signed(n int) string {
	switch {
	case n > 0:
		return "+" + y.decimal(float64(n), 0)
	case n < 0:
		return "−" + y.decimal(float64(-n), 0)
	}
	return "0"
}

func sayReportComfort(y sayer, f assess.Finding) (claim string, rest, why []string) {
	var items []string
	for _, item := range []string{"comfort", "worst-comfort", "worst-pain"} {
		_, before := f.Value(item + "-then")
		now, told := f.Value(item + "-now")
		switch {
		case before:
			items = append(items, y.rating(f, item))
		case told:
			items = append(items, y.text("finding.rating-alone."+item, "Now", int(now.Value)))
		}
	}
	if bother, ok := f.Value("bother-now"); ok {
		items = append(items, y.text("finding.rating-alone.bother", "Now", int(bother.Value)))
	}
	if what := y.codes("reported.what.", f.Words["what"]); what != "" {
		items = append(items, what)
	}
	claim = y.text("finding.claim.report-comfort", "Items", y.list(items))
	if f.Limit != nil {
		id := "finding.limit-count."
		if f.Words["low"] != "" {
			id = "finding.limit-low."
		}
		rest = append(rest, y.setBy(id, y.limitValue(f), *f.Limit))
	}
	rest, why = y.reported(f, rest, nil)
	return claim, rest, why
}

func sayReportDamage(y sayer, f assess.Finding) (claim string, rest, why []string) {
	claim, rest = y.at(y.text("finding.claim.report-damage"), f)
	rest, why = y.reported(f, rest, nil)
	return claim, rest, why
}

// sayReportRub says the report first and then the tight station of the newest
// walk, where there is one.
func sayReportRub(y sayer, f assess.Finding) (claim string, rest, why []string) {
	claim, rest = y.at(upperFirst(y.text("finding.claim.report-rub", "What", y.codes("reported.what.", f.Words["what"]))), f)
	if f.Words["walk-on"] != "" {
		rest = append(rest, y.tightStation(f)...)
	}
	if f.Words["shoe"] != "" {
		why = append(why, y.text("finding.shoe", "Shoe", f.Words["shoe"]))
	}
	rest, why = y.reported(f, rest, why)
	return claim, rest, why
}

// tightStation says what the newest walk found where the client pointed, and the
// limit of that station.
func (y sayer) tightStation(f assess.Finding) []string {
	args := []any{"Station", y.stationOf(f), "Neighbour", y.word("neighbour", f.Words["neighbour"]), "On", y.date(quantity.Date(f.Words["walk-on"]))}
	var said []string
	gap, read := f.Value("gap")
	touch := f.Words["touch"]
	switch {
	case touch == string(quantity.Contact) || !read || gap.U == nil:
		said = append(said, y.text("finding.rub-touch."+touch, args...))
	default:
		said = append(said, y.text("finding.rub-gap", append(args, "Gap", y.gap(gap.Value), "U", y.half95(*gap.U, 1))...))
		if touch != "" {
			said = append(said, y.text("finding.rub-polished"))
		}
	}
	if f.Limit != nil {
		said = append(said, y.rubLimit(f))
	}
	return said
}

// rubLimit says the limit of the station beside a rub.
func (y sayer) rubLimit(f assess.Finding) string {
	id := "finding.limit."
	switch f.Words["gap-state"] {
	case "dropped":
		id = "finding.accepted."
	case string(clearance.Unsure), string(clearance.Clear):
		id = "finding.limit-near."
	}
	return y.setBy(id, y.limitValue(f), *f.Limit)
}

func sayReportOther(y sayer, f assess.Finding) (claim string, rest, why []string) {
	rest, why = y.reported(f, nil, nil)
	return y.text("finding.claim.report-other"), rest, why
}
