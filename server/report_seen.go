package server

import (
	"errors"

	"fairlead/models"
	"github.com/gin-gonic/gin"
)

// seeReport notes who has read a report, and that the open flags that say nothing
// newer than it are seen with it. It closes none of them.
func (s *server) seeReport(c *gin.Context) error {
	client, report, err := s.report(c)
	if err != nil {
		return err
	}
	if client.ArchivedAt != nil {
		return errArchived
	}
	flags, err := s.flagsOfReport(c, report)
	if err != nil {
		return err
	}
	ctx, who := c.Request.Context(), signedIn(c).ID
	err = s.store.InTx(ctx, func(tx *models.Store) error {
		if err := tx.SeeReport(ctx, report.ID, who); err != nil {
			return err
		}
		for _, f := range flags {
			if newest := f.Evidence[0].ReportID; newest == nil || *newest != report.ID {
				continue // there is more to be seen on its own page
			}
			// closed, or more has come, at this moment: the flag's page says so
			if _, err := tx.SeeFlag(ctx, f.ID, f.Version, who); err != nil && !errors.Is(err, models.ErrStale) {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	return s.done(c, reportPath(client.ID, report.ID), "reported.seen-notice")
}
