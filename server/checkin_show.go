package server

import (
	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/followup"
	"fairlead/server/form"
	"github.com/gin-gonic/gin"
)

// recordedPage shows a check-in as it was recorded, with its result.
type recordedPage struct {
	Page
	Heading  Heading
	What     string
	Entered  string
	Reason   string
	Path     string
	Newer    string // address of the version that took this one's place
	Versions []versionLine
	Results  []limbResult
	Groups   []factGroup
	Notes    string
	NextOn   string
	May      bool // correct it
}

// versionLine is one version of a check-in.
type versionLine struct {
	Path, Line, Reason string
	Here               bool
}

// checkinOf finds the check-in of a path below its client, with what its form
// asked.
func (s *server) checkinOf(c *gin.Context) (models.Checkin, checkinLayout, error) {
	client, err := s.client(c)
	if err != nil {
		return models.Checkin{}, checkinLayout{}, err
	}
	checkin, err := s.store.CheckinByID(c.Request.Context(), c.Param("checkin"))
	if err == nil && checkin.ClientID != client.ID {
		err = errNotFound
	}
	if err != nil {
		return checkin, checkinLayout{}, err
	}
	l, err := s.layoutOf(c, checkin)
	return checkin, l, err
}

// layoutOf is the layout that a recorded check-in was typed in: its plans and
// covers, not those of today.
func (s *server) layoutOf(c *gin.Context, checkin models.Checkin) (checkinLayout, error) {
	ctx := c.Request.Context()
	limbs, err := s.store.LimbsOf(ctx, checkin.ClientID)
	if err != nil {
		return checkinLayout{}, err
	}
	ties := map[string]string{}
	for i, limb := range limbs {
		for _, seen := range checkin.Limbs {
			if seen.LimbID == limb.ID {
				tieTo(ties, limbPrefix(i+1), seen)
			}
		}
	}
	return s.layout(ctx, checkin.ClientID, checkin.Zone, *signedIn(c), models.Draft{Fields: ties, CorrectsID: &checkin.ID})
}

// tieTo notes the plan and the cover of a recorded visit.
func tieTo(fields map[string]string, prefix string, seen models.CheckinLimb) {
	if seen.PlanID != nil {
		fields[prefix+"plan"] = *seen.PlanID
	}
	if seen.CoverID != nil {
		fields[prefix+"cover"] = *seen.CoverID
	}
}

func (s *server) showCheckin(c *gin.Context) error {
	checkin, l, err := s.checkinOf(c)
	if err != nil {
		return err
	}
	versions, err := s.store.CheckinVersions(c.Request.Context(), checkin.ID)
	if err != nil {
		return err
	}
	h := s.heading(c, l.Client, l.limbs()...)
	what := s.text(c, "checkin.of-day", "Date", s.checkinDay(checkin))
	page := recordedPage{
		Page: s.page(c, s.clientTitle(c, what, h), "clients"), Heading: h, What: what, Reason: checkin.Reason,
		Entered: s.text(c, "checkin.entered-by", "Name", nameOf(l.People, checkin.EnteredBy), "When", s.enteredAt(c, checkin)),
		Path:    checkinPath(checkin.ClientID, checkin.ID), Notes: checkin.Notes, NextOn: form.FormatDate(checkin.NextOn, language),
		Groups: s.facts(c, l, checkin, l.steps(l.fieldsOf(s.typist(c, l), checkin))),
		May:    allowed(logCheckin, signedIn(c)) && checkin.SupersededAt == nil && l.Client.ArchivedAt == nil,
	}
	for _, v := range versions {
		page.Versions = append(page.Versions, versionLine{
			Path: checkinPath(v.ClientID, v.ID), Reason: v.Reason, Here: v.ID == checkin.ID,
			Line: s.text(c, "checkin.version", "Number", v.Number, "Name", nameOf(l.People, v.EnteredBy), "When", s.enteredAt(c, v)),
		})
	}
	if checkin.SupersededAt != nil {
		page.Newer = page.Versions[len(page.Versions)-1].Path
		return s.show(c, "checkin", page)
	}
	var corrected *models.Checkin
	if n := len(versions); n > 1 {
		corrected = &versions[n-2]
	}
	page.Results, err = s.results(c, l.Record, checkin.ID, l.Record.Before(checkin.ID, corrected), true)
	if err != nil {
		return err
	}
	return s.show(c, "checkin", page)
}

// enteredAt is when a check-in was entered: with the date unless that is today and
// the day of measurement too.
func (s *server) enteredAt(c *gin.Context, checkin models.Checkin) string {
	zone := s.zone(c)
	if day := quantity.DateOf(checkin.EnteredAt.In(zone)); day != followup.Day(checkin) {
		return s.dated(c, day, form.FormatClock(checkin.EnteredAt, zone))
	}
	return s.moment(c, checkin.EnteredAt)
}

// correctCheckin begins a correction: a draft with everything that was recorded.
func (s *server) correctCheckin(c *gin.Context) error {
	checkin, l, err := s.checkinOf(c)
	if err != nil {
		return err
	}
	if checkin.SupersededAt != nil {
		return s.done(c, checkinPath(checkin.ClientID, checkin.ID), "checkin.newer-there")
	}
	d := models.Draft{
		ClientID: checkin.ClientID, PersonID: signedIn(c).ID, CorrectsID: &checkin.ID, Fields: l.fieldsOf(s.typist(c, l), checkin),
	}
	if err := s.store.CreateDraft(c.Request.Context(), &d); err != nil {
		return err
	}
	return s.done(c, draftPath(d)+"/"+string(resultStep), "checkin.correcting")
}
