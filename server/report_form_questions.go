package server

import (
	"slices"
	"strconv"
	"strings"

	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/drawing"
	"fairlead/server/form"
	"github.com/gin-gonic/gin"
)

// reportSafetyPage asks everyone first what should not wait.
type reportSafetyPage struct {
	reportingPage
	Limb    string // leg, arm, or leg or arm
	OfBody  []box
	OfLimb  []box
	Neither []box // I'm not sure; none of these
}

// reportNowPage says what to do now.
type reportNowPage struct {
	reportingPage
	Emergency   bool
	Broken      bool // a part may give way: not to be stood on
	Off         bool // it can't be put on, and nothing else was ticked: it is off
	Limb        string
	Numbers     []phoneNumber
	Told        []string
	ToldFields  string // the boxes that Told stands for, with spaces between
	CannotPhone bool
	Reads       string
	From        string // "?from=check", or ""
}

// reportChoicePage asks for one or several of a list.
type reportChoicePage struct {
	reportingPage
	Name  string // of the field, where one is chosen
	Hint  string
	Boxes []box // of which several can be ticked
	Ways  []Option
}

// reportScalePage asks for one or several points on scales.
type reportScalePage struct {
	reportingPage
	Hint   string
	Scales []pointScale
}

// pointScale is a row of points.
type pointScale struct {
	Name, Label, Low, High string
	Points                 []Option
	None                   bool // sent without a point
}

// reportWherePage asks for places, by a drawing that is also a list.
type reportWherePage struct {
	reportingPage
	Bodies []bodyPart
}

// bodyPart is a leg or an arm: its drawing and its list.
type bodyPart struct {
	drawing.Body
	Ticked   map[quantity.Area]bool
	Segments []segmentBoxes
}

type segmentBoxes struct {
	Segment string
	Boxes   []box
}

// reportTextPage asks for the client's own words.
type reportTextPage struct {
	reportingPage
	Value string
}

// box is one to tick.
type box struct {
	Name, Label string
	Ticked      bool
}

func (s *server) boxes(c *gin.Context, r reporting, group, words string, codes []string) []box {
	out := make([]box, len(codes))
	for i, code := range codes {
		name := group + "." + code
		out[i] = box{Name: name, Label: s.text(c, words+code), Ticked: r.draft.Fields[name] == "yes"}
	}
	return out
}

// showReportQuestion renders the page of one question.
func (s *server) showReportQuestion(c *gin.Context, status int, step reportStep, r reporting, said spoken, problems form.Problems) error {
	p := s.typingPage(c, step.name, r, said, problems)
	choice := reportChoicePage{reportingPage: p, Name: step.name}
	switch step.name {
	case "safety":
		s.render(c, status, "report-safety", reportSafetyPage{
			reportingPage: p, Limb: s.limbWord(c, r),
			OfBody:  s.boxes(c, r, "safety", "report.safety.", models.SafetySignsOfBody),
			OfLimb:  s.boxes(c, r, "safety", "report.safety.", models.SafetySignsOfLimb),
			Neither: s.boxes(c, r, "safety", "report.safety.", []string{models.NotSure, "none"}),
		})
	case "now":
		s.render(c, status, "report-now", s.nowPage(c, p, r, said))
	case "where":
		s.render(c, status, "report-where", reportWherePage{reportingPage: p, Bodies: s.bodyParts(c, r, said)})
	case "bother":
		s.render(c, status, "report-scale", reportScalePage{
			reportingPage: p, Scales: []pointScale{s.pointScale(c, r, "bother", p.Title, 0, 10)},
		})
	case "comfort":
		s.render(c, status, "report-scale", reportScalePage{
			reportingPage: p, Hint: s.text(c, "report.comfort-hint"), Scales: []pointScale{
				s.pointScale(c, r, "comfort-average", s.text(c, "report.scale.comfort-average"), 0, 10),
				s.pointScale(c, r, "comfort-worst", s.text(c, "report.scale.comfort-worst"), 0, 10),
				s.pointScale(c, r, "pain-worst", s.text(c, "report.scale.pain-worst"), 0, 10),
				s.pointScale(c, r, "looseness", s.text(c, "report.scale.looseness"), -5, 5),
			},
		})
	case "text":
		s.render(c, status, "report-text", reportTextPage{reportingPage: p, Value: r.draft.Fields["text"]})
	case "what":
		choice.Boxes, choice.Hint = s.boxes(c, r, "what", "report.what.", models.ReportWhats), s.text(c, "report.several")
		s.render(c, status, "report-choice", choice)
	case "skin":
		choice.Boxes, choice.Hint = s.boxes(c, r, "skin", "report.skin.", models.SkinSigns), s.text(c, "report.several")
		s.render(c, status, "report-choice", choice)
	case "limb":
		choice.Ways = s.limbWays(c, r)
		s.render(c, status, "report-choice", choice)
	case "since":
		choice.Ways = s.ways(c, r, "since", "report.since.", models.ReportSinces)
		s.render(c, status, "report-choice", choice)
	default: // wearing
		choice.Ways = append(s.ways(c, r, "wearing", "report.wearing.", models.Wearings), Option{
			Label: s.text(c, "report.not-sure"), Chosen: r.draft.Fields["wearing"] == "" && step.saved(r),
		})
		s.render(c, status, "report-choice", choice)
	}
	return nil
}

