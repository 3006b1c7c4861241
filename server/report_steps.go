package server

import (
	"slices"
	"strconv"

	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/form"
)

// longestReportText is the longest text of a report, in characters.
const longestReportText = 10000

// spoken is what a report says so far.
type spoken struct {
	models.Said
	limb  *models.Limb // nil where none was named and there are several, or none
	today bool         // what it says of the skin is for the same day
}

// reportStep is one page of the form: one question.
type reportStep struct {
	name string // in its address
	// fields are the names of what is typed on it, all of which its form sets.
	fields func(reporting) []string
	// read reads them; what came from the steps before stands in the spoken.
	read func(*form.Reader, reporting, *spoken)
	// asked tells whether the question is put at all; nil is always.
	asked func(reporting, spoken) bool
}

// safetyNone is the box for none of these, on the safety page.
const safetyNone = "safety.none"

// reportSteps are the questions in their order. Only the first must be answered.
var reportSteps = []reportStep{
	{name: "safety", fields: boxes("safety", append(slices.Clone(models.SafetySigns), "none")), read: readSafety},
	{
		name: "now", fields: only("cannot-phone"),
		read: func(in *form.Reader, _ reporting, s *spoken) {
			s.CannotPhone = in.Bool("cannot-phone")
		},
		asked: func(_ reporting, s spoken) bool { return s.urgent() },
	},
	{name: "what", fields: boxes("what", models.ReportWhats), read: func(in *form.Reader, _ reporting, s *spoken) {
		s.What = form.Set(in, "what", models.ReportWhats)
	}},
	{name: "limb", fields: only("limb"), read: readReportLimb, asked: func(r reporting, _ spoken) bool { return len(r.limbs) > 1 }},
	{
		name:   "where",
		fields: func(r reporting) []string { return boxes("area", allAreas(r.limbs))(r) },
		read: func(in *form.Reader, r reporting, s *spoken) {
			for _, area := range form.Set(in, "area", areasOf(r, *s)) {
				s.Areas = append(s.Areas, string(area))
			}
		},
		asked: func(r reporting, s spoken) bool { return len(areasOf(r, s)) > 0 },
	},
	{name: "since", fields: only("since"), read: func(in *form.Reader, _ reporting, s *spoken) {
		s.Since = form.Choice(in, "since", models.ReportSinces)
	}},
	{name: "bother", fields: only("bother"), read: func(in *form.Reader, _ reporting, s *spoken) {
		s.Bother = readPoints(in, "bother", 0, 10)
	}},
	{name: "wearing", fields: only("wearing"), read: func(in *form.Reader, _ reporting, s *spoken) {
		s.Wearing = form.Choice(in, "wearing", models.Wearings)
	}},
	{
		name: "comfort", fields: only("comfort-average", "comfort-worst", "pain-worst", "looseness"),
		read: func(in *form.Reader, _ reporting, s *spoken) {
			s.ComfortAverage, s.ComfortWorst = readPoints(in, "comfort-average", 0, 10), readPoints(in, "comfort-worst", 0, 10)
			s.PainWorst, s.Looseness = readPoints(in, "pain-worst", 0, 10), readPoints(in, "looseness", -5, 5)
		},
	},
	{name: "skin", fields: boxes("skin", models.SkinSigns), read: func(in *form.Reader, _ reporting, s *spoken) {
		s.Skin = form.Set(in, "skin", models.SkinSigns)
	}},
	{name: "text", fields: only("text"), read: func(in *form.Reader, _ reporting, s *spoken) {
		s.Text = in.Note("text", longestReportText)
	}},
}

func only(fields ...string) func(reporting) []string {
	return func(reporting) []string { return fields }
}

// boxes are the names of a group of boxes, as form.Set reads them.
func boxes[T ~string](group string, offered []T) func(reporting) []string {
	names := make([]string, len(offered))
	for i, value := range offered {
		names[i] = group + "." + string(value)
	}
	return only(names...)
}

// readSafety reads the safety page, which wants an answer: something ticked, and
// not none of these beside a sign.
func readSafety(in *form.Reader, _ reporting, s *spoken) {
	s.Safety = form.Set(in, "safety", models.SafetySigns)
	switch none := in.Bool(safetyNone); {
	case none && len(s.Safety) > 0:
		in.Add("safety", "problem.report-safety-both", nil)
	case !none && len(s.Safety) == 0:
		in.Add("safety", "problem.report-safety-none", nil)
	}
}

// readReportLimb reads which of several limbs it is about, by its place in the list.
func readReportLimb(in *form.Reader, r reporting, s *spoken) {
	if len(r.limbs) == 1 {
		s.limb = &r.limbs[0]
		return
	}
	offered := make([]string, len(r.limbs))
	for i := range r.limbs {
		offered[i] = strconv.Itoa(i)
	}
	if i := slices.Index(offered, form.Choice(in, "limb", append(offered, models.NotSure))); i >= 0 {
		s.limb = &r.limbs[i]
	}
}

// readPoints reads a number of a scale; nil where none was chosen.
func readPoints(in *form.Reader, field string, least, most int) *int {
	var offered []string
	for n := least; n <= most; n++ {
		offered = append(offered, strconv.Itoa(n))
	}
	i := slices.Index(offered, form.Choice(in, field, offered))
	if i < 0 {
		return nil
	}
	n := least + i
	return &n
}

// areasOf are the places that can be pointed at: of the limb that was named, or
// of all.
func areasOf(r reporting, s spoken) []quantity.Area {
	if s.limb != nil {
		return quantity.Areas(s.limb.Level)
	}
	return allAreas(r.limbs)
}

// allAreas are the places of all limbs, each once.
func allAreas(limbs []models.Limb) []quantity.Area {
	var all []quantity.Area
	for _, l := range limbs {
		for _, area := range quantity.Areas(l.Level) {
			if !slices.Contains(all, area) {
				all = append(all, area)
			}
		}
	}
	return all
}

// read reads all steps as they are typed so far.
func (r reporting) read(in *form.Reader) spoken {
	var s spoken
	for _, step := range reportSteps {
		step.read(in, r, &s)
	}
	return s
}

// reportStepNamed finds a step by the name in its address.
func reportStepNamed(name string) (reportStep, bool) {
	i := slices.IndexFunc(reportSteps, func(step reportStep) bool { return step.name == name })
	if i < 0 {
		return reportStep{}, false
	}
	return reportSteps[i], true
}

// has tells whether a problem is of one of the step's fields.
func (step reportStep) has(r reporting, p form.Problem) bool {
	return p.Field == step.name || slices.Contains(step.fields(r), p.Field)
}

// saved tells whether the step's form was sent once, answered or not.
func (step reportStep) saved(r reporting) bool {
	return slices.ContainsFunc(step.fields(r), func(field string) bool {
		_, typed := r.draft.Fields[field]
		return typed
	})
}

// after is the name of the question that follows a step, before of the one that
// comes before it; "check" follows the last, "" comes before the first.
func (r reporting) after(step string, s spoken) string {
	return firstAsked(s.steps(), r, s, step, "check")
}

func (r reporting) before(step string, s spoken) string {
	backwards := s.steps()
	slices.Reverse(backwards)
	if step == "check" {
		step = ""
	}
	return firstAsked(backwards, r, s, step, "")
}

// firstAsked is the first step behind the named one, or of all where it is "",
// that is asked; last where there is none.
func firstAsked(steps []reportStep, r reporting, s spoken, behind, last string) string {
	passed := behind == ""
	for _, step := range steps {
		if passed && (step.asked == nil || step.asked(r, s)) {
			return step.name
		}
		passed = passed || step.name == behind
	}
	return last
}
