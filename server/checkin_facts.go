package server

import (
	"slices"
	"strconv"
	"strings"

	"fairlead/analytics/girth"
	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/followup"
	"fairlead/server/form"
	"github.com/gin-gonic/gin"
)

// factGroup is what one page of a check-in says, in words; Slug leads back to
// the page.
type factGroup struct {
	Title, Slug string
	Facts       []fact
	Girths      *girthTable
}

// fact is one answer.
type fact struct{ Label, Value string }

// girthTable is every raw reading of one body part.
type girthTable struct {
	Passes []string // headings
	Rows   []girthTableRow
}

type girthTableRow struct {
	Level    string
	Readings []string // by pass, empty where none was taken
	Girth    string   // pooled
	Apart    bool
}

// facts puts a check-in into words, page by page. What was not said is left
// out.
func (s *server) facts(c *gin.Context, l checkinLayout, checkin models.Checkin, steps []step) []factGroup {
	var groups []factGroup
	for _, st := range steps {
		if st.Kind == resultStep || st.Kind == askStep || st.Pass > 1 {
			continue
		}
		group := factGroup{Slug: st.slug(), Title: s.partTitle(c, l, st)}
		if limb, ok := l.limb(st); ok {
			i := slices.IndexFunc(checkin.Limbs, func(seen models.CheckinLimb) bool { return seen.LimbID == limb.Limb.ID })
			if i < 0 {
				continue
			}
			s.limbFacts(c, &group, st, l, limb, checkin.Limbs[i])
		} else {
			s.visitFacts(c, &group, l, checkin)
		}
		groups = append(groups, group)
	}
	return groups
}

// partTitle is the title of a group: that of its page, or of the limb that
// several pages are about.
func (s *server) partTitle(c *gin.Context, l checkinLayout, st step) string {
	title := s.stepNamed(c, l, st)
	if st.Pass > 0 {
		title = s.text(c, "checkin.short."+string(st.Kind))
	}
	if limb, ok := l.limb(st); ok && st.Pass > 0 && len(l.Limbs) > 1 {
		return s.text(c, "checkin.of-limb", "Limb", s.limbName(c, limb.Limb), "Field", title)
	}
	return title
}

func (g *factGroup) add(label, value string) {
	if value != "" {
		g.Facts = append(g.Facts, fact{label, value})
	}
}

func (s *server) visitFacts(c *gin.Context, g *factGroup, l checkinLayout, checkin models.Checkin) {
	t := s.typist(c, l)
	field := func(name, value string) { g.add(s.text(c, "checkin.field."+name), value) }
	word := func(name, vocabulary, value string) {
		if value != "" {
			field(name, s.text(c, vocabulary+"."+value))
		}
	}
	word("kind", "checkin-kind", string(checkin.Kind))
	if !checkin.MeasuredAt.IsZero() {
		field("date", s.text(c, "checkin.moment", "Date", s.checkinDay(checkin), "Time", form.FormatClock(checkin.MeasuredAt, t.zone)))
	}
	word(whichField, "which-time", whichOf(checkin.MeasuredAt, t.zone))
	field("measured_by", nameOf(l.People, checkin.MeasuredBy))
	word("room", "room", checkin.Room)
	word("activity", "activity", checkin.Activity)
	field("hours_worn", withUnit(t.number(checkin.HoursWorn), "h"))
	if checkin.WeightG != nil {
		kg := float64(*checkin.WeightG) / 1000
		field("weight", withUnit(t.number(&kg), "kg"))
	}
	field("weight_with", checkin.WeightWith)
	var fluid []string
	for _, f := range checkin.Fluid {
		fluid = append(fluid, s.text(c, "fluid."+f))
	}
	field("fluid", strings.Join(fluid, ", "))
	field("dialysis_hours", withUnit(t.number(checkin.DialysisHours), "h"))
	field("comfort_average", whole(checkin.ComfortAverage))
	field("comfort_worst", whole(checkin.ComfortWorst))
	field("pain_worst", whole(checkin.PainWorst))
	field("looseness", whole(checkin.Looseness))
	field("hours_per_day", withUnit(t.number(checkin.HoursPerDay), "h"))
	field("talk", checkin.Talk)
}

func withUnit(text, unit string) string {
	if text == "" {
		return ""
	}
	return text + "\u202f" + unit
}

