package server

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/form"
	"github.com/gin-gonic/gin"
)

// studyFormPage begins a study.
type studyFormPage struct {
	Page
	Typed  map[string]string
	Scan   bool // tape against scan
	Unit   string
	People []Option
}

// Bounds of a guided study, above what a workshop can measure in a week.
const (
	mostStudyLimbs    = 60
	mostStudyFitters  = 12
	mostStudyRounds   = 9
	mostStudyPasses   = 3
	longestStudyName  = 120
	longestCode       = 40
	mostListLength    = 4000
	mostStudyVolumeML = 100_000
)

// methods are what a study of tape against scan compares, as they are recorded.
var methods = []string{"tape", "scan"}

func (s *server) newStudy(c *gin.Context) error {
	typed := map[string]string{
		"id": models.NewID(), "kind": string(models.FittersStudy), "held_on": string(s.presentDate(c)),
		"passes": "2", "rounds": "2",
	}
	if c.Query("kind") == string(models.ScanStudy) {
		typed["kind"] = string(models.ScanStudy)
	}
	var codes []string
	for i := range 10 {
		codes = append(codes, s.text(c, "study.limb-code", "Number", i+1))
	}
	typed["subjects"] = strings.Join(codes, "\n")
	levels := []string{}
	for i := range 6 {
		levels = append(levels, typedLevel(*signedIn(c), quantity.Length(300*i)))
	}
	typed["levels"] = strings.Join(levels, "; ")
	page, err := s.studyForm(c, typed)
	if err != nil {
		return err
	}
	return s.show(c, "study-form", page)
}

func (s *server) studyForm(c *gin.Context, typed map[string]string) (studyFormPage, error) {
	people, err := s.measuringPeople(c)
	page := studyFormPage{
		Typed: typed, Unit: string(signedIn(c).LengthUnit), Scan: typed["kind"] == string(models.ScanStudy),
	}
	title := "study.new"
	if page.Scan {
		title = "study.new-scan"
	}
	page.Page = s.page(c, s.text(c, title), "setup")
	for _, p := range people {
		field := "person." + p.ID
		page.People = append(page.People, Option{Value: field, Label: p.Name, Chosen: typed[field] != ""})
	}
	return page, err
}

// measuringPeople are those of the workshop who can measure.
func (s *server) measuringPeople(c *gin.Context) ([]models.Person, error) {
	people, err := s.store.People(c.Request.Context())
	return slices.DeleteFunc(people, func(p models.Person) bool {
		return p.DisabledAt != nil || p.Name == "" || !p.IsFitter && !p.IsProsthetist
	}), err
}

var studyLabels = map[string]string{
	"name": "study.name", "held_on": "study.held-on", "levels": "study.levels", "passes": "study.passes", "rounds": "study.rounds",
	"others": "study.others", "subjects": "study.subjects", "note": "study.note",
}

// addStudy begins a study with an empty page for each limb, fitter and round.
func (s *server) addStudy(c *gin.Context) error {
	typed, err := fields(c)
	if err != nil {
		return err
	}
	people, err := s.measuringPeople(c)
	if err != nil {
		return err
	}
	r := s.reader(c, typed)
	study := readStudyForm(r, people)
	study.ID, study.MadeBy = recordID(typed), signedIn(c).Name
	if !r.Problems().Any() {
		err := s.store.CreateStudy(c.Request.Context(), &study)
		switch {
		case err == nil:
			return s.done(c, studyPath(study.ID), "study.begun")
		case errors.Is(err, models.ErrConflict): // sent twice
			return s.done(c, studyPath(study.ID), "record.added-already")
		}
		return err
	}
	page, err := s.studyForm(c, typed)
	if err != nil {
		return err
	}
	page.Page = s.withProblems(c, page.Page, r.Problems(), s.labels(c, studyLabels))
	return s.refuse(c, "study-form", page)
}

// readStudyForm reads the form into a study.
func readStudyForm(r *form.Reader, people []models.Person) models.Study {
	study := models.Study{Kind: form.RequiredChoice(r, "kind", models.StudyKinds), Passes: 1, Levels: []quantity.Length{}}
	study.Name = r.RequiredText("name", longestStudyName)
	r.Require("held_on")
	study.HeldOn = r.DateNotFuture("held_on")
	study.Subjects = names(r, "subjects", mostStudyLimbs)
	r.Require("subjects", "rounds")
	if rounds := r.Int("rounds", 1, mostStudyRounds); rounds != nil {
		study.Rounds = *rounds
	}
	study.Note = r.Note("note", longestNote)
	if study.Kind == models.ScanStudy {
		study.Measurers = methods
		return study
	}
	r.Require("levels", "passes")
	study.Levels = r.Levels("levels")
	if passes := r.Int("passes", 1, mostStudyPasses); passes != nil {
		study.Passes = *passes
	}
	study.Measurers = readMeasurers(r, people)
	for _, subject := range study.Subjects {
		for _, fitter := range study.Measurers {
			for round := range study.Rounds {
				study.Sheets = append(study.Sheets, models.StudySheet{Subject: subject, Measurer: fitter, Round: round + 1})
			}
		}
	}
	return study
}

// readMeasurers reads who measures: people of the workshop, and typed names.
func readMeasurers(r *form.Reader, people []models.Person) []string {
	var who []string
	for _, p := range people {
		if r.Bool("person." + p.ID) {
			who = append(who, p.Name)
		}
	}
	who = append(who, names(r, "others", mostStudyFitters)...)
	for i, name := range who {
		if slices.Contains(who[:i], name) {
			r.Add("others", "problem.name-twice", map[string]any{"Name": name})
		}
	}
	switch {
	case len(who) > mostStudyFitters:
		r.Add("others", "problem.list-long", map[string]any{"Max": mostStudyFitters, "Count": len(who)})
	case len(who) == 0:
		r.Add("others", "problem.nobody-measured", nil)
	}
	return who
}

// names reads a list, one name on a line, all different.
func names(r *form.Reader, field string, most int) []string {
	var list []string
	for line := range strings.Lines(r.Note(field, mostListLength)) {
		name := strings.Join(strings.Fields(line), " ")
		switch {
		case name == "":
		case len([]rune(name)) > longestCode:
			r.Add(field, "problem.name-long", map[string]any{"Name": fmt.Sprintf("%.40s…", name), "Max": longestCode})
		case slices.Contains(list, name):
			r.Add(field, "problem.name-twice", map[string]any{"Name": name})
		default:
			list = append(list, name)
		}
	}
	if len(list) > most {
		r.Add(field, "problem.list-long", map[string]any{"Max": most, "Count": len(list)})
		return nil
	}
	return list
}
