package server

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"

	"fairlead/analytics/reliability"
	"fairlead/analytics/table"
	"fairlead/models"
	"fairlead/server/followup"
	"fairlead/server/form"
	"github.com/gin-gonic/gin"
)

// importPage takes a study from a file or from pasted text. What was read is shown
// before anything of it is kept.
type importPage struct {
	Page
	Typed   map[string]string
	Faults  []importFault // what is wrong with the text, by line
	More    bool          // there may be more of them
	Preview *importPreview
}

// importFault is what is wrong with a line, and what to do.
type importFault struct {
	Line     string
	What, Do string
}

// importPreview is what was read, before it is kept.
type importPreview struct {
	What   string
	Counts []string // of each limb
	Notes  []importFault
}

// Bounds of an import.
const (
	mostImportKB       = 1024
	mostImportReadings = 20_000
	mostImportNames    = 200
)

func (s *server) newStudyImport(c *gin.Context) error {
	typed := map[string]string{"id": models.NewID(), "held_on": string(s.presentDate(c))}
	return s.show(c, "study-import", s.importPage(c, typed))
}

func (s *server) importPage(c *gin.Context, typed map[string]string) importPage {
	return importPage{Page: s.page(c, s.text(c, "study.import"), "setup"), Typed: typed}
}

var importLabels = map[string]string{
	"name": "study.name", "held_on": "study.held-on", "content": "study.import-text", "file": "study.import-file", "note": "study.note",
}

// importStudy reads a file: at first to show what is in it, and once more to keep
// it.
func (s *server) importStudy(c *gin.Context) error {
	place := &place{of: s.documents}
	defer place.leave()
	typed, file, err := fieldsAndFile(c, "file", place)
	if err != nil {
		return err
	}
	r := s.reader(c, typed)
	name := r.RequiredText("name", longestStudyName)
	r.Require("held_on")
	on, note := r.DateNotFuture("held_on"), r.Note("note", longestNote)
	takeContent(r, typed, file)
	page := s.importPage(c, typed)
	study, read := s.readImport(c, &page, r, typed)
	if r.Problems().Any() || !read {
		page.Page = s.withProblems(c, page.Page, r.Problems(), s.labels(c, importLabels))
		return s.refuse(c, "study-import", page)
	}
	study.ID, study.Name, study.HeldOn, study.Note, study.MadeBy = recordID(typed), name, on, note, signedIn(c).Name
	if typed["take"] == "" || file != nil {
		return s.show(c, "study-import", page)
	}
	page.Preview = nil
	err = s.store.CreateStudy(c.Request.Context(), &study)
	switch {
	case err == nil:
		return s.done(c, studyPath(study.ID), "study.imported")
	case errors.Is(err, models.ErrConflict): // sent twice
		return s.done(c, studyPath(study.ID), "record.added-already")
	}
	return err
}

// takeContent puts the text of a chosen file in the place of the pasted one, so
// that it need not be chosen again.
func takeContent(r *form.Reader, typed map[string]string, file *upload) {
	if file != nil && (len(file.content) > 0 || file.tooLarge) {
		switch {
		case file.tooLarge || len(file.content) > mostImportKB<<10:
			r.Add("file", "problem.import-large", map[string]any{"Most": mostImportKB})
			return
		case !utf8.Valid(file.content) || bytes.ContainsRune(file.content, 0):
			r.Add("file", "problem.import-text", nil)
			return
		}
		typed["content"] = strings.TrimPrefix(string(file.content), "\ufeff")
		return
	}
	switch content := typed["content"]; {
	case strings.TrimSpace(content) == "":
		r.Add("content", "problem.import-empty", nil)
	case len(content) > mostImportKB<<10:
		r.Add("content", "problem.import-large", map[string]any{"Most": mostImportKB})
	}
}

