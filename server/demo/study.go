package demo

import (
	"context"
	"fmt"
	"math/rand/v2"

	"fairlead/analytics/cohort"
	"fairlead/analytics/quantity"
	"fairlead/models"
)

// The size of the study that the workshop has just finished.
const (
	studyLimbs  = 10
	studyRounds = 2
	studyPasses = 2
	studyAgo    = 12 // days
)

// study is one that the fitters have finished and nobody has taken into use: the
// same limbs, taped by both, in two rounds.
func (t *teller) study(ctx context.Context) error {
	t.clock.Set(t.day(studyAgo))
	now := t.clock.Now()
	s := models.Study{
		Kind: models.FittersStudy, Name: "Ten limbs, two fitters", HeldOn: quantity.DateOf(t.day(studyAgo)), Passes: studyPasses, Rounds: studyRounds,
		Measurers: []string{t.fitter.Name, t.partner.Name}, MadeBy: t.fitter.Name,
		Note: "Limbs of colleagues and of clients who agreed, each marked afresh in the morning and in the afternoon.",
	}
	levels := []float64{0, 30, 60, 90, 120}
	for _, mm := range levels {
		s.Levels = append(s.Levels, quantity.FromMM(mm))
	}
	careful := cohort.Tape{ReadingMM: 1.4, LevelMM: 2, LandmarkMM: 2, Bias: 0.004}
	bias := []float64{0, 0.009} // the second fitter pulls less
	rng := rand.New(rand.NewPCG(20, 10))
	for i := range studyLimbs {
		limb := cohort.NewLimb(rng, quantity.Transtibial, 1)
		name := fmt.Sprint("limb ", i+1)
		s.Subjects = append(s.Subjects, name)
		for f, fitter := range s.Measurers {
			for round := 1; round <= studyRounds; round++ {
				hand := careful
				hand.FitterBias = bias[f]
				sheet := models.StudySheet{Subject: name, Measurer: fitter, Round: round, EnteredBy: fitter, SavedAt: &now}
				for _, r := range hand.Read(rng, limb, 1, levels, studyPasses) {
					sheet.Readings = append(sheet.Readings, models.StudyReading{Level: quantity.FromMM(r.LevelMM), Pass: r.Pass, Girth: quantity.FromMM(r.GirthMM)})
				}
				s.Sheets = append(s.Sheets, sheet)
			}
		}
	}
	return t.store.CreateStudy(ctx, &s)
}
