package followup

import (
	"slices"
	"time"

	"fairlead/analytics/quantity"
	"fairlead/analytics/reliability"
	"fairlead/models"
)

func importedVolumes(values []reliability.Value) models.Study {
	s := models.Study{Kind: models.ScanStudy, Passes: 1, Levels: []quantity.Length{}}
	for _, v := range values {
		s.Volumes = append(s.Volumes, models.StudyVolume{Subject: v.Subject, Method: v.Rater, Trial: v.Trial, VolumeML: v.Value})
		s.Rounds = max(s.Rounds, v.Trial)
		s.Subjects = withNew(s.Subjects, v.Subject)
		s.Measurers = withNew(s.Measurers, v.Rater)
	}
	return s
}

func importedGirths(readings []reliability.Reading, now time.Time, by string) models.Study {
	s := models.Study{Kind: models.FittersStudy}
	rounds := map[string][]string{} // names of sets of marks, by limb
	for _, r := range readings {
		rounds[r.Subject] = withNew(rounds[r.Subject], r.Marks)
		s.Subjects = withNew(s.Subjects, r.Subject)
		s.Measurers = withNew(s.Measurers, r.Fitter)
		s.Passes = max(s.Passes, r.Pass)
	}
	type key struct{ subject, fitter, marks string }
	place := map[key]int{}
	for _, r := range readings {
		slices.Sort(rounds[r.Subject])
		k := key{r.Subject, r.Fitter, r.Marks}
		at, known := place[k]
		if !known {
			at = len(s.Sheets)
			place[k] = at
			s.Sheets = append(s.Sheets, models.StudySheet{
				Subject: r.Subject, Measurer: r.Fitter, Round: 1 + slices.Index(rounds[r.Subject], r.Marks),
				Marks: r.Marks, EnteredBy: by, SavedAt: &now,
			})
		}
		level := quantity.FromMM(r.LevelMM)
		s.Sheets[at].Readings = append(s.Sheets[at].Readings, models.StudyReading{Level: level, Pass: r.Pass, Girth: quantity.FromMM(r.GirthMM)})
		s.Rounds = max(s.Rounds, s.Sheets[at].Round)
		s.Levels = append(s.Levels, level)
	}
	slices.Sort(s.Levels)
	s.Levels = slices.Compact(s.Levels)
	return s
}

func withNew(list []string, name string) []string {
	if slices.Contains(list, name) {
		return list
	}
	return append(list, name)
}
