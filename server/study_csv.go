package server

import (
	"net/http"
	"strconv"

	"fairlead/models"
	"fairlead/server/followup"
	"github.com/gin-gonic/gin"
)

// downloadStudy sends the raw readings of a study in the form in which they can be
// imported.
func (s *server) downloadStudy(c *gin.Context) error {
	study, err := s.study(c)
	if err != nil {
		return err
	}
	if study.Kind == models.ScanStudy {
		table := csvTable{{"subject", "method", "trial", "value"}}
		for _, v := range study.Volumes {
			table = append(table, []string{csvText(v.Subject), csvText(v.Method), strconv.Itoa(v.Trial), csvNumber(v.VolumeML)})
		}
		return s.sendStudyCSV(c, "readings", table)
	}
	table := csvTable{{"subject", "fitter", "day", "level_mm", "pass", "girth_mm"}}
	for _, sheet := range study.Sheets {
		day := sheet.Marks
		if day == "" {
			day = strconv.Itoa(sheet.Round)
		}
		for _, r := range sheet.Readings {
			table = append(table, []string{
				csvText(sheet.Subject), csvText(sheet.Measurer), csvText(day), csvNumber(r.Level.MM()), strconv.Itoa(r.Pass), csvNumber(r.Girth.MM()),
			})
		}
	}
	return s.sendStudyCSV(c, "readings", table)
}

// downloadAgreement sends the differences behind the agreement plots.
func (s *server) downloadAgreement(c *gin.Context) error {
	study, err := s.study(c)
	if err != nil {
		return err
	}
	table := csvTable{{"first", "second", "subject", "mean_ml", "difference", "unit", "bias", "lower_limit", "upper_limit"}}
	if report := followup.ResultOf(study, nil).Report; report != nil && report.Between != nil {
		for _, pair := range report.Between.Pairs {
			a := shownAgreement(pair)
			unit := "mL"
			if a.Percent {
				unit = "percent"
			}
			for _, p := range a.Points {
				table = append(table, []string{
					csvText(pair.A), csvText(pair.B), csvText(p.Subject), csvNumber(p.Mean), csvNumber(p.Difference), unit,
					csvNumber(a.Bias.Value), csvNumber(a.Lower.Value), csvNumber(a.Upper.Value),
				})
			}
		}
	}
	return s.sendStudyCSV(c, "agreement", table)
}

func (s *server) sendStudyCSV(c *gin.Context, what string, t csvTable) error {
	content, err := t.bytes()
	if err != nil {
		return err
	}
	c.Header("Content-Disposition", `attachment; filename="study-`+what+`.csv"`)
	c.Data(http.StatusOK, "text/csv; charset=utf-8", content)
	return nil
}