// ways are the choices of a field of which one is chosen.
func (s *server) ways(c *gin.Context, r reporting, field, words string, codes []string) []Option {
	out := make([]Option, len(codes))
	for i, code := range codes {
		out[i] = Option{Value: code, Label: s.text(c, words+code), Chosen: r.draft.Fields[field] == code}
	}
	return out
}

// limbWays are the limbs of a client who has several: side and leg or arm, and
// no more.
func (s *server) limbWays(c *gin.Context, r reporting) []Option {
	var out []Option
	for i, l := range r.limbs {
		value := strconv.Itoa(i)
		out = append(out, Option{Value: value, Label: s.limbLabel(c, l), Chosen: r.draft.Fields["limb"] == value})
	}
	return append(out, Option{
		Value: models.NotSure, Label: s.text(c, "report.not-sure"), Chosen: r.draft.Fields["limb"] == models.NotSure,
	})
}

func (s *server) limbLabel(c *gin.Context, l models.Limb) string {
	kind := "-leg"
	if l.Level.Arm() {
		kind = "-arm"
	}
	return s.text(c, "report.limb."+string(l.Side)+kind)
}

func (s *server) pointScale(c *gin.Context, r reporting, field, label string, least, most int) pointScale {
	chosen, saved := r.draft.Fields[field]
	scale := pointScale{
		Name: field, Label: label, None: saved && chosen == "",
		Low: s.text(c, "report.low."+field), High: s.text(c, "report.high."+field),
	}
	for n := least; n <= most; n++ {
		value := strconv.Itoa(n)
		scale.Points = append(scale.Points, Option{Value: value, Label: value, Chosen: chosen == value})
	}
	return scale
}

// bodyParts are the drawings and lists of the limbs that it can be about, legs
// and arms apart.
//
// Here, in limbWord and in limbWays is decided what whoever holds the link may
// learn of the client: whether it is a leg or an arm; how many limbs and on which
// side, where there are several; roughly the level, by the segments that can be
// pointed at; and the three numbers to call. Nothing else of the record reaches the
// form: no name, no date, no measurement, nothing that was reported before.
func (s *server) bodyParts(c *gin.Context, r reporting, said spoken) []bodyPart {
	var side quantity.Side
	limbs := r.limbs
	if said.limb != nil {
		limbs, side = []models.Limb{*said.limb}, said.limb.Side
	}
	var parts []bodyPart
	for _, arm := range []bool{false, true} {
		var longest []quantity.Segment
		for _, l := range limbs {
			if segments := quantity.Segments(l.Level); l.Level.Arm() == arm && len(segments) > len(longest) {
				longest = segments
			}
		}
		if len(longest) == 0 {
			continue
		}
		part := bodyPart{Body: drawing.DrawBody(longest, side), Ticked: map[quantity.Area]bool{}}
		for _, segment := range longest {
			list := segmentBoxes{Segment: s.text(c, "report.segment."+string(segment))}
			for _, d := range quantity.Directions {
				area := quantity.AreaOf(segment, d)
				b := box{Name: "area." + string(area), Label: s.text(c, "report.direction."+string(d))}
				b.Ticked = r.draft.Fields[b.Name] == "yes"
				part.Ticked[area] = b.Ticked
				list.Boxes = append(list.Boxes, b)
			}
			part.Segments = append(part.Segments, list)
		}
		parts = append(parts, part)
	}
	return parts
}

// nowPage says what to do now, by what was ticked.
func (s *server) nowPage(c *gin.Context, p reportingPage, r reporting, said spoken) reportNowPage {
	page := reportNowPage{
		reportingPage: p, Emergency: callsEmergency(said.Safety), Limb: s.limbWord(c, r), CannotPhone: said.CannotPhone,
		Reads: s.nextReading(c),
	}
	page.Numbers = s.inOrder(c, r.client, said.Safety)
	page.Title = s.text(c, "report.title.now")
	if page.Emergency {
		page.Title = s.text(c, "report.title.now-emergency")
	}
	if c.Query("from") == "check" {
		page.From = "?from=check"
	}
	page.Off = slices.Equal(said.Safety, []string{"cannot-put-on"})
	for _, sign := range said.Safety {
		page.Broken = page.Broken || sign == "broken" || sign == "gives-way"
	}
	page.Told, page.ToldFields = s.urgentWords(c, said), strings.Join(urgentFields(said), " ")
	return page
}
