package followup

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"time"

	"fairlead/analytics/reliability"
	"fairlead/analytics/trend"
	"fairlead/models"
)

// StudyResult is what a repeatability study comes to: figures and codes, no words.
type StudyResult struct {
	// Report compares volumes in mL; nil where there is nothing to compare yet.
	Report *reliability.Report
	// Estimate is what the study would leave in force, or left when it was taken into
	// use; nil where it says nothing about the tape.
	Estimate *reliability.Estimate
	Sees     reliability.Sees // what can be seen with it; counts with Estimate only
	Apart    bool             // the readings are too far apart to be of the same limbs
	NotYet   StudyNotYet      // why it can't be taken into use, empty where it can
}

// StudyNotYet says why a study can't be taken into use.
type StudyNotYet string

// Why a study can't be taken into use.
const (
	StudyEmpty     StudyNotYet = "empty"     // nothing was entered
	StudyUnread    StudyNotYet = "unread"    // some page has nothing in it
	StudyOneLimb   StudyNotYet = "one-limb"  // a single limb says little of others
	StudyNoRepeats StudyNotYet = "no-repeat" // nothing was measured twice
	StudyConstant  StudyNotYet = "constant"  // all repeated readings are equal
	StudyApart     StudyNotYet = "apart"     // see StudyResult.Apart
	StudyScan      StudyNotYet = "scan"      // it changes nothing that is computed
)

// StudyNotYets lists the reasons.
var StudyNotYets = []StudyNotYet{StudyEmpty, StudyUnread, StudyOneLimb, StudyNoRepeats, StudyConstant, StudyApart, StudyScan}

// fewestLimbs is how many limbs a study needs to be taken into use; many more are
// advised (V4).
const fewestLimbs = 2

// Girths are the readings of a study of the tape as the analysis takes them.
func Girths(s models.Study) reliability.Study {
	of := reliability.Study{On: s.HeldOn}
	for _, sheet := range s.Sheets {
		for _, r := range sheet.Readings {
			of.Readings = append(of.Readings, reliability.Reading{
				Subject: sheet.Subject, Fitter: sheet.Measurer, Marks: fmt.Sprintf("%02d", sheet.Round),
				LevelMM: r.Level.MM(), Pass: r.Pass, GirthMM: r.Girth.MM(),
			})
		}
	}
	return of
}

// volumesOf are the volumes of a study as the analysis takes them.
func volumesOf(s models.Study) ([]reliability.Value, error) {
	if s.Kind == models.FittersStudy {
		return Girths(s).Volumes()
	}
	var values []reliability.Value
	for _, v := range s.Volumes {
		values = append(values, reliability.Value{Subject: v.Subject, Rater: v.Method, Trial: v.Trial, Value: v.VolumeML})
	}
	return values, nil
}

// ResultOf works out what a study comes to, with all studies of the workshop
// beside it: those that were in use before it are what it starts from.
func ResultOf(study models.Study, all []models.Study) StudyResult {
	var r StudyResult
	values, err := volumesOf(study)
	r.Apart = errors.Is(err, reliability.ErrBadReading)
	if report, err := reliability.Analyse(values); err == nil {
		r.Report = &report
	}
	if study.Kind == models.FittersStudy {
		r.estimate(study, all)
	}
	r.NotYet = r.notYet(study)
	return r
}

func (r *StudyResult) estimate(study models.Study, all []models.Study) {
	chain := []reliability.Study{Girths(study)}
	for _, other := range all {
		if use := other.InUse(); use != nil && other.ID != study.ID && usedBefore(*use, study) {
			chain = append(chain, Girths(other))
		}
	}
	prior, err := reliability.InForce(chain[1:], "")
	if err != nil {
		return
	}
	e, err := chain[0].Estimate(prior.Prior())
	if err != nil {
		r.Apart = r.Apart || !errors.Is(err, reliability.ErrNoValues)
		return
	}
	e.Studies += prior.Studies
	if sees, err := e.Sees(); err == nil {
		r.Estimate, r.Sees = &e, sees
	}
}

// usedBefore tells whether a use of another study stands below one.
func usedBefore(use models.StudyUse, study models.Study) bool {
	return len(study.Uses) == 0 || study.InUse() == nil || use.Number < study.InUse().Number
}

