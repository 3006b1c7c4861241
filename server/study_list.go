package server

import (
	"fairlead/analytics/reliability"
	"fairlead/models"
	"fairlead/server/followup"
	"github.com/gin-gonic/gin"
)

// studiesPage tells how well the workshop measures, and lists its studies.
type studiesPage struct {
	Page
	Whose   string // uncertainties are in force
	Sees    string
	Sigmas  []sigmaRow
	Studies []studyRow
	MayMake bool
}

// sigmaRow is one uncertainty of the tape in words.
type sigmaRow struct{ Name, InForce, Usual string }

// studyRow is one study in words.
type studyRow struct{ Link, Name, On, What, State string }

// studyPath is the address of a study.
func studyPath(id string) string { return "/studies/" + id }

func (s *server) listStudies(c *gin.Context) error {
	studies, err := s.store.Studies(c.Request.Context())
	if err != nil {
		return err
	}
	uses, err := s.store.StudyUses(c.Request.Context())
	if err != nil {
		return err
	}
	y, who := s.sayer(c), signedIn(c)
	tape := followup.TapeError{Use: models.UseInForce(uses)}
	page := studiesPage{
		Page: s.page(c, s.text(c, "study.title"), "setup"), Whose: y.whoseTape(tape), Sigmas: y.sigmaRows(tape),
		MayMake: allowed(makeStudy, who),
	}
	if page.Sees, err = y.seesInForce(tape); err != nil {
		return err
	}
	for _, study := range studies {
		page.Studies = append(page.Studies, studyRow{
			Link: studyPath(study.ID), Name: study.Name, On: y.shortDate(study.HeldOn), What: y.studyWhat(study), State: y.studyState(study),
		})
	}
	return s.show(c, "studies", page)
}

// sigmaRows are the uncertainties in force beside the defaults.
func (y sayer) sigmaRows(tape followup.TapeError) []sigmaRow {
	now, usual := tape.Sigmas(), followup.TapeError{}.Sigmas()
	row := func(id string, say func(float64) string, inForce, before float64) sigmaRow {
		return sigmaRow{Name: y.text(id), InForce: say(inForce), Usual: say(before)}
	}
	percent := func(share float64) string { return y.sigmaPercent(share) + narrow + "%" }
	return []sigmaRow{
		row("study.part.reading", y.sigmaMM, now.ReadingMM, usual.ReadingMM),
		row("study.part.level", y.sigmaMM, now.LevelMM, usual.LevelMM),
		row("study.part.landmark", y.sigmaMM, now.LandmarkMM, usual.LandmarkMM),
		row("study.part.same", percent, now.BiasSameFitter, usual.BiasSameFitter),
		row("study.part.between", percent, now.BiasBetweenFitters, usual.BiasBetweenFitters),
	}
}

// seesInForce says what can be seen on a usual limb with what is in force.
func (y sayer) seesInForce(tape followup.TapeError) (string, error) {
	sees, err := (reliability.Estimate{Sigmas: tape.Sigmas()}).Sees()
	if err != nil {
		return "", err
	}
	return y.sees(sees), nil
}

// sees says what change two visits can tell from measuring error.
func (y sayer) sees(s reliability.Sees) string {
	id := "study.sees.usual"
	switch {
	case s.Limbs == 1:
		id = "study.sees.one"
	case s.Limbs > 1:
		id = "study.sees.middle"
	}
	percent := func(p, ml float64) string {
		return y.text("study.sees.size", "Percent", y.decimal(p, 1), "Volume", y.decimal(ml, 0))
	}
	return y.text(id, "Limbs", s.Limbs, "Volume", y.decimal(s.VolumeML, 0),
		"Same", percent(s.SameFitterPercent, s.SameFitterML), "Two", percent(s.TwoFittersPercent, s.TwoFittersML))
}

// studyWhat says how large a study is.
func (y sayer) studyWhat(study models.Study) string {
	id := "study.what." + string(study.Kind)
	return y.text(id, "Limbs", y.text("tape.limbs", "Count", len(study.Subjects)),
		"Fitters", y.text("tape.fitters", "Count", len(study.Measurers)), "Rounds", y.text("study.rounds-count", "Count", study.Rounds))
}

// studyState says whether a study is in use.
func (y sayer) studyState(study models.Study) string {
	on := func(u models.StudyUse) string { return y.day(u.TakenAt) }
	switch use := study.InUse(); {
	case use != nil:
		return y.text("study.state.in-use", "On", on(*use), "By", use.TakenBy)
	case study.Frozen():
		last := study.Uses[0]
		return y.text("study.state.withdrawn", "On", y.day(*last.WithdrawnAt), "By", last.WithdrawnBy)
	}
	return y.text("study.state.draft")
}
