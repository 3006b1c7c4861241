package server

import (
	"fairlead/analytics/volume"
	"fairlead/server/followup"
)

// budgetView is how a volume and its change were computed: everything that it
// takes to work them out by hand.
type budgetView struct {
	Method   string
	Sigmas   []string // the standard uncertainties that go in
	Whose    string   // whose they are
	Estimate []budgetColumn
	Levels   []gradientLine
	Change   []string // the change, in sentences
	Cap      string
	Unit     string
}

// budgetColumn is the volume of one visit with the four parts of its
// uncertainty, in millilitres.
type budgetColumn struct {
	Head, Span, Volume, Reading, Level, Landmark, Bias, Total string
}

// gradientLine is one level of the newest visit.
type gradientLine struct{ Level, Girth, Passes, Spread, Gradient string }

func (m sheetMaker) budget() *budgetView {
	taped := m.view.Taped
	if taped == nil {
		return nil
	}
	s := m.view.History.Sigmas
	b := &budgetView{
		Method: volume.MethodVersion, Unit: string(m.unit),
		Sigmas: []string{
			m.text("follow.budget.sigma-reading", "Value", m.sigmaMM(s.ReadingMM)),
			m.text("follow.budget.sigma-level", "Value", m.sigmaMM(s.LevelMM)),
			m.text("follow.budget.sigma-landmark", "Value", m.sigmaMM(s.LandmarkMM)),
			m.text("follow.budget.sigma-bias", "Value", m.sigmaPercent(s.BiasSameFitter), "Between", m.sigmaPercent(s.BiasBetweenFitters)),
		},
		Whose:    m.whoseTape(m.view.Record.Tape),
		Estimate: []budgetColumn{m.budgetColumn(*taped)},
	}
	if ref := m.view.Reference; ref != nil && ref.Volume != nil && ref != taped {
		b.Estimate = append(b.Estimate, m.budgetColumn(*ref))
	}
	for i, at := range taped.Assessed.Residual.Profile {
		b.Levels = append(b.Levels, gradientLine{
			Level: m.girth(at.LevelMM), Girth: m.girth(at.GirthMM), Passes: m.decimal(float64(at.Passes), 0),
			Spread: m.girth(at.SpreadMM), Gradient: m.decimal(taped.Volume.Gradient[i], 2),
		})
	}
	if taped.CapML != nil {
		series := taped.Assessed.Residual.Series
		b.Cap = m.text("follow.budget.cap", "Volume", m.millilitres(*taped.CapML), "Kind", m.word("cap", string(series.CapKind)), "Depth", m.length(series.CapDepthMM))
	}
	b.Change = m.changeSentences(*taped)
	return b
}

func (m sheetMaker) budgetColumn(at followup.VisitView) budgetColumn {
	e := at.Volume
	return budgetColumn{
		Head: m.date(at.Assessed.On), Span: m.text("follow.span", "From", m.bareLength(e.FromMM), "To", m.length(e.ToMM)),
		Volume: m.decimal(e.VolumeML, 1), Reading: m.decimal(e.Terms.ReadingML, 1), Level: m.decimal(e.Terms.LevelML, 1),
		Landmark: m.decimal(e.Terms.LandmarkML, 1), Bias: m.decimal(e.Terms.BiasML, 1), Total: m.decimal(e.UML, 1),
	}
}

// changeSentences say the change on the shared span, what widened its
// uncertainty, and the sound limb beside it.
func (m sheetMaker) changeSentences(at followup.VisitView) []string {
	change := at.Change
	if change == nil || !change.Comparable {
		return nil
	}
	said := []string{m.text("follow.budget.change",
		"Span", m.text("follow.span", "From", m.bareLength(change.FromMM), "To", m.length(change.ToMM)),
		"Then", m.decimal(change.ReferenceML, 1), "Now", m.decimal(change.NowML, 1), "Change", m.change(change.ChangeML), "U", m.decimal(change.UML, 1),
		"Percent", m.percentChange(change.ChangePercent), "UPercent", m.decimal(change.UPercent, 2),
		"Interval", m.interval(change.LoPercent, change.HiPercent))}
	for _, widened := range change.Widened {
		said = append(said, m.text("follow.budget.widened."+widened))
	}
	if c := m.view.Control; c != nil && at.SoundChange != nil {
		said = append(said, m.text("follow.budget.control", "Sound", m.percentChange(at.SoundChange.ChangePercent),
			"SoundInterval", m.interval(at.SoundChange.LoPercent, at.SoundChange.HiPercent),
			"Beside", m.percentChange(c.DifferencePercent), "Interval", m.interval(c.LoPercent, c.HiPercent), "Verdict", m.verdict(c.Verdict)))
	} else if m.view.Record.Limb.OtherSideSound {
		said = append(said, m.text("follow.budget.no-control"))
	}
	return said
}