func (r StudyResult) notYet(study models.Study) StudyNotYet {
	switch e := r.Estimate; {
	case study.Kind == models.ScanStudy:
		return StudyScan
	case study.Entered() == 0:
		return StudyEmpty
	case r.Apart || e == nil:
		return StudyApart
	case slices.ContainsFunc(study.Sheets, func(s models.StudySheet) bool { return len(s.Readings) == 0 }):
		return StudyUnread
	case e.Limbs < fewestLimbs:
		return StudyOneLimb
	case e.Reading.OwnDF == 0 && e.SameFitter.OwnDF == 0 && e.Lasting.OwnDF == 0:
		return StudyNoRepeats
	case e.Reading.OwnDF > 0 && e.Reading.Own == 0:
		return StudyConstant
	}
	return ""
}

// use is what a result leaves in force. Its figures are rounded to what a person
// reads, so that everything computed from them can be worked out by hand.
func (r StudyResult) use(study models.Study, by, note string) models.StudyUse {
	e := r.Estimate
	u := models.StudyUse{
		StudyID: study.ID, TakenBy: by, Note: note, HeldOn: study.HeldOn, Limbs: e.Limbs, Fitters: e.Fitters,
		ReadingMM: rounded(e.Sigmas.ReadingMM, 100), LevelMM: rounded(e.Sigmas.LevelMM, 100), LandmarkMM: rounded(e.Sigmas.LandmarkMM, 100),
		BiasSame: rounded(e.Sigmas.BiasSameFitter, 1e5), BiasBetween: rounded(e.Sigmas.BiasBetweenFitters, 1e5),
	}
	if usual := untouchedLasting(); e.Lasting.InForce != usual {
		// The default of the trend stands for what fitters differ by by default: a
		// workshop of half that difference has half of it.
		u.SourcePercent = rounded(trend.DefaultSourceSD*e.Lasting.InForce/usual, 100)
	}
	return u
}

// untouchedLasting is what fitters differ by lastingly without any study, as a
// share of girth.
func untouchedLasting() float64 {
	e, err := reliability.InForce(nil, "")
	if err != nil {
		panic("followup: no study at all: " + err.Error())
	}
	return e.Lasting.InForce
}

func rounded(v, steps float64) float64 { return math.Round(v*steps) / steps }

// ErrStudyNotYet says that a study can't be taken into use.
type ErrStudyNotYet struct{ Why StudyNotYet }

func (e ErrStudyNotYet) Error() string { return "study can't be taken into use: " + string(e.Why) }

// TakeIntoUse makes what a study comes to, read at version, the uncertainties of
// the workshop's tape from now on.
//
// Errors: ErrStudyNotYet; models.ErrStale when the study was changed since, or
// another came into use; models.ErrConflict when it is in use already.
func TakeIntoUse(ctx context.Context, store *models.Store, studyID string, version int, by, note string) (models.StudyUse, error) {
	all, err := store.Studies(ctx)
	if err != nil {
		return models.StudyUse{}, fmt.Errorf("take study into use: %w", err)
	}
	i := slices.IndexFunc(all, func(s models.Study) bool { return s.ID == studyID })
	if i < 0 {
		return models.StudyUse{}, fmt.Errorf("take study into use: %w", models.ErrNotFound)
	}
	if all[i].InUse() != nil {
		return models.StudyUse{}, fmt.Errorf("take study into use: %w", models.ErrConflict)
	}
	last := 0
	for _, s := range all {
		for _, u := range s.Uses {
			last = max(last, u.Number)
		}
	}
	result := ResultOf(all[i], all)
	if result.NotYet != "" {
		return models.StudyUse{}, ErrStudyNotYet{result.NotYet}
	}
	use := result.use(all[i], by, note)
	if err := store.TakeStudyIntoUse(ctx, &use, version, last); err != nil {
		return models.StudyUse{}, fmt.Errorf("take study into use: %w", err)
	}
	return use, nil
}

// ImportedStudy turns a file that reliability.DecodeCSV has read into a study. Sets
// of marks become the rounds of each limb, in the order of their names.
func ImportedStudy(f reliability.File, now time.Time, by string) models.Study {
	if !f.Girths {
		return importedVolumes(f.Values)
	}
	return importedGirths(f.Study.Readings, now, by)
}
