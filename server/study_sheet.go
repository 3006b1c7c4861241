package server

import (
	"errors"
	"net/http"
	"slices"
	"strconv"

	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/form"
	"github.com/gin-gonic/gin"
)

// sheetPage is one pass over one limb by one fitter. It shows nothing of what was
// read before, so that nothing leads the hand.
type sheetPage struct {
	Page
	Study   string
	Back    string
	Action  string
	Meta    []string
	Version int
	Part    sheetPart
	Unit    string
	Comma   bool
	Saved   string
	Next    string // words of the button that goes on
}

// sheetPart is the table of one pass, for the partial of girths.
type sheetPart struct {
	Pass         int
	Blind, Third bool
	Title        string
	PassName     string
	Rows         []girthRow
}

// sheetField is the name of the field of one girth.
func sheetField(level quantity.Length, pass int) string {
	return sheetName(level) + "." + strconv.Itoa(pass)
}

func sheetName(level quantity.Length) string { return "g." + strconv.FormatInt(int64(level), 10) }

func (s *server) showSheet(c *gin.Context) error {
	study, sheet, pass, err := s.sheet(c)
	if err != nil {
		return err
	}
	if study.Frozen() {
		return errFrozen
	}
	typed := map[string]string{}
	for _, r := range sheet.Readings {
		typed[sheetField(r.Level, r.Pass)] = typedLength(*signedIn(c), &r.Girth)
	}
	return s.show(c, "study-sheet", s.sheetPage(c, study, sheet, pass, typed))
}

func (s *server) sheetPage(c *gin.Context, study models.Study, sheet models.StudySheet, pass int, typed map[string]string) sheetPage {
	y, who := s.sayer(c), signedIn(c)
	title := s.text(c, "study.sheet-title", "Limb", sheet.Subject, "Pass", s.passName(c, pass))
	page := sheetPage{
		Page: s.page(c, title, "setup"), Study: study.Name, Back: studyPath(study.ID), Action: sheetPath(sheet, pass),
		Meta: []string{
			s.text(c, "study.sheet-fitter", "Name", y.measurer(sheet.Measurer)), s.text(c, "study.sheet-round", "Round", sheet.Round, "Of", study.Rounds),
		},
		Version: sheet.Version, Unit: string(who.LengthUnit), Comma: who.DecimalComma, Next: s.nextWords(c, study, sheet, pass),
		Part: sheetPart{Pass: pass, Title: title, PassName: s.passName(c, pass)},
	}
	if sheet.SavedAt != nil {
		page.Saved = form.FormatClock(*sheet.SavedAt, s.zone(c))
	}
	for _, level := range sheetLevels(study, sheet) {
		page.Part.Rows = append(page.Part.Rows, girthRow{
			Name: sheetName(level), Label: y.length(level.MM()), Value: typed[sheetField(level, pass)],
		})
	}
	return page
}

// sheetLevels are the levels of the study and those that a file has of the sheet.
func sheetLevels(study models.Study, sheet models.StudySheet) []quantity.Length {
	levels := slices.Clone(study.Levels)
	for _, r := range sheet.Readings {
		levels = append(levels, r.Level)
	}
	slices.Sort(levels)
	return slices.Compact(levels)
}

// nextSheet is the page that follows: the next pass, or the next limb of the same
// fitter and round that has not been read.
func nextSheet(study models.Study, sheet models.StudySheet, pass int) (path string, limb string) {
	if pass < study.Passes {
		return sheetPath(sheet, pass+1), ""
	}
	at := slices.IndexFunc(study.Sheets, func(s models.StudySheet) bool { return s.ID == sheet.ID })
	for _, next := range slices.Concat(study.Sheets[at+1:], study.Sheets[:at]) {
		if next.Measurer == sheet.Measurer && next.Round == sheet.Round && len(next.Readings) == 0 {
			return sheetPath(next, 1), next.Subject
		}
	}
	return studyPath(study.ID), ""
}

func (s *server) nextWords(c *gin.Context, study models.Study, sheet models.StudySheet, pass int) string {
	_, limb := nextSheet(study, sheet, pass)
	switch {
	case pass < study.Passes:
		return s.text(c, "study.next-pass")
	case limb != "":
		return s.text(c, "study.next-limb", "Limb", limb)
	}
	return s.text(c, "study.next-none")
}

// readSheet reads one pass into a sheet, whose other passes stay.
func readSheet(r *form.Reader, study models.Study, sheet models.StudySheet, pass int) models.StudySheet {
	levels := sheetLevels(study, sheet)
	sheet.Readings = slices.DeleteFunc(slices.Clone(sheet.Readings), func(r models.StudyReading) bool { return r.Pass == pass })
	for _, level := range levels {
		if girth := r.Girth(sheetField(level, pass)); girth != nil {
			sheet.Readings = append(sheet.Readings, models.StudyReading{Level: level, Pass: pass, Girth: *girth})
		}
	}
	return sheet
}

