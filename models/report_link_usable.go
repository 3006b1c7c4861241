package models

import "context"

// AnyReportLinkWorks tells whether a report can be begun by any link of a client,
// or, where clientID is "", by a link of anybody.
func (s *Store) AnyReportLinkWorks(ctx context.Context, clientID string) (bool, error) {
	links := s.db.WithContext(ctx).Model(&ReportLink{}).Where(linkWorks, s.clock())
	if clientID != "" {
		links = links.Where("client_id = ?", clientID)
	}
	var n int64
	err := links.Count(&n).Error
	return n > 0, fold("report links that work", err)
}
