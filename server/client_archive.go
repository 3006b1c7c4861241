package server

import (
	"errors"

	"fairlead/models"
	"github.com/gin-gonic/gin"
)

// archiveClient takes a client out of the lists. The record stays. Sent twice
// it says so; another reason for one that is archived is shown, not kept.
func (s *server) archiveClient(c *gin.Context) error {
	client, limbs, people, err := s.clientWithPeople(c)
	if err != nil {
		return err
	}
	typed, err := fields(c)
	if err != nil {
		return err
	}
	r := s.recordReader(c, client, typed)
	why := r.RequiredText("archive_why", longestLine)
	if client.ArchivedAt != nil && why == client.ArchivedWhy {
		return s.done(c, clientPath(client), "client.archived-already", "Name", client.Name)
	}
	if err := s.askAboutFlags(c, r, client); err != nil {
		return err
	}
	if !r.Problems().Any() {
		err := s.store.ArchiveClient(c.Request.Context(), client.ID, readVersion(r), why)
		if err == nil {
			return s.done(c, clientPath(client), "client.archived", "Name", client.Name)
		}
		switch {
		case errors.Is(err, models.ErrInUse): // raised at this moment
			r.Add("archive_flags", "problem.archive-unseen", nil)
		case errors.Is(err, models.ErrStale):
			r.Add("archive_why", "problem.stale-archive", nil)
		default:
			return err
		}
	}
	form := typedClient(client)
	form["archive_why"] = typed["archive_why"]
	page := s.clientForm(c, client, limbs, people, form)
	page.recordPage = s.refused(c, page.recordPage, s.clientWording(c, people), r)
	return s.refuseRecord(c, "client-form", page.Heading, page)
}

// unarchiveClient brings a client back into the lists.
func (s *server) unarchiveClient(c *gin.Context) error {
	client, err := s.client(c)
	if err != nil {
		return err
	}
	if err := s.store.UnarchiveClient(c.Request.Context(), client.ID, client.Version); err != nil {
		return err
	}
	return s.done(c, clientPath(client), "client.unarchived", "Name", client.Name)
}