func nameOf(people []models.Person, id string) string {
	i := slices.IndexFunc(people, func(p models.Person) bool { return p.ID == id })
	if i < 0 {
		return ""
	}
	return people[i].ShownName()
}

func (s *server) limbFacts(c *gin.Context, g *factGroup, st step, asked checkinLayout, l limbLayout, seen models.CheckinLimb) {
	notDone := func(why models.NotDone) {
		if why != models.Done {
			g.add(s.text(c, "checkin.not-done"), s.text(c, "not-done."+string(why)))
		}
	}
	switch st.Kind {
	case socksStep:
		s.sockFacts(c, g, asked, seen)
		notDone(seen.SocksNotDone)
	case onStep:
		s.onFacts(c, g, asked, l, seen)
	case offStep:
		t := s.typist(c, asked)
		g.add(s.text(c, "checkin.field.doffed"), t.clock(seen.DoffedAt))
		g.add(s.text(c, "checkin.field.first_reading"), t.clock(seen.FirstReadingAt))
		if seen.MinutesOff != nil {
			g.add(s.text(c, "checkin.minutes-off"), withUnit(strconv.Itoa(int(*seen.MinutesOff+0.5)), "min"))
		}
		s.skinFacts(c, g, seen, models.OnDoffing)
		if seen.SkinNotDone == models.Done && !slices.ContainsFunc(seen.Skin, onDoffing) {
			g.add(s.text(c, "checkin.field.skin_none"), s.text(c, "checkin.nothing-seen"))
		}
		notDone(seen.SkinNotDone)
	case soundStep:
		sound, _ := seen.Rounds(quantity.Sound, l.Plan)
		g.Girths = s.girthTable(c, asked, sound, 0)
		notDone(seen.SoundNotDone)
	case residualStep:
		g.add(s.text(c, "checkin.field.posture"), seen.Posture)
		if seen.LengthMM10 != nil {
			g.add(s.text(c, "checkin.field.length"), s.sayerOf(c, asked).length(seen.LengthMM10.MM()))
		}
		first, _ := seen.Rounds(quantity.Residual, l.Plan)
		g.Girths = s.girthTable(c, asked, first, 0)
		notDone(seen.ResidualNotDone)
		if seen.SecondNotDone != models.Done {
			g.add(s.text(c, "checkin.field.second_not_done"), s.text(c, "not-done."+string(seen.SecondNotDone)))
		}
	case secondStep:
		s.secondFacts(c, g, asked, l, seen)
	case againStep:
		s.skinFacts(c, g, seen, models.AfterTape)
	}
}

func (s *server) sockFacts(c *gin.Context, g *factGroup, asked checkinLayout, seen models.CheckinLimb) {
	for _, occasion := range models.SockOccasions {
		var stack []string
		for _, sock := range seen.Socks {
			if sock.Occasion == occasion {
				stack = append(stack, s.saySock(c, sock))
			}
		}
		if len(stack) == 0 && occasion == models.SocksNow && seen.SocksNotDone == models.Done {
			stack = []string{s.text(c, "checkin.no-sock")}
		}
		g.add(s.text(c, "checkin.sock-row", "Occasion", s.text(c, "sock-occasion."+string(occasion))), strings.Join(stack, " + "))
	}
	g.add(s.text(c, "checkin.field.shoe"), seen.Shoe)
	g.add(s.text(c, "checkin.field.liner"), seen.LinerType)
	g.add(s.text(c, "checkin.field.liner_thickness"), withUnit(s.typist(c, asked).length(seen.LinerThickness, quantity.Millimetre), "mm"))
}

func (s *server) saySock(c *gin.Context, sock models.Sock) string {
	said := []string{s.text(c, "checkin.ply", "Count", sock.Ply)}
	if sock.Material != "" {
		said = append(said, s.text(c, "sock-material."+sock.Material))
	}
	if sock.Worn {
		said = append(said, s.text(c, "checkin.worn-thin"))
	}
	return strings.Join(said, ", ")
}

