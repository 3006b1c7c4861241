package server

import (
	"crypto/rand"
	"encoding/base64"
	"strconv"
	"time"

	"fairlead/analytics/quantity"
	"fairlead/models"
	"github.com/gin-gonic/gin"
)

// How long a private link works and how many reports it takes: what is proposed,
// and the most.
const (
	usualLinkDays    = 30
	mostLinkDays     = int(models.LongestReportLink / (24 * time.Hour))
	usualLinkReports = 10
	mostLinkReports  = 50
)

// NewReportLink makes a private link by which a client reports, for 10 reports
// within 30 days, and returns the path to open. Only the hash of its token is
// kept: 32 random bytes, so that no number of tries finds one.
func NewReportLink(clientID, personID string, now time.Time) (models.ReportLink, string) {
	drawn := make([]byte, 32)
	_, _ = rand.Read(drawn) // never fails
	token := base64.RawURLEncoding.EncodeToString(drawn)
	return models.ReportLink{
		ID: models.NewID(), TokenHash: tokenHash(token), ClientID: clientID, MadeBy: personID, MadeAt: now,
		ExpiresAt: now.AddDate(0, 0, usualLinkDays), MostReports: usualLinkReports,
	}, "/r/" + token
}

// linksPath is the address of a client's private links.
func linksPath(client models.Client) string { return clientPath(client) + "/links" }

// linkState is what becomes of a report by a link.
type linkState string

// The states of a link.
const (
	linkUsable  linkState = "usable"
	linkRevoked linkState = "revoked"
	linkExpired linkState = "expired"
	linkUsedUp  linkState = "used-up"
)

// stateOf tells what a link is good for after so many reports.
func stateOf(l models.ReportLink, sent int, now time.Time) linkState {
	switch {
	case l.RevokedAt != nil:
		return linkRevoked
	case !now.Before(l.ExpiresAt):
		return linkExpired
	case sent >= l.MostReports:
		return linkUsedUp
	}
	return linkUsable
}

// missingPart is something that the client's form shows and that is not there
// yet. Link leads to where it is filled in; without one, How says who does it.
type missingPart struct{ Name, Link, How string }

// missingForLink lists what a client's form would lack: nobody who ticks a sign
// on the safety page may find no number to call.
func (s *server) missingForLink(c *gin.Context, client models.Client) ([]missingPart, error) {
	limbs, err := s.store.LimbsOf(c.Request.Context(), client.ID)
	if err != nil {
		return nil, err
	}
	w := s.workshop(c)
	edit, owner := clientPath(client)+"/edit", allowed(setUpWorkshop, signedIn(c))
	var missing []missingPart
	lacks := func(there bool, name, link string) {
		if !there {
			missing = append(missing, missingPart{Name: s.text(c, name), Link: link})
		}
	}
	lacks(len(limbs) > 0, "links.missing.limb", clientPath(client)+"/limbs/new")
	lacks(client.ClinicPhone != "", "links.missing.clinic", edit+"#clinic_phone")
	lacks(client.OutOfHoursPhone != "", "links.missing.out-of-hours", edit+"#out_of_hours_phone")
	lacks(client.EmergencyPhone != "", "links.missing.emergency", edit+"#emergency_phone")
	own := len(missing)
	lacks(w.Phone != "", "links.missing.workshop-phone", "/setup#phone")
	lacks(w.EmergencyPhone != "", "links.missing.workshop-emergency", "/setup#emergency_phone")
	lacks(w.ReadsReportsAt != "" && len(w.ReadsReportsOn) > 0, "links.missing.reading", "/setup#reads_on")
	for i := own; i < len(missing) && !owner; i++ {
		missing[i].Link, missing[i].How = "", s.text(c, "links.missing.owner")
	}
	return missing, nil
}

// typedLink is the form of a new link as it is proposed.
func typedLink() map[string]string {
	return map[string]string{"id": models.NewID(), "days": strconv.Itoa(usualLinkDays), "most": strconv.Itoa(usualLinkReports)}
}

// moment says a date and a time of day in a zone: "4 May 2026, 15:04".
func (y sayer) moment(at time.Time, zone *time.Location) string {
	local := at.In(zone)
	return y.text("say.moment", "Date", y.date(quantity.DateOf(local)), "Time", local.Format("15:04"))
}
