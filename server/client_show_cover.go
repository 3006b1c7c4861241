package server

import (
	"slices"
	"strconv"

	"fairlead/analytics/assess"
	"fairlead/analytics/clearance"
	"fairlead/analytics/quantity"
	"fairlead/server/drawing"
	"fairlead/server/followup"
)

// coverSection says whether the cover clears, station by station, and draws its
// sections.
type coverSection struct {
	Heading, Lede string
	Stations      []stationLine
	Accepted      bool        // some gap was accepted at delivery
	Rings         []ringGroup // the worst sections
	MoreRings     []ringGroup
	CSV           string
}

// stationLine is one station: then, as accepted, now.
type stationLine struct {
	Place, Neighbour    string
	Then, AsBuilt, Now  string
	Limit, LimitBy      string
	Mark, State, ReadOn string
}

// ringGroup is one section of the cover at up to three visits.
type ringGroup struct {
	ID, Heading, Note string
	Rings             drawing.Rings
}

// ringsInSight is how many sections stand open.
const ringsInSight = 2

func (m sheetMaker) cover() coverSection {
	s := coverSection{Heading: m.coverHeading()}
	if len(m.view.Stations) == 0 {
		return s
	}
	s.Lede, s.CSV = m.text("follow.cover.lede"), limbPath(m.view.Record.Limb)+"/clearance.csv"
	for _, at := range m.view.Stations {
		s.Stations = append(s.Stations, m.stationLine(at))
		s.Accepted = s.Accepted || at.Station.AsBuiltMM != nil
	}
	for i, section := range m.view.Sections {
		group, ok := m.ringGroup(i, section)
		switch {
		case !ok:
		case len(s.Rings) < ringsInSight:
			s.Rings = append(s.Rings, group)
		default:
			s.MoreRings = append(s.MoreRings, group)
		}
	}
	return s
}

// coverHeading counts the stations of the newest walk by what they say.
func (m sheetMaker) coverHeading() string {
	if m.view.Tightest() == nil {
		return m.text(m.noGap())
	}
	n, of := m.view.CountStates(), 0
	for _, count := range n {
		of += count
	}
	below := n[clearance.BelowAct] + n[clearance.BelowWarn]
	switch {
	case n[clearance.Touching] > 0:
		return m.text("follow.cover.touching", "Count", n[clearance.Touching], "Number", m.count(n[clearance.Touching]), "Of", m.count(of))
	case below > 0:
		return m.text("follow.cover.below", "Count", below, "Number", upperFirst(m.count(below)), "Of", m.count(of))
	case n[clearance.Unsure] > 0:
		return m.text("follow.cover.unsure", "Count", n[clearance.Unsure], "Number", upperFirst(m.count(n[clearance.Unsure])), "Of", m.count(of))
	}
	return m.text("follow.cover.clear", "Count", of, "Number", m.count(of))
}

func (m sheetMaker) stationLine(at followup.StationView) stationLine {
	st := at.Station
	limits := st.Limits()
	line := stationLine{
		Place: upperFirst(m.station(st.Direction, st.LevelMM, st.Posture)), Neighbour: m.word("neighbour", string(st.Neighbour)),
		Limit: m.text("follow.cover.limits", "Warn", m.short(limits.WarnMM), "Act", m.short(limits.ActMM)), LimitBy: m.limitBy(st),
	}
	if st.AsBuiltMM != nil {
		line.AsBuilt = m.decimal(*st.AsBuiltMM, 1)
	}
	if at.Then != nil {
		line.Then = m.gapWords(at.Then.Gap)
	}
	if at.Now == nil {
		line.State = m.text("follow.cover.not-read")
		return line
	}
	line.Now = m.gapWords(at.Now.Gap)
	line.Mark, line.State = m.stationState(at.Now.Gap)
	if !at.Current {
		line.ReadOn = m.text("follow.cover.read-on", "On", m.shortDate(at.Now.On))
	}
	return line
}

// limitBy says who set the limits of a station.
func (m sheetMaker) limitBy(st assess.Station) string {
	if st.WarnMM == nil && st.ActMM == nil {
		return m.text("follow.cover.starting")
	}
	return m.text("follow.cover.set-by", "By", st.LimitBy, "On", m.shortDate(st.LimitOn))
}

