package server

import (
	"strings"

	"fairlead/models"
	"github.com/gin-gonic/gin"
)

// reportsSection is what the client sent, newest first.
type reportsSection struct {
	Lede        string
	First, More []reportLine
}

// reportLine is one report in a sentence.
type reportLine struct {
	On, Sentence string
	Number       string // the reference number that the client was given
	Now          bool   // a sign was ticked on the safety page
	Unseen       bool
	Link         string
}

// reportsInSight is how many reports stand open; those that nobody has read
// always do.
const reportsInSight = 4

func (s *server) reportsSection(c *gin.Context, client models.Client, limbs []models.Limb) (reportsSection, error) {
	reports, err := s.store.ReportsOf(c.Request.Context(), client.ID)
	if err != nil {
		return reportsSection{}, err
	}
	y, zone := s.sayer(c), s.zone(c)
	section := reportsSection{Lede: y.text("reported.none")}
	unseen := 0
	for i, r := range reports {
		line := reportLine{
			On: y.moment(r.SentAt, zone), Sentence: y.reportInShort(r.Said), Now: len(r.Said.Safety) > 0 || r.Said.CannotPhone,
			Number: r.Number, Unseen: r.SeenAt == nil, Link: reportPath(client.ID, r.ID),
		}
		if len(limbs) > 1 {
			line.Sentence = joinSentences(line.Sentence, s.aboutWhich(c, r, limbs))
		}
		if line.Unseen {
			unseen++
		}
		if i < reportsInSight || line.Unseen {
			section.First = append(section.First, line)
		} else {
			section.More = append(section.More, line)
		}
	}
	if len(reports) > 0 {
		section.Lede = y.text("reported.lede", "Count", len(reports), "Number", upperFirst(y.count(len(reports))))
	}
	if unseen > 0 {
		section.Lede = joinSentences(section.Lede, y.text("reported.unseen", "Count", unseen, "Number", upperFirst(y.count(unseen))))
	}
	return section, nil
}

// aboutWhich says which of several limbs a report is about.
func (s *server) aboutWhich(c *gin.Context, r models.Report, limbs []models.Limb) string {
	if r.LimbID == nil {
		return s.text(c, "finding.side-unsaid")
	}
	return upperFirst(s.limbName(c, aboutLimbs(r, limbs)[0])) + "."
}

// reportInShort says the safety page of a report, what it is about, the signs of
// the skin and the places; of one that has none of these, whether it has words or
// figures alone.
func (y sayer) reportInShort(said models.Said) string {
	var short []string
	if signs := strings.Join(said.Safety, ","); signs != "" {
		short = append(short, y.text("reported.short-safety", "Signs", y.codes("reported.safety.", signs)))
	}
	if said.CannotPhone {
		short = append(short, y.text("finding.cannot-phone"))
	}
	if what := y.codes("reported.what.", strings.Join(said.What, ",")); what != "" {
		short = append(short, upperFirst(what)+".")
	}
	if skin := y.words("skin-sign", strings.Join(said.Skin, ",")); skin != "" {
		short = append(short, y.text("reported.short-skin", "Signs", skin))
	}
	var places []string
	for _, area := range said.Areas {
		if place := y.area(area); place != "" {
			places = append(places, place)
		}
	}
	if len(places) > 0 {
		short = append(short, y.text("finding.places", "Places", strings.Join(places, "; ")))
	}
	switch {
	case len(short) > 0:
		return strings.Join(short, " ")
	case said.Text != "":
		return y.text("reported.short-text")
	}
	return y.text("reported.short-figures")
}