// sameReadings tells whether two sheets have the same girths.
func sameReadings(a, b models.StudySheet) bool {
	has := func(in models.StudySheet, r models.StudyReading) bool {
		return slices.ContainsFunc(in.Readings, func(o models.StudyReading) bool {
			return o.Level == r.Level && o.Pass == r.Pass && o.Girth == r.Girth
		})
	}
	return len(a.Readings) == len(b.Readings) && !slices.ContainsFunc(a.Readings, func(r models.StudyReading) bool { return !has(b, r) })
}

// storeSheet saves what was read of a pass over the version that the form began
// from; what is saved already is no conflict.
func (s *server) storeSheet(c *gin.Context, saved, read models.StudySheet, version int) (models.StudySheet, error) {
	if sameReadings(saved, read) {
		return saved, nil
	}
	read.Version, read.EnteredBy = version, signedIn(c).Name
	err := s.store.SaveStudySheet(c.Request.Context(), &read)
	if errors.Is(err, models.ErrConflict) {
		return saved, errFrozen
	}
	return read, err
}

// saveSheet saves a pass and goes on.
func (s *server) saveSheet(c *gin.Context) error {
	study, sheet, pass, err := s.sheet(c)
	if err != nil {
		return err
	}
	typed, err := fields(c)
	if err != nil {
		return err
	}
	if study.Frozen() {
		return errFrozen
	}
	r := s.reader(c, typed)
	read := readSheet(r, study, sheet, pass)
	version := readVersion(r)
	if !r.Problems().Any() {
		_, err := s.storeSheet(c, sheet, read, version)
		switch {
		case err == nil:
			next, _ := nextSheet(study, sheet, pass)
			if typed["go"] == "leave" {
				next = studyPath(study.ID)
			}
			return s.done(c, next, "")
		case !errors.Is(err, models.ErrStale):
			return err
		}
		r.Add("", "problem.sheet-stale", nil)
		page := s.sheetPage(c, study, sheet, pass, typed)
		page.Page = s.withProblems(c, page.Page, r.Problems(), s.sheetLabel(c, pass))
		return s.conflict(c, "study-sheet", page)
	}
	page := s.sheetPage(c, study, sheet, pass, typed)
	page.Page = s.withProblems(c, page.Page, r.Problems(), s.sheetLabel(c, pass))
	return s.refuse(c, "study-sheet", page)
}

// sheetLabel names the field of a girth by its level.
func (s *server) sheetLabel(c *gin.Context, pass int) func(string) string {
	y := s.sayer(c)
	return func(field string) string {
		var level int64
		if n, err := strconv.ParseInt(fieldLevel(field, pass), 10, 64); err == nil {
			level = n
		}
		return y.length(quantity.Length(level).MM())
	}
}

// fieldLevel is the level in the name of a field of a girth.
func fieldLevel(field string, pass int) string {
	tail := "." + strconv.Itoa(pass)
	if len(field) <= len("g.")+len(tail) {
		return ""
	}
	return field[len("g.") : len(field)-len(tail)]
}

// keepSheet saves a pass as it grows, for the script of the page: all that can be
// read of it.
func (s *server) keepSheet(c *gin.Context) error {
	study, sheet, pass, err := s.sheet(c)
	if err != nil {
		return err
	}
	typed, err := fields(c)
	if err != nil {
		return err
	}
	if study.Frozen() {
		c.JSON(http.StatusConflict, gin.H{"version": sheet.Version})
		return nil
	}
	r := s.reader(c, typed)
	read := readSheet(r, study, sheet, pass)
	kept, err := s.storeSheet(c, sheet, read, readVersion(r))
	switch {
	case errors.Is(err, models.ErrStale), errors.Is(err, errFrozen):
		c.JSON(http.StatusConflict, gin.H{"version": sheet.Version})
		return nil
	case err != nil:
		return err
	}
	saved := form.FormatClock(s.now(), s.zone(c))
	if n := len(r.Problems()); n > 0 {
		saved = s.text(c, "study.saved-but", "Time", saved, "Count", n)
	}
	c.JSON(http.StatusOK, gin.H{"version": kept.Version, "saved": saved})
	return nil
}

// measurer names who measured.
func (y sayer) measurer(name string) string {
	switch name {
	case "":
		return y.text("study.unnamed")
	case methods[0], methods[1]:
		return y.text("study.method." + name)
	}
	return name
}
