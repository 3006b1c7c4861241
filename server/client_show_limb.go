package server

import (
	"maps"
	"slices"

	"fairlead/analytics/quantity"
	"fairlead/analytics/volume"
	"fairlead/server/drawing"
	"fairlead/server/followup"
)

// whereSection draws the limb from its girths beside the table of levels.
type whereSection struct {
	Heading, Lede string
	Limb          *drawing.Limb
	Description   string
	Compared      bool
	Unit          string
	Levels        []levelLine
	Segments      []segmentLine
	CSV           string
}

// levelLine is a row of the table: one level, then and now.
type levelLine struct {
	Level, Now, Then, Change string
	Half                     string // of the 95 % interval of the change
	Beyond                   bool
}

// segmentLine is the volume between two levels.
type segmentLine struct{ Span, Then, Now, Change string }

func (m sheetMaker) where() whereSection {
	w := whereSection{Unit: string(m.unit), CSV: limbPath(m.view.Record.Limb) + "/girths.csv"}
	taped := m.view.Taped
	if taped == nil { // the section on volume says why
		return whereSection{}
	}
	args := []any{"Unit", string(m.unit), "Landmark", m.landmark(), "Now", m.date(taped.Assessed.On)}
	if len(m.view.Girths) > 0 {
		w.Compared = true
		w.Heading = m.whereHeading()
		w.Lede = m.text("follow.where.lede-compared", append(args, "Then", m.date(m.view.Reference.Assessed.On))...)
		if taped.Change.Verdict == volume.NoChange && slices.ContainsFunc(m.view.Girths, func(c volume.LevelChange) bool { return c.BeyondTape }) {
			w.Lede += " " + m.text("follow.where.chance", "Of", m.count(len(m.view.Girths)))
		}
	} else {
		w.Heading, w.Lede = m.text("follow.where.one"), m.text("follow.where.lede", args...)
	}
	levels := m.levelLines(&w)
	m.draw(&w, levels)
	for _, s := range m.view.Segments {
		w.Segments = append(w.Segments, segmentLine{
			Span: m.text("follow.span", "From", m.bareLength(s.FromMM), "To", m.length(s.ToMM)),
			Then: m.decimal(s.ThenML, 0), Now: m.decimal(s.NowML, 0), Change: m.percentChange(s.ChangePercent),
		})
	}
	return w
}

func (m sheetMaker) landmark() string {
	if l := m.view.Taped.Assessed.Residual.Series.Landmark; l != "" {
		return l
	}
	return m.text("follow.landmark")
}

// whereHeading counts the levels that changed beyond the error of the tape; it
// says between which only where all of them lie together.
func (m sheetMaker) whereHeading() string {
	var smaller, larger []volume.LevelChange
	for _, c := range m.view.Girths {
		switch {
		case c.BeyondTape && c.ChangeMM < 0:
			smaller = append(smaller, c)
		case c.BeyondTape:
			larger = append(larger, c)
		}
	}
	of := len(m.view.Girths)
	switch {
	case len(smaller) > 0 && len(larger) > 0:
		return m.text("follow.where.both", "Smaller", m.count(len(smaller)), "Larger", m.count(len(larger)), "Of", m.count(of))
	case len(smaller) > 0:
		return m.beyondHeading("smaller", smaller, of)
	case len(larger) > 0:
		return m.beyondHeading("larger", larger, of)
	}
	return m.text("follow.where.within")
}

func (m sheetMaker) beyondHeading(way string, beyond []volume.LevelChange, of int) string {
	first, last := beyond[0].LevelMM, beyond[len(beyond)-1].LevelMM
	switch {
	case len(beyond) == of:
		return m.text("follow.where."+way+"-all", "Of", m.count(of))
	case len(beyond) == 1:
		return m.text("follow.where."+way+"-one", "At", m.length(first))
	case !m.together(beyond):
		return m.text("follow.where."+way+"-apart", "Number", m.count(len(beyond)), "Of", m.count(of))
	}
	return m.text("follow.where."+way, "Count", len(beyond), "Number", m.count(len(beyond)), "Of", m.count(of), "From", m.bareLength(first), "To", m.length(last))
}

// together tells whether no other level lies between those given, which are in
// the order of the levels compared.
func (m sheetMaker) together(levels []volume.LevelChange) bool {
	first := slices.IndexFunc(m.view.Girths, func(c volume.LevelChange) bool { return c.LevelMM == levels[0].LevelMM })
	return m.view.Girths[first+len(levels)-1].LevelMM == levels[len(levels)-1].LevelMM
}

