package server

import (
	"fairlead/models"
	"fairlead/server/followup"
	"fairlead/server/form"
	"github.com/gin-gonic/gin"
)

// studyPage is one study: what is still to measure, what it comes to, and whether
// it is in use.
type studyPage struct {
	Page
	Study    string
	Path     string
	Meta     []string
	Note     string
	State    string
	Uses     []string
	Limbs    []limbSheets // pages to measure; nil when nothing can be entered any more
	Entered  string
	Whole    bool   // every page has readings
	Volumes  string // address of the page of volumes, or empty
	Sees     string
	Parts    []studyPartRow
	Apart    string // why there is no result
	Errors   []errorRow
	ICC      []iccRow
	ICCOver  string
	Pairs    []agreementView
	PairsWhy string
	Missing  []string
	NotYet   string
	Version  string
	Typed    map[string]string
	MayTake  bool // what it comes to can be taken into use by this person
	MayEnd   bool
	MayUse   bool // this person takes studies into use at all
}

// limbSheets are the pages of one limb.
type limbSheets struct {
	Limb   string
	Sheets []sheetLink
}

// sheetLink leads to a page of a study.
type sheetLink struct{ Link, Who, Entered string }

func (s *server) showStudy(c *gin.Context) error {
	study, err := s.study(c)
	if err != nil {
		return err
	}
	page, err := s.studyPage(c, study, map[string]string{})
	if err != nil {
		return err
	}
	return s.show(c, "study", page)
}

// refuseStudy shows a study again with what is wrong with a form on its page.
func (s *server) refuseStudy(c *gin.Context, study models.Study, typed map[string]string, r *form.Reader) error {
	page, err := s.studyPage(c, study, typed)
	if err != nil {
		return err
	}
	page.Page = s.withProblems(c, page.Page, r.Problems(), s.labels(c, useLabels))
	return s.refuse(c, "study", page)
}

func (s *server) studyPage(c *gin.Context, study models.Study, typed map[string]string) (studyPage, error) {
	all, err := s.store.Studies(c.Request.Context())
	if err != nil {
		return studyPage{}, err
	}
	y, who := s.sayer(c), signedIn(c)
	page := studyPage{
		Page: s.page(c, study.Name, "setup"), Study: study.Name, Path: studyPath(study.ID), Note: study.Note, State: y.studyState(study),
		Meta:    []string{y.date(study.HeldOn), y.studyWhat(study), y.text("study.made-by", "Name", study.MadeBy)},
		Version: version(study.Version), Typed: typed, MayUse: allowed(useStudy, who),
	}
	for _, use := range study.Uses {
		page.Uses = append(page.Uses, y.studyUse(use))
	}
	open := !study.Frozen() && allowed(makeStudy, who)
	if open && study.Kind == models.FittersStudy {
		page.Limbs = y.limbSheets(study)
		page.Entered, page.Whole = y.sheetsEntered(study)
	}
	if open && study.Kind == models.ScanStudy {
		page.Volumes = studyPath(study.ID) + "/volumes"
	}
	result := followup.ResultOf(study, all)
	if err := y.studyResult(&page, study, result); err != nil {
		return page, err
	}
	page.MayTake = page.MayUse && study.InUse() == nil && result.NotYet == ""
	page.MayEnd = page.MayUse && study.InUse() != nil
	return page, nil
}

// limbSheets lists the pages of a study by limb.
func (y sayer) limbSheets(study models.Study) []limbSheets {
	var limbs []limbSheets
	for _, sheet := range study.Sheets {
		if len(limbs) == 0 || limbs[len(limbs)-1].Limb != sheet.Subject {
			limbs = append(limbs, limbSheets{Limb: sheet.Subject})
		}
		last := &limbs[len(limbs)-1]
		last.Sheets = append(last.Sheets, sheetLink{
			Link: sheetPath(sheet, 1), Who: y.text("study.sheet-of", "Name", y.measurer(sheet.Measurer), "Round", sheet.Round),
			Entered: y.text("study.entered", "Read", len(sheet.Readings), "Of", len(sheetLevels(study, sheet))*study.Passes),
		})
	}
	return limbs
}

// sheetsEntered says how far the measuring has come.
func (y sayer) sheetsEntered(study models.Study) (said string, whole bool) {
	read := 0
	for _, sheet := range study.Sheets {
		if len(sheet.Readings) > 0 {
			read++
		}
	}
	return y.text("study.pages-read", "Read", read, "Of", len(study.Sheets)), read == len(study.Sheets)
}

// studyUse says when a study was in use, and why.
func (y sayer) studyUse(u models.StudyUse) string {
	said := y.text("study.use", "On", y.day(u.TakenAt), "By", u.TakenBy, "Note", u.Note)
	if u.WithdrawnAt != nil {
		said += " " + y.text("study.use-ended", "On", y.day(*u.WithdrawnAt), "By", u.WithdrawnBy, "Reason", u.WithdrawnReason)
	}
	return said
}