func (s *server) onFacts(c *gin.Context, g *factGroup, asked checkinLayout, l limbLayout, seen models.CheckinLimb) {
	for _, f := range seen.Functions {
		g.add(s.text(c, "function-check."+f.Check), joinText(s.text(c, "check-answer."+string(f.Answer)), f.Note))
	}
	if seen.FunctionNotDone != models.Done {
		g.add(s.text(c, "checkin.field.function_not_done"), s.text(c, "not-done."+string(seen.FunctionNotDone)))
	}
	for _, reading := range seen.Clearances {
		i := slices.IndexFunc(l.stations(), func(st models.Station) bool { return st.ID == reading.StationID })
		if i >= 0 {
			g.add(s.stationLabel(c, asked, l.stations()[i]), s.sayClearance(c, reading))
		}
	}
	if seen.ClearanceNotDone != models.Done {
		g.add(s.text(c, "checkin.field.clearance_not_done"), s.text(c, "not-done."+string(seen.ClearanceNotDone)))
	}
	for _, a := range seen.Attachments {
		g.add(s.limbFieldLabel(c, asked, l, "attachment."+a.AttachmentID), s.text(c, "attachment-state."+string(a.State)))
	}
}

func (s *server) sayClearance(c *gin.Context, r models.ClearanceReading) string {
	var said []string
	if r.Gap != nil {
		said = append(said, form.FormatMM(r.Gap.MM(), signedIn(c).DecimalComma))
	}
	if r.Touch != quantity.NoTouch {
		said = append(said, s.text(c, "touch."+string(r.Touch)))
	}
	return strings.Join(append(said, s.text(c, "clearance-method."+string(r.Method))), ", ")
}

func (s *server) skinFacts(c *gin.Context, g *factGroup, seen models.CheckinLimb, moment models.SkinMoment) {
	for _, finding := range seen.Skin {
		if finding.Moment == moment {
			g.add(finding.Place, joinText(s.text(c, "skin-sign."+finding.Sign), finding.Note))
		}
	}
}

// secondFacts are the readings of a second round, and when it began.
func (s *server) secondFacts(c *gin.Context, g *factGroup, asked checkinLayout, l limbLayout, seen models.CheckinLimb) {
	g.add(s.text(c, "checkin.field.second_reading"), s.typist(c, asked).clock(seen.SecondReadingAt))
	if seen.SecondMinutesOff != nil {
		g.add(s.text(c, "checkin.minutes-off"), withUnit(strconv.Itoa(int(*seen.SecondMinutesOff+0.5)), "min"))
	}
	first, second := seen.Rounds(quantity.Residual, l.Plan)
	g.Girths = s.girthTable(c, asked, second, quantity.PassesPerRound)
	if len(second) > 0 && !followup.Complete(first, second) {
		g.add(s.text(c, "checkin.broken-off"), s.text(c, "checkin.broken-off-say"))
	}
}

// girthTable lists readings of one round by level and pass; nil where there are
// none. passesBefore are the passes of the rounds before.
func (s *server) girthTable(c *gin.Context, l checkinLayout, of []models.Reading, passesBefore int) *girthTable {
	y := s.sayerOf(c, l)
	byLevel := map[quantity.Length]map[int]quantity.Length{}
	var readings []girth.Reading
	passes := 0
	for _, r := range of {
		if byLevel[r.Level] == nil {
			byLevel[r.Level] = map[int]quantity.Length{}
		}
		pass := r.Pass - passesBefore
		byLevel[r.Level][pass] = r.Girth
		passes = max(passes, pass)
		readings = append(readings, girth.Reading{LevelMM: r.Level.MM(), Pass: pass, GirthMM: r.Girth.MM()})
	}
	profile, err := girth.Pool(readings)
	if err != nil || len(profile) == 0 {
		return nil
	}
	table := &girthTable{}
	for pass := 1; pass <= passes; pass++ {
		heading := s.passName(c, pass)
		if passesBefore > 0 {
			heading = s.text(c, "checkin.pass-second", "Pass", heading)
		}
		table.Passes = append(table.Passes, heading)
	}
	for _, at := range profile {
		level := quantity.FromMM(at.LevelMM)
		row := girthTableRow{
			Level: s.levelLabel(c, l, level), Girth: y.girth(at.GirthMM), Apart: at.Reread,
		}
		for pass := 1; pass <= passes; pass++ {
			text := ""
			if girth, ok := byLevel[level][pass]; ok {
				text = y.girth(girth.MM())
			}
			row.Readings = append(row.Readings, text)
		}
		table.Rows = append(table.Rows, row)
	}
	return table
}
