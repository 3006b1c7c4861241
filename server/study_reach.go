package server

import (
	"net/http"
	"slices"
	"strconv"

	"fairlead/models"
	"github.com/gin-gonic/gin"
)

// errFrozen refuses to change what a study in use rests on.
var errFrozen = &oops{status: http.StatusConflict, text: "error.study-frozen"}

// study finds the study of a path.
func (s *server) study(c *gin.Context) (models.Study, error) {
	return s.store.StudyByID(c.Request.Context(), c.Param("study"))
}

// sheet finds the study, the sheet and the pass of a path.
func (s *server) sheet(c *gin.Context) (models.Study, models.StudySheet, int, error) {
	study, err := s.study(c)
	if err != nil {
		return study, models.StudySheet{}, 0, err
	}
	i := slices.IndexFunc(study.Sheets, func(sheet models.StudySheet) bool { return sheet.ID == c.Param("sheet") })
	pass, err := strconv.Atoi(c.Param("pass"))
	if i < 0 || err != nil || pass < 1 || pass > study.Passes {
		return study, models.StudySheet{}, 0, errNotFound
	}
	return study, study.Sheets[i], pass, nil
}

// sheetPath is the address of one pass of a sheet.
func sheetPath(sheet models.StudySheet, pass int) string {
	return studyPath(sheet.StudyID) + "/sheets/" + sheet.ID + "/" + strconv.Itoa(pass)
}