// readImport reads the text into a study and the preview of it, or what is wrong
// with it; read is false then.
func (s *server) readImport(c *gin.Context, page *importPage, r *form.Reader, typed map[string]string) (study models.Study, read bool) {
	if strings.TrimSpace(typed["content"]) == "" {
		return study, false
	}
	file, err := reliability.DecodeCSV(strings.NewReader(typed["content"]))
	var problems table.Problems
	if errors.As(err, &problems) {
		for _, p := range problems {
			page.Faults = append(page.Faults, s.importFault(c, p))
		}
		page.More = len(problems) >= table.MaxProblems
		r.Add("content", "problem.import-lines", map[string]any{"Count": len(problems)})
		return study, false
	}
	if err != nil {
		r.Add("content", "problem.import-text", nil)
		return study, false
	}
	study = followup.ImportedStudy(file, s.now(), signedIn(c).Name)
	boundImport(r, study)
	if r.Problems().Any() {
		return study, false
	}
	page.Preview = s.importPreview(c, study, file)
	return study, true
}

func (s *server) importFault(c *gin.Context, n table.Note) importFault {
	return importFault{Line: s.text(c, "study.import-line", "Line", n.Line), What: upperFirst(n.What), Do: upperFirst(n.Do)}
}

// boundImport tells what a file has that the record can't hold.
func boundImport(r *form.Reader, study models.Study) {
	most := func(here bool, code string, args map[string]any) {
		if here {
			r.Add("content", code, args)
		}
	}
	most(study.Entered() > mostImportReadings, "problem.import-many", map[string]any{"Most": mostImportReadings, "Count": study.Entered()})
	most(len(study.Subjects) > mostImportNames, "problem.import-limbs", map[string]any{"Most": mostImportNames, "Count": len(study.Subjects)})
	most(len(study.Measurers) > mostStudyFitters, "problem.import-fitters", map[string]any{"Most": mostStudyFitters, "Count": len(study.Measurers)})
	most(study.Rounds > models.MostStudyRounds, "problem.import-rounds", map[string]any{"Most": models.MostStudyRounds, "Count": study.Rounds})
	most(study.Passes > models.MostStudyPasses, "problem.import-passes", map[string]any{"Most": models.MostStudyPasses, "Count": study.Passes})
	for _, list := range [][]string{study.Subjects, study.Measurers} {
		for _, name := range list {
			if len([]rune(name)) > longestCode || strings.ContainsFunc(name, func(c rune) bool { return c < ' ' }) {
				r.Add("content", "problem.name-long", map[string]any{"Name": fmt.Sprintf("%.40s…", name), "Max": longestCode})
			}
		}
	}
	for _, v := range study.Volumes {
		if !(v.VolumeML >= leastStudyVolumeML && v.VolumeML <= mostStudyVolumeML) {
			r.Add("content", "problem.import-volume", map[string]any{
				"Name": v.Subject, "Method": v.Method, "Trial": v.Trial, "Value": csvNumber(v.VolumeML), "Least": leastStudyVolumeML, "Most": mostStudyVolumeML,
			})
		}
		if v.Method == "" {
			r.Add("content", "problem.import-method", map[string]any{"Name": v.Subject})
			break
		}
	}
}

// importPreview says what was read.
func (s *server) importPreview(c *gin.Context, study models.Study, file reliability.File) *importPreview {
	y := s.sayer(c)
	p := &importPreview{What: y.text("study.preview."+string(study.Kind), "Count", study.Entered(), "What", y.studyWhat(study))}
	counts := map[string]int{}
	for _, v := range study.Volumes {
		counts[v.Subject]++
	}
	for _, sheet := range study.Sheets {
		counts[sheet.Subject] += len(sheet.Readings)
	}
	for _, subject := range study.Subjects {
		p.Counts = append(p.Counts, y.text("study.preview-limb", "Limb", subject, "Count", counts[subject]))
	}
	for _, n := range file.Notes {
		p.Notes = append(p.Notes, s.importFault(c, n))
	}
	if file.Study.On != "" {
		p.Counts = append(p.Counts, y.text("study.preview-day", "On", y.date(file.Study.On)))
	}
	return p
}