// gapWords says a gap with half of its 95 % interval, or what was seen.
func (y sayer) gapWords(g assess.Gap) string {
	switch {
	case g.Touching:
		return y.word("touch", string(quantity.Contact))
	case g.Readings > 0:
		return y.text("follow.cover.gap", "Gap", y.decimal(g.GapMM, 1), "U", y.half95(g.UMM, 1))
	case g.Polished:
		return y.word("touch", string(quantity.PolishMark))
	}
	return y.word("touch", string(quantity.NoContact))
}

// stationState is the mark and the words for what a gap says. A gap that is
// judged by the one accepted at delivery says so.
func (m sheetMaker) stationState(g assess.Gap) (mark, words string) {
	switch {
	case g.Dropped():
		return string(assess.Watch), m.text("follow.cover.dropped", "Drop", m.limitMM(g.DropMM))
	case g.AsBuilt && !g.Touching:
		return "", m.text("follow.cover.as-accepted")
	case g.State == "":
		return "", m.text("follow.cover.no-figure")
	}
	return stateMark(g.State), m.text("follow.state." + string(g.State))
}

// shortDirection is a short name for the drawing.
func (m sheetMaker) shortDirection(d quantity.Direction) string {
	return m.text("follow.direction." + string(d))
}

func (m sheetMaker) ringGroup(i int, section followup.SectionView) (ringGroup, bool) {
	var drawn []drawing.Section
	for _, visit := range section.Visits {
		drawn = append(drawn, m.ringSection(visit, section))
	}
	rings, err := drawing.DrawRings(drawn, m.view.Record.Limb.Side, section.RadiusMM)
	if err != nil {
		m.lost("section", err)
		return ringGroup{}, false
	}
	group := ringGroup{
		ID: "ring-" + strconv.Itoa(i), Rings: rings,
		Heading: m.text("follow.cover.section", "Level", m.length(section.LevelMM), "Posture", m.word("posture", string(section.Posture))),
		Note:    m.text("follow.cover.not-to-scale"),
	}
	if rings.Times > 0 {
		group.Note = m.text("follow.cover.times", "Count", rings.Times)
	}
	return group, true
}

// ringSection is one drawn section with its figures in words.
func (m sheetMaker) ringSection(visit followup.SectionVisit, section followup.SectionView) drawing.Section {
	drawn := drawing.Section{Gaps: map[quantity.Direction]drawing.Gap{}, Caption: m.ringCaption(visit)}
	var said []string
	for _, d := range quantity.Directions {
		g, read := visit.Gaps[d]
		if !read {
			continue
		}
		gap := drawing.Gap{Name: m.shortDirection(d), MM: g.GapMM, Known: g.Readings > 0 || g.Touching, Contact: g.Touching}
		gap.Tight = stateMark(followup.Standing(g)) == string(assess.Soon)
		gap.Words = m.word("touch", string(quantity.Contact))
		switch {
		case g.Touching:
		case g.Readings > 0:
			gap.Words = m.decimal(g.GapMM, 1)
		default:
			gap.Words = m.gapWords(g)
		}
		drawn.Gaps[d] = gap
		said = append(said, m.text("follow.cover.side", "Direction", m.word("direction", string(d)), "Gap", gap.Words))
	}
	drawn.Description = m.text("follow.cover.description", "Level", m.length(section.LevelMM),
		"Posture", m.word("posture", string(section.Posture)), "On", drawn.Caption, "Gaps", m.list(said))
	return drawn
}

func (m sheetMaker) ringCaption(visit followup.SectionVisit) string {
	caption := m.date(visit.On)
	if visit.Delivery {
		caption = m.text("follow.cover.caption-delivery", "On", caption)
	}
	if visit.Shoe != "" && m.severalShoes() {
		caption = m.text("follow.cover.caption-shoe", "Caption", caption, "Shoe", visit.Shoe)
	}
	return caption
}

// severalShoes tells whether gaps were read in more than one shoe.
func (m sheetMaker) severalShoes() bool {
	var shoes []string
	for _, at := range m.view.Visits {
		for _, g := range at.Gaps {
			if g.Shoe != "" && !slices.Contains(shoes, g.Shoe) {
				shoes = append(shoes, g.Shoe)
			}
		}
	}
	return len(shoes) > 1
}
