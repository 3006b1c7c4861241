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

// sent is one form of a draft as it came in.
type sent struct {
	version int               // of the draft that the page was made from
	button  string            // that sent it
	typed   map[string]string // word for word
	shown   map[string]string // what the page had before anybody typed; nil where it does not tell
}

// posted splits a sent form.
func posted(c *gin.Context) (sent, error) {
	all, err := fields(c)
	if err != nil {
		return sent{}, err
	}
	in := sent{button: all["go"], typed: map[string]string{}, shown: readShown(all[shownField])}
	for field, text := range all {
		if checkinField.MatchString(field) && !kept(field) {
			in.typed[field] = text
		}
	}
	in.version, err = strconv.Atoi(all["version"])
	if err != nil {
		in.version = 0 // no version: as if it had been read before anybody typed
	}
	return in, nil
}

// kept tells whether a field is not for typing: what the form is sent with, and
// what ties a draft to its unit, plan and cover.
func kept(field string) bool {
	_, name := splitLimb(field)
	switch name {
	case "version", shownField, "go", "plan", "cover", unitField, commaField:
		return true
	}
	return false
}

// merge puts what somebody changed on a page into the draft. A field that the
// page sends as it was shown leaves what somebody else has put there meanwhile; a
// field that only this page changed is kept. Those that both changed, and not
// alike, are returned, and stand in the draft as they did. So does the draft, as it
// now is.
func (s *server) merge(c *gin.Context, d models.Draft, in sent) (models.Draft, []string, error) {
	for {
		mine, differ := in.against(d)
		if len(mine) == 0 {
			return d, differ, nil
		}
		now, err := s.store.MergeDraftFields(c.Request.Context(), d.ID, d.Version, mine)
		if !errors.Is(err, models.ErrStale) {
			return now, differ, err
		}
		d = now
	}
}

// against parts what was typed into what only this page changed and what differs
// from a change that somebody else made. A page that does not tell what it showed
// has changed everything if it is of the draft's version, and may have changed
// anything if it is older.
func (in sent) against(d models.Draft) (mine map[string]string, differ []string) {
	mine = map[string]string{}
	for field, text := range in.typed {
		now := d.Fields[field]
		was, told := in.shown[field], in.shown != nil
		if !told && in.version == d.Version {
			was, told = now, true
		}
		switch {
		case sameText(text, now) || told && sameText(text, was):
		case told && sameText(was, now):
			mine[field] = text
		default:
			differ = append(differ, field)
		}
	}
	slices.Sort(differ)
	return mine, differ
}

// sameText compares two typed texts; browsers send line ends as two characters.
func sameText(a, b string) bool {
	return strings.ReplaceAll(a, "\r\n", "\n") == strings.ReplaceAll(b, "\r\n", "\n")
}

// saveFields keeps a draft as it is being typed, for the script of the page. It
// answers with what the page shows from then on and, where somebody else changed
// the same field, with what it would have to have shown to win.
func (s *server) saveFields(c *gin.Context) error {
	o, err := s.open(c)
	if errors.Is(err, errSaved) {
		c.JSON(http.StatusConflict, gin.H{"version": o.draft.Version})
		return nil
	}
	if err != nil {
		return err
	}
	in, err := posted(c)
	if err != nil {
		return err
	}
	d, differ, err := s.merge(c, o.draft, in)
	switch {
	case errors.Is(err, models.ErrConflict):
		c.JSON(http.StatusConflict, gin.H{"version": d.Version})
	case err != nil:
		return err
	case len(differ) > 0:
		c.JSON(http.StatusConflict, gin.H{
			"version": d.Version, shownField: in.nowShown(differ, in.shown), "mine": in.nowShown(differ, d.Fields),
		})
	default:
		c.JSON(http.StatusOK, gin.H{
			"version": d.Version, "saved": form.FormatClock(d.UpdatedAt, s.zone(c)), shownField: in.nowShown(nil, nil),
		})
	}
	return nil
}

// versionsPage shows two people's versions of the same fields, to choose from.
type versionsPage struct {
	Page
	Heading Heading
	Action  string
	Version int
	Shown   string
	Button  string
	Choices []versionChoice
}

// versionChoice is one field that two people typed differently. What is typed here
// is the newer one and chosen to begin with, but never an empty one.
type versionChoice struct {
	Field, Label string
	Mine, Theirs string
	TakeTheirs   bool
}

// showVersions answers a form of which fields differ from somebody else's
// changes. Choosing sends those fields again; all else is kept already.
func (s *server) showVersions(c *gin.Context, o opened, in sent, differ []string) error {
	h := s.heading(c, o.layout.Client, o.layout.limbs()...)
	page := versionsPage{
		Page:    s.page(c, s.clientTitle(c, s.text(c, "checkin.versions"), h), "clients"),
		Heading: h, Action: c.Request.URL.Path, Version: o.draft.Version, Button: in.button,
		Shown: writeShown(o.draft.Fields, func(field string) bool { return slices.Contains(differ, field) }),
	}
	for _, field := range differ {
		page.Choices = append(page.Choices, versionChoice{
			Field: field, Label: s.fieldLabel(c, o.layout, field), Mine: in.typed[field], Theirs: o.draft.Fields[field],
			TakeTheirs: strings.TrimSpace(in.typed[field]) == "",
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
