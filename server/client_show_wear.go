package server

import (
	"slices"
	"strings"

	"fairlead/analytics/clearance"
	"fairlead/models"
	"fairlead/server/followup"
)

// wearSection is what was worn and how it felt, newest first.
type wearSection struct {
	Heading     string
	Most        bool // somebody told the most worn on a day
	First, More []wearLine
}

// wearLine is one visit.
type wearLine struct {
	On, Now, Thickness, Most, Liner string
	Comfort, Pain, Looseness, Hours string
}

// rowsInSight is how many visits a long table shows before the rest, which is
// behind one step.
const rowsInSight = 6

func (m sheetMaker) wear() wearSection {
	w := wearSection{Heading: m.wearHeading()}
	for i := len(m.view.Visits) - 1; i >= 0; i-- {
		line := m.wearLine(m.view.Visits[i])
		w.Most = w.Most || line.Most != ""
		if len(w.First) < rowsInSight {
			w.First = append(w.First, line)
		} else {
			w.More = append(w.More, line)
		}
	}
	return w
}

// wearHeading says the socks now and at the reference.
func (m sheetMaker) wearHeading() string {
	last := m.view.Last
	switch {
	case last == nil:
		return m.text("follow.wear.no-visit")
	case m.view.History.Limb.NoSocket:
		return m.text("follow.wear.bone-anchored")
	case !last.SocksAsked:
		return m.text("follow.wear.not-asked", "Why", m.word("not-done", string(last.LimbVisit.Seen.SocksNotDone)))
	}
	now := last.Assessed.SocksNow
	if ref := m.view.Reference; ref != nil && ref.Checkin.ID != last.Checkin.ID {
		var then []clearance.Sock
		if ref.SocksAsked {
			then = append([]clearance.Sock{}, ref.Assessed.SocksNow...)
		}
		return m.socksSince(then, now, ref.Assessed.On)
	}
	return upperFirst(m.text("socks.now", "Now", m.stack(slices.SortedFunc(slices.Values(now), clearance.CompareSocks), false)))
}

func (m sheetMaker) wearLine(at followup.VisitView) wearLine {
	line := wearLine{On: m.date(at.Assessed.On), Liner: at.LimbVisit.Seen.LinerType}
	if at.SocksAsked {
		line.Now, line.Most = m.socks(at.Assessed.SocksNow), m.socks(at.Assessed.SocksMost)
		line.Thickness = m.text("follow.wear.thickness", "MM", m.decimal(at.SockMM, 1), "U", m.half95(at.USockMM, 1))
		if len(at.Assessed.SocksMost) == 0 {
			line.Most = ""
		}
	} else if at.LimbVisit.Seen.SocksNotDone != models.Done {
		line.Now = m.notDone(at.LimbVisit.Seen.SocksNotDone)
	}
	if at.Assessed.LinerMM != nil && *at.Assessed.LinerMM > 0 {
		line.Liner = strings.TrimSpace(line.Liner + " " + m.limitMM(*at.Assessed.LinerMM))
	}
	if at.Assessed.Comfort != nil {
		line.Comfort = m.text("follow.wear.comfort", "Comfort", *at.Assessed.Comfort)
		if worst := at.Assessed.WorstComfort; worst != nil {
			line.Comfort = m.text("follow.wear.comfort-worst", "Comfort", *at.Assessed.Comfort, "Worst", *worst)
		}
	}
	if at.Assessed.WorstPain != nil {
		line.Pain = m.decimal(float64(*at.Assessed.WorstPain), 0)
	}
	if l := at.Assessed.Looseness; l != nil {
		line.Looseness = m.looseness(*l)
	}
	if h := at.Checkin.HoursPerDay; h != nil {
		line.Hours = m.short(*h)
	}
	return line
}

// looseness says a rating from too loose to too tight.
func (y sayer) looseness(rating int) string {
	switch {
	case rating < 0:
		return y.text("follow.wear.loose", "By", -rating)
	case rating > 0:
		return y.text("follow.wear.tight", "By", rating)
	}
	return y.text("follow.wear.right")
}

// socks says a stack from the skin outwards: "1 + 3 ply".
func (m sheetMaker) socks(stack []clearance.Sock) string {
	if len(stack) == 0 {
		return m.text("follow.wear.no-socks")
	}
	var plies []string
	for _, s := range stack {
		plies = append(plies, m.decimal(float64(s.Ply), 0))
	}
	return m.text("follow.wear.ply", "Plies", strings.Join(plies, " + "))
}

func (y sayer) notDone(why models.NotDone) string {
	return y.text("follow.not-done", "Why", y.word("not-done", string(why)))
}

// checksSection is what was checked and seen at the newest visit.
type checksSection struct {
	Heading string
	Checks  []checkLine
	Skin    []string
}

// checkLine is one function check with its answer.
type checkLine struct {
	Check, Answer, Note, Mark string
}

func (m sheetMaker) checks() checksSection {
	last := m.view.Last
	if last == nil {
		return checksSection{Heading: m.text("follow.checks.no-visit")}
	}
	s := checksSection{}
	no, yes := 0, 0
	for _, f := range last.LimbVisit.Seen.Functions {
		line := checkLine{Check: m.word("function-check", f.Check), Answer: m.word("check-answer", string(f.Answer)), Note: f.Note}
		switch f.Answer {
		case models.No:
			no++
			line.Mark = "now"
		case models.Yes:
			yes++
		}
		s.Checks = append(s.Checks, line)
	}
	on := m.date(last.Assessed.On)
	switch {
	case no > 0:
		s.Heading = m.text("follow.checks.no", "Count", no, "Number", upperFirst(m.count(no)), "On", on)
	case yes == 0:
		s.Heading = m.text("follow.checks.none", "On", on)
	case yes < len(models.FunctionChecks):
		s.Heading = m.text("follow.checks.some", "Count", yes, "Number", upperFirst(m.count(yes)), "Of", m.count(len(models.FunctionChecks)), "On", on)
	default:
		s.Heading = m.text("follow.checks.all", "On", on)
	}
	s.Skin = m.skin(last.LimbVisit.Seen)
	return s
}

// skin lists every sign with its moment. What came of the look on taking off
// stands first where that found nothing, or where nobody looked.
func (m sheetMaker) skin(seen models.CheckinLimb) []string {
	var said []string
	switch {
	case seen.SkinNotDone != models.Done:
		said = append(said, m.text("follow.skin.not-done", "Why", m.word("not-done", string(seen.SkinNotDone))))
	case !slices.ContainsFunc(seen.Skin, onDoffing):
		said = append(said, m.text("follow.skin.nothing"))
	}
	for _, f := range seen.Skin {
		line := m.text("follow.skin.sign", "Sign", upperFirst(m.word("skin-sign", f.Sign)), "Moment", m.word("skin-moment", string(f.Moment)))
		if f.Place != "" {
			line = m.text("follow.skin.sign-at", "Sign", upperFirst(m.word("skin-sign", f.Sign)), "Place", f.Place,
				"Moment", m.word("skin-moment", string(f.Moment)))
		}
		if f.Note != "" {
			line += " " + f.Note
		}
		said = append(said, line)
	}
	return said
}
