package server

import (
	"errors"

	"fairlead/models"
	"github.com/gin-gonic/gin"
)

// archiveClient takes a client out of the lists. The record stays.
func (s *server) archiveClient(c *gin.Context) error {
	client, limbs, people, err := s.clientWithPeople(c)
	if err != nil {
		return err
	}
	typed, err := fields(c)
	if err != nil {
		return err
	}
	r := s.reader(c, typed)
	why := r.RequiredText("archive_why", longestLine)
	if err := s.askAboutFlags(c, r, client); err != nil {
		return err
	}
	if !r.Problems().Any() {
		err := s.store.ArchiveClient(c.Request.Context(), client.ID, readVersion(r), why)
		if err == nil {
			return s.done(c, clientPath(client), "client.archived", "Name", client.Name)
		}
		if !errors.Is(err, models.ErrStale) {
			return err
		}
		r.Add("archive_why", "problem.stale-archive", nil)
	}
	form := typedClient(client)
	form["archive_why"] = typed["archive_why"]
	page := s.clientForm(c, client, limbs, people, form)
	page.recordPage = s.refused(c, page.recordPage, r)
	return s.refuse(c, "client-form", page)
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
