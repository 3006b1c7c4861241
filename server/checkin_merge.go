package server

import (
	"errors"
	"net/http"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"fairlead/models"
	"fairlead/server/form"
	"github.com/gin-gonic/gin"
)

// checkinField is what the fields of a check-in are called; anything else that
// is sent is not kept.
var checkinField = regexp.MustCompile(`^[a-z0-9_.-]{1,120}$`)

// mostFields bounds the fields of one draft, far above what a form can have.
const mostFields = 5000

// posted splits a sent form into the draft's version, the button that sent it
// and what was typed, word for word.
func posted(c *gin.Context) (version int, button string, typed map[string]string, err error) {
	all, err := fields(c)
	if err != nil {
		return 0, "", nil, err
	}
	typed = map[string]string{}
	for field, text := range all {
		if checkinField.MatchString(field) && len(typed) < mostFields && !kept(field) {
			typed[field] = text
		}
	}
	version, err = strconv.Atoi(all["version"])
	if err != nil {
		version = 0 // no version: as if it had been read before anybody typed
	}
	return version, all["go"], typed, nil
}

// kept tells whether a field is not for typing: what the form is sent with, and
// what ties a draft to its unit, plan and cover.
func kept(field string) bool {
	_, name := splitLimb(field)
	switch name {
	case "version", "go", "plan", "cover", unitField, commaField:
		return true
	}
	return false
}

// merge puts what was typed into the draft. When somebody else changed the same
// draft meanwhile it names the fields in which the two differ, and keeps
// nothing; when they don't differ, the same form came twice, and all is kept
// already. The draft is returned as it stands.
func (s *server) merge(c *gin.Context, d models.Draft, version int, typed map[string]string) (models.Draft, []string, error) {
	now, err := s.store.MergeDraftFields(c.Request.Context(), d.ID, version, typed)
	if !errors.Is(err, models.ErrStale) {
		return now, nil, err
	}
	var differ []string
	for field, text := range typed {
		if sameText(now.Fields[field], text) {
			continue
		}
		differ = append(differ, field)
	}
	slices.Sort(differ)
	return now, differ, nil
}

// sameText compares two typed texts; browsers send line ends as two characters.
func sameText(a, b string) bool {
	return strings.ReplaceAll(a, "\r\n", "\n") == strings.ReplaceAll(b, "\r\n", "\n")
}

// saveFields keeps a draft as it is being typed, for the script of the page.
func (s *server) saveFields(c *gin.Context) error {
	o, err := s.open(c)
	if errors.Is(err, errSaved) {
		c.JSON(http.StatusConflict, gin.H{"version": o.draft.Version})
		return nil
	}
	if err != nil {
		return err
	}
	version, _, typed, err := posted(c)
	if err != nil {
		return err
	}
	d, differ, err := s.merge(c, o.draft, version, typed)
	if err != nil && !errors.Is(err, models.ErrConflict) {
		return err
	}
	if err != nil || len(differ) > 0 {
		c.JSON(http.StatusConflict, gin.H{"version": d.Version})
		return nil
	}
	c.JSON(http.StatusOK, gin.H{"version": d.Version, "saved": form.FormatClock(d.UpdatedAt, s.zone(c))})
	return nil
}

// versionsPage shows two people's versions of the same fields, to choose from.
type versionsPage struct {
	Page
	Heading Heading
	Action  string
	Version int
	Button  string
	Choices []versionChoice
}

// versionChoice is one field that two people typed differently.
type versionChoice struct {
	Field, Label string
	Mine, Theirs string
}

// showVersions answers a form that was typed on top of somebody else's changes.
// What was typed stands on the page; choosing sends it again.
func (s *server) showVersions(c *gin.Context, o opened, button string, typed map[string]string, differ []string) error {
	h := s.heading(c, o.layout.Client, o.layout.limbs()...)
	page := versionsPage{
		Page:    s.page(c, s.clientTitle(c, s.text(c, "checkin.versions"), h), "clients"),
		Heading: h, Action: c.Request.URL.Path, Version: o.draft.Version, Button: button,
	}
	for _, field := range differ {
		page.Choices = append(page.Choices, versionChoice{
			Field: field, Label: s.fieldLabel(c, o.layout, field), Mine: typed[field], Theirs: o.draft.Fields[field],
		})
	}
	s.render(c, http.StatusConflict, "checkin-versions", page)
	return nil
}

// limbs lists the limbs of the check-in.
func (l checkinLayout) limbs() []models.Limb {
	limbs := make([]models.Limb, len(l.Limbs))
	for i, limb := range l.Limbs {
		limbs[i] = limb.Limb
	}
	return limbs
}
