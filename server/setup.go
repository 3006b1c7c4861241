package server

import (
	"errors"
	"strings"

	"fairlead/models"
	"fairlead/server/form"
	"github.com/gin-gonic/gin"
)

// setUpPage shows the workshop and its people.
type setUpPage struct {
	Page
	Typed  map[string]string
	People []models.Person
	Days   []Option // on which reports are read
}

func (s *server) showSetUp(c *gin.Context) error {
	w, err := s.store.Workshop(c.Request.Context())
	if err != nil && !errors.Is(err, models.ErrNotFound) {
		return err
	}
	page, err := s.setUpPage(c, typedWorkshop(w))
	if err != nil {
		return err
	}
	return s.show(c, "setup", page)
}

// typedWorkshop is the workshop as it stands in the form.
func typedWorkshop(w models.Workshop) map[string]string {
	typed := map[string]string{
		"name": w.Name, "zone": w.Zone, "phone": w.Phone, "emergency_phone": w.EmergencyPhone, "address": w.Address,
		"reads_at": w.ReadsReportsAt, "version": version(w.Version),
	}
	for _, day := range w.ReadsReportsOn {
		typed[readsOn+"."+day] = "yes"
	}
	return typed
}

// readsOn is the group of boxes of the days on which reports are read.
const readsOn = "reads_on"

func (s *server) setUpPage(c *gin.Context, typed map[string]string) (setUpPage, error) {
	people, err := s.store.People(c.Request.Context())
	page := setUpPage{Page: s.page(c, s.text(c, "setup.title"), "setup"), Typed: typed, People: people}
	for _, day := range models.Weekdays {
		field := readsOn + "." + day
		page.Days = append(page.Days, Option{Value: field, Label: s.text(c, "weekday."+day), Chosen: typed[field] != ""})
	}
	return page, err
}

// readWorkshop reads the form into the workshop of before.
func readWorkshop(r *form.Reader, w models.Workshop) models.Workshop {
	w.ID = models.WorkshopID
	w.Name = r.RequiredText("name", 120)
	w.Zone = zoneName(r, "zone")
	w.Phone, w.EmergencyPhone = r.Phone("phone"), r.Phone("emergency_phone")
	w.Address = address(r, "address")
	w.ReadsReportsAt, w.ReadsReportsOn = r.TimeOfDay("reads_at"), form.Set(r, readsOn, models.Weekdays)
	switch { // a day without a time promises nothing, and neither does a time without a day
	case r.Empty("reads_at") && len(w.ReadsReportsOn) > 0:
		r.Add("reads_at", "problem.reads-at", nil)
	case !r.Empty("reads_at") && len(w.ReadsReportsOn) == 0:
		r.Add(readsOn, "problem.reads-on", nil)
	}
	w.Version = readVersion(r)
	return w
}

// workshopLabels name the fields of the form about the workshop.
var workshopLabels = map[string]string{
	"name": "setup.workshop-name", "zone": "setup.zone", "phone": "setup.phone", "emergency_phone": "setup.emergency-phone",
	"address": "setup.address", "reads_at": "setup.reads-at", readsOn: "setup.reads-on",
}

func (s *server) saveWorkshop(c *gin.Context) error {
	typed, err := fields(c)
	if err != nil {
		return err
	}
	ctx := c.Request.Context()
	w, err := s.store.Workshop(ctx)
	if err != nil && !errors.Is(err, models.ErrNotFound) {
		return err
	}
	r := s.reader(c, typed)
	if err := s.keepsWorkshopNumbers(c, r, w); err != nil {
		return err
	}
	w = readWorkshop(r, w)
	if !r.Problems().Any() {
		err = s.store.SaveWorkshop(ctx, &w)
		if err == nil {
			return s.done(c, "/setup", "setup.saved")
		}
		if !errors.Is(err, models.ErrStale) {
			return err
		}
		r.Add("", "problem.stale", nil)
	}
	page, err := s.setUpPage(c, typed)
	if err != nil {
		return err
	}
	page.Page = s.withProblems(c, page.Page, r.Problems(), s.labels(c, workshopLabels))
	return s.refuse(c, "setup", page)
}

// What an address may hold, so that it has room in the head of a letter.
const (
	longestAddress = 300
	mostLines      = 8
)

// address reads a few lines; empty ones are left out.
func address(r *form.Reader, field string) string {
	var lines []string
	for line := range strings.Lines(r.Note(field, longestAddress)) {
		if line = strings.TrimSpace(line); line != "" {
			lines = append(lines, line)
		}
	}
	if len(lines) > mostLines {
		r.Add(field, "problem.address-lines", map[string]any{"Max": mostLines, "Count": len(lines)})
		return ""
	}
	return strings.Join(lines, "\n")
}

// zoneName reads a time zone by its name in the tz database.
func zoneName(r *form.Reader, field string) string {
	name := r.RequiredText(field, 60)
	if name == "" {
		return ""
	}
	if _, err := knownZone(name); err != nil {
		r.Add(field, "problem.zone", nil)
	}
	return name
}
