package server

import (
	"slices"
	"strconv"
	"strings"

	"fairlead/analytics/quantity"
	"fairlead/models"
	"github.com/gin-gonic/gin"
)

// fieldLabel says which field is meant where it does not stand on the page
// itself: in the list of problems at the end, and between two versions.
func (s *server) fieldLabel(c *gin.Context, l checkinLayout, field string) string {
	no, name := splitLimb(field)
	if no == 0 {
		if fluid, ok := strings.CutPrefix(name, "fluid."); ok {
			return s.text(c, "fluid."+fluid)
		}
		return s.text(c, "checkin.field."+name)
	}
	limb, ok := l.limb(step{Limb: no})
	if !ok {
		return field
	}
	label := s.limbFieldLabel(c, l, limb, name)
	if len(l.Limbs) > 1 {
		return s.text(c, "checkin.of-limb", "Limb", s.limbName(c, limb.Limb), "Field", label)
	}
	return label
}

// draftLabel names the fields of a draft as fieldLabel does.
func (s *server) draftLabel(c *gin.Context, o opened) func(field string) string {
	return func(field string) string { return s.fieldLabel(c, o.layout, field) }
}

func (s *server) limbFieldLabel(c *gin.Context, asked checkinLayout, l limbLayout, name string) string {
	parts := strings.Split(name, ".")
	if len(parts) < 2 {
		return s.text(c, "checkin.field."+name)
	}
	switch parts[0] {
	case "sock":
		return s.text(c, "checkin.sock-row", "Occasion", s.text(c, "sock-occasion."+parts[1]))
	case "check":
		return s.text(c, "function-check."+parts[1])
	case "skin":
		return s.text(c, "checkin.field.skin_none")
	case "again":
		return s.text(c, "checkin.field.again")
	case "station":
		if i := slices.IndexFunc(l.stations(), func(st models.Station) bool { return st.ID == parts[1] }); i >= 0 {
			return s.stationLabel(c, asked, l.stations()[i])
		}
	case "attachment":
		if l.Cover != nil {
			if i := slices.IndexFunc(l.Cover.Attachments, func(a models.Attachment) bool { return a.ID == parts[1] }); i >= 0 {
				return l.Cover.Attachments[i].Name
			}
		}
	case string(quantity.Residual), string(quantity.Sound):
		if level, err := strconv.ParseInt(parts[1], 10, 64); err == nil && len(parts) == 3 {
			return s.text(c, "checkin.girth-of", "Part", s.text(c, "body-part."+parts[0]),
				"Level", s.levelLabel(c, asked, quantity.Length(level)), "Pass", parts[2])
		}
	case string(secondRound):
		if level, err := strconv.ParseInt(parts[1], 10, 64); err == nil && len(parts) == 3 {
			return s.text(c, "checkin.girth-of-second", "Part", s.text(c, "body-part."+string(quantity.Residual)),
				"Level", s.levelLabel(c, asked, quantity.Length(level)), "Pass", parts[2])
		}
	}
	return name
}

func (l limbLayout) stations() []models.Station {
	if l.Cover == nil {
		return nil
	}
	return l.Cover.Stations
}

// lowerFirst takes the capital letter off a title that stands inside a phrase.
func lowerFirst(title string) string {
	for i, r := range title {
		return strings.ToLower(string(r)) + title[i+len(string(r)):]
	}
	return title
}

// stationLabel is where a station lies and how the limb is held, such as
// "posterior, 12 cm level, seated".
func (s *server) stationLabel(c *gin.Context, l checkinLayout, st models.Station) string {
	return s.sayerOf(c, l).station(st.Direction, st.Level.MM(), st.Posture)
}

// levelLabel is a level with its unit, such as "6 cm".
func (s *server) levelLabel(c *gin.Context, l checkinLayout, level quantity.Length) string {
	return s.sayerOf(c, l).length(level.MM())
}

// sayerOf says lengths in the unit of a check-in's form.
func (s *server) sayerOf(c *gin.Context, l checkinLayout) sayer {
	y := s.sayer(c)
	y.unit, y.comma = l.Unit, l.Comma
	return y
}
