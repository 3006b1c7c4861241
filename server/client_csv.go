package server

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"net/http"
	"strconv"
	"strings"
	"time"

	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/followup"
	"github.com/gin-gonic/gin"
)

// csvTable is a file of comma separated values (RFC 4180): the first row names
// the columns with their units. Cells are in SI units and with points, whatever
// the reader prefers, so that every program reads the same file.
type csvTable [][]string

// csvText keeps a spreadsheet from taking a text for a formula: one that begins
// like a formula gets an apostrophe before it.
func csvText(text string) string {
	if text != "" && strings.ContainsRune("=+-@\t\r", rune(text[0])) {
		return "'" + text
	}
	return text
}

func csvNumber(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

func csvNumberOr(v *float64) string {
	if v == nil {
		return ""
	}
	return csvNumber(*v)
}

// csvTime is a moment at its place: 2026-11-25T10:42:00+01:00.
func csvTime(at time.Time) string { return at.Format(time.RFC3339) }

// sendCSV sends a table as a file that is named after the client's code, never
// after the client.
func (s *server) sendCSV(c *gin.Context, what string, client models.Client, t csvTable) error {
	content, err := t.bytes()
	if err != nil {
		return err
	}
	name := strings.Map(func(r rune) rune {
		if r >= '0' && r <= '9' || r >= 'A' && r <= 'Z' || r >= 'a' && r <= 'z' || r == '-' {
			return r
		}
		return '_'
	}, client.Code)
	c.Header("Content-Disposition", `attachment; filename="`+name+"-"+what+`.csv"`)
	c.Data(http.StatusOK, "text/csv; charset=utf-8", content)
	return nil
}

// bytes is the table as a file.
func (t csvTable) bytes() ([]byte, error) {
	var out bytes.Buffer
	w := csv.NewWriter(&out)
	w.UseCRLF = true
	err := w.WriteAll(t)
	return out.Bytes(), err
}

// csvView is the limb of a download.
func (s *server) csvView(c *gin.Context) (models.Client, followup.LimbView, map[string]string, error) {
	client, err := s.client(c)
	if err != nil {
		return client, followup.LimbView{}, nil, err
	}
	record, err := followup.Load(c.Request.Context(), s.store, client.ID)
	if err != nil {
		return client, followup.LimbView{}, nil, err
	}
	limb, ok := record.Limb(c.Param("limb"))
	if !ok {
		return client, followup.LimbView{}, nil, errNotFound
	}
	view, err := limb.View(followup.Reference(c.Query("since")))
	if err != nil {
		return client, view, nil, err
	}
	people, err := s.store.People(c.Request.Context())
	names := make(map[string]string, len(people))
	for _, p := range people {
		names[p.ID] = p.ShownName()
	}
	return client, view, names, err
}

func (s *server) downloadVolume(c *gin.Context) error {
	client, view, names, err := s.csvView(c)
	if err != nil {
		return err
	}
	return s.sendCSV(c, "volume", client, volumeCSV(view, names))
}

func (s *server) downloadGirths(c *gin.Context) error {
	client, view, names, err := s.csvView(c)
	if err != nil {
		return err
	}
	return s.sendCSV(c, "girths", client, girthsCSV(view, names))
}

func (s *server) downloadClearance(c *gin.Context) error {
	client, view, _, err := s.csvView(c)
	if err != nil {
		return err
	}
	return s.sendCSV(c, "clearance", client, clearanceCSV(view))
}

// girthsCSV is every reading, in the columns that the command "fairlead girths"
// reads. That tells visits apart by their date: what a second check-in of one
// day read counts as further passes. Passes count within their round.
func girthsCSV(view followup.LimbView, names map[string]string) csvTable {
	t := csvTable{{"date", "limb", "level_mm", "pass", "girth_mm", "fitter", "minutes_since_doffing", "round"}}
	type place struct {
		on    quantity.Date
		part  quantity.BodyPart
		level quantity.Length
		round int
	}
	taken := map[place]int{} // passes of earlier check-ins of the day
	for _, at := range view.Visits {
		seen, most := at.LimbVisit.Seen, map[place]int{}
		add := func(part quantity.BodyPart, round int, minutesOff *float64, readings []models.Reading) {
			for _, r := range readings {
				p, pass := place{at.Assessed.On, part, r.Level, round}, r.Pass-(round-1)*quantity.PassesPerRound
				most[p] = max(most[p], pass)
				t = append(t, []string{
					string(p.on), string(part), csvNumber(r.Level.MM()), strconv.Itoa(taken[p] + pass), csvNumber(r.Girth.MM()),
					csvText(names[at.Checkin.MeasuredBy]), csvNumberOr(minutesOff), strconv.Itoa(round),
				})
			}
		}
		first, second := view.Record.Rounds(at.LimbVisit, quantity.Residual)
		sound, _ := view.Record.Rounds(at.LimbVisit, quantity.Sound)
		add(quantity.Residual, 1, seen.MinutesOff, first)
		add(quantity.Residual, 2, cmp.Or(seen.SecondMinutesOff, seen.MinutesOff), second)
		add(quantity.Sound, 1, nil, sound)
		for p, n := range most {
			taken[p] += n
		}
	}
	return t
}

func clearanceCSV(view followup.LimbView) csvTable {
	t := csvTable{{
		"measured_at", "level_mm", "direction", "posture", "neighbour", "shoe", "readings", "gap_mm", "gap_u_mm", "touch",
		"warn_limit_mm", "act_limit_mm", "limit_by", "limit_on", "as_built_mm", "state",
	}}
	for _, at := range view.Visits {
		for _, g := range at.Gaps {
			st, limits := g.Station, g.Station.Limits()
			gap, u, touch := "", "", ""
			if g.Readings > 0 {
				gap, u = csvNumber(g.GapMM), csvNumber(g.UMM)
			}
			switch {
			case g.Touching:
				touch = string(quantity.Contact)
			case g.Polished:
				touch = string(quantity.PolishMark)
			}
			t = append(t, []string{
				csvTime(at.Local), csvNumber(st.LevelMM), string(st.Direction), string(st.Posture), string(st.Neighbour), csvText(g.Shoe),
				strconv.Itoa(g.Readings), gap, u, touch, csvNumber(limits.WarnMM), csvNumber(limits.ActMM), csvText(st.LimitBy), string(st.LimitOn),
				csvNumberOr(st.AsBuiltMM), string(followup.Standing(g)),
			})
		}
	}
	return t
}
