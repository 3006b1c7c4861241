package server

import (
	"errors"
	"slices"
	"strconv"

	"fairlead/models"
	"fairlead/server/form"
	"github.com/gin-gonic/gin"
)

// studyVolumesPage takes the volumes of a study of tape against scan.
type studyVolumesPage struct {
	Page
	Study, Back, Action string
	Version             string
	Columns             []string
	Rows                []volumeRow
}

// volumeRow is one limb with a field for each method and trial.
type volumeRow struct {
	Limb   string
	Fields []volumeField
}

type volumeField struct{ Name, Label, Column, Value string }

// volumeFieldName is the name of the field of one volume.
func volumeFieldName(subject, method, trial int) string {
	return "v." + strconv.Itoa(subject) + "." + strconv.Itoa(method) + "." + strconv.Itoa(trial)
}

// eachVolume goes through the fields of a study: limb by limb, method by method.
func eachVolume(study models.Study, do func(subject, method, trial int)) {
	for i := range study.Subjects {
		for j := range study.Measurers {
			for trial := range study.Rounds {
				do(i, j, trial+1)
			}
		}
	}
}

func (s *server) showStudyVolumes(c *gin.Context) error {
	study, err := s.scanStudy(c)
	if err != nil {
		return err
	}
	return s.show(c, "study-volumes", s.studyVolumesPage(c, study, s.typedVolumes(c, study)))
}

// scanStudy is the study of a path, which must be of tape against scan and open.
func (s *server) scanStudy(c *gin.Context) (models.Study, error) {
	study, err := s.study(c)
	switch {
	case err != nil:
		return study, err
	case study.Kind != models.ScanStudy:
		return study, errNotFound
	}
	return study, nil
}

func (s *server) typedVolumes(c *gin.Context, study models.Study) map[string]string {
	typed := map[string]string{"version": version(study.Version)}
	y := s.sayer(c)
	for _, v := range study.Volumes {
		i, j := slices.Index(study.Subjects, v.Subject), slices.Index(study.Measurers, v.Method)
		typed[volumeFieldName(i, j, v.Trial)] = y.upTo(v.VolumeML, 2)
	}
	return typed
}

func (s *server) studyVolumesPage(c *gin.Context, study models.Study, typed map[string]string) studyVolumesPage {
	y := s.sayer(c)
	page := studyVolumesPage{
		Page: s.page(c, s.text(c, "study.volumes-title"), "setup"), Study: study.Name, Back: studyPath(study.ID),
		Action: studyPath(study.ID) + "/volumes", Version: typed["version"],
	}
	page.Rows = make([]volumeRow, len(study.Subjects))
	eachVolume(study, func(i, j, trial int) {
		column := y.text("study.volume-column", "Method", y.measurer(study.Measurers[j]), "Trial", trial)
		if i == 0 {
			page.Columns = append(page.Columns, column)
		}
		name := volumeFieldName(i, j, trial)
		page.Rows[i].Limb = study.Subjects[i]
		page.Rows[i].Fields = append(page.Rows[i].Fields, volumeField{
			Name: name, Column: column, Value: typed[name], Label: y.text("study.volume-label", "Limb", study.Subjects[i], "Column", column),
		})
	})
	return page
}

// readVolumes reads the form into the volumes of a study.
func readVolumes(r *form.Reader, study models.Study) []models.StudyVolume {
	var volumes []models.StudyVolume
	eachVolume(study, func(i, j, trial int) {
		if v := r.Decimal(volumeFieldName(i, j, trial), leastStudyVolumeML, mostStudyVolumeML, "mL", "ml"); v != nil {
			volumes = append(volumes, models.StudyVolume{Subject: study.Subjects[i], Method: study.Measurers[j], Trial: trial, VolumeML: *v})
		}
	})
	return volumes
}

// leastStudyVolumeML is the smallest volume of a limb that is believed.
const leastStudyVolumeML = 1

// saveStudyVolumes saves all volumes at once.
func (s *server) saveStudyVolumes(c *gin.Context) error {
	study, err := s.scanStudy(c)
	if err != nil {
		return err
	}
	typed, err := fields(c)
	if err != nil {
		return err
	}
	r := s.reader(c, typed)
	study.Volumes, study.Version = readVolumes(r, study), readVersion(r)
	stale := false
	if !r.Problems().Any() {
		err := s.store.SaveStudyVolumes(c.Request.Context(), &study)
		switch {
		case err == nil:
			return s.done(c, studyPath(study.ID), "study.volumes-saved")
		case errors.Is(err, models.ErrConflict):
			return errFrozen
		case !errors.Is(err, models.ErrStale):
			return err
		}
		now, err := s.study(c)
		if err != nil {
			return err
		}
		stale = true
		typed["version"] = version(now.Version)
		r.Add("", "problem.sheet-stale", nil)
	}
	page := s.studyVolumesPage(c, study, typed)
	labels := map[string]string{}
	for _, row := range page.Rows {
		for _, f := range row.Fields {
			labels[f.Name] = f.Label
		}
	}
	page.Page = s.withProblems(c, page.Page, r.Problems(), func(field string) string { return labels[field] })
	if stale {
		return s.conflict(c, "study-volumes", page)
	}
	return s.refuse(c, "study-volumes", page)
}