// levelLines fills the table and returns its levels.
func (m sheetMaker) levelLines(w *whereSection) []float64 {
	var levels []float64
	if w.Compared {
		for _, c := range m.view.Girths {
			levels = append(levels, c.LevelMM)
			w.Levels = append(w.Levels, levelLine{
				Level: m.girth(c.LevelMM), Now: m.girth(c.NowMM), Then: m.girth(c.ThenMM), Change: m.girthChange(c.ChangeMM), Beyond: c.BeyondTape,
				Half: m.girth(volume.Normal975 * c.UMM),
			})
		}
		return levels
	}
	for _, at := range m.view.Taped.Assessed.Residual.Profile {
		levels = append(levels, at.LevelMM)
		w.Levels = append(w.Levels, levelLine{Level: m.girth(at.LevelMM), Now: m.girth(at.GirthMM)})
	}
	return levels
}

// draw adds the outline; a limb that can't be drawn keeps its table.
func (m sheetMaker) draw(w *whereSection, levels []float64) {
	now, then := shapeOf(*m.view.Taped), drawing.Shape{}
	if w.Compared {
		then = shapeOf(*m.view.Reference)
	}
	limb, err := drawing.DrawLimb(now, then, levels)
	if err != nil {
		m.lost("limb", err)
		return
	}
	w.Limb = &limb
	first, last := levels[0], levels[len(levels)-1]
	w.Description = m.text("follow.where.description", "From", m.bareLength(first), "To", m.length(last), "Heading", w.Heading)
}

func shapeOf(at followup.VisitView) drawing.Shape {
	s := at.Assessed.Residual.Series
	shape := drawing.Shape{Profile: at.Assessed.Residual.Profile, Cap: s.CapKind, CapDepthMM: s.CapDepthMM}
	if shape.Cap == "" {
		shape.Cap = quantity.NoCap
	}
	return shape
}

// mapSection is the change of girth by level and visit.
type mapSection struct {
	Heading, Lede string
	Caption       string
	Map           *drawing.ChangeMap
}

func (m sheetMaker) changeMap() mapSection {
	var visits []drawing.MapVisit
	levels, beyond := map[float64]bool{}, 0
	for i := len(m.view.Visits) - 1; i >= 0; i-- {
		at := m.view.Visits[i]
		if len(at.Girths) == 0 {
			continue
		}
		if slices.ContainsFunc(at.Girths, func(c volume.LevelChange) bool { return c.BeyondTape }) {
			beyond++
		}
		column := drawing.MapVisit{Words: m.shortDate(at.Assessed.On), Changes: map[float64]drawing.GirthChange{}}
		for _, c := range at.Girths {
			levels[c.LevelMM] = true
			column.Changes[c.LevelMM] = drawing.GirthChange{ChangeMM: c.ChangeMM, UMM: c.UMM, Words: m.girthChange(c.ChangeMM)}
		}
		visits = append([]drawing.MapVisit{column}, visits...)
	}
	if len(visits) < 2 { // the table beside the limb shows one
		return mapSection{}
	}
	drawn, err := drawing.DrawChangeMap(m.mapLevels(levels), visits)
	if err != nil {
		m.lost("change map", err)
		return mapSection{}
	}
	return mapSection{
		Heading: m.mapHeading(beyond, len(visits)),
		Lede:    m.text("follow.map.lede", "Unit", string(m.unit), "Count", len(visits)),
		Caption: m.text("follow.map.caption", "Unit", string(m.unit), "Since", m.since()), Map: &drawn,
	}
}

func (m sheetMaker) mapLevels(levels map[float64]bool) []drawing.MapLevel {
	var list []drawing.MapLevel
	for _, mm := range slices.Sorted(maps.Keys(levels)) {
		list = append(list, drawing.MapLevel{LevelMM: mm, Words: m.girth(mm)})
	}
	return list
}

// mapHeading counts the visits at which some level changed beyond the error of
// the tape.
func (m sheetMaker) mapHeading(beyond, of int) string {
	if beyond == 0 {
		return m.text("follow.map.within", "Of", m.count(of))
	}
	return m.text("follow.map.some", "Number", m.count(beyond), "Of", m.count(of))
}
