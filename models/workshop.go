package models

import (
	"context"
)

// workshopID is the id of the only row of workshops.
const workshopID = "workshop"

// Weekdays lists the days on which reports can be read, Monday first.
var Weekdays = []string{"monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"}

// Workshop is the one workshop that a database belongs to.
type Workshop struct {
	ID       string // always WorkshopID
	Name     string
	Zone     string // IANA name, such as Europe/Berlin
	Invented bool   // the demonstration workshop; every page says so
	// Phone and EmergencyPhone stand on the client's form before it knows whose
	// it is.
	Phone          string
	EmergencyPhone string
	Address        string // a few lines, where a letter is answered to
	// ReadsReportsAt is the time of day, 15:04, at which reports are read on the
	// days of ReadsReportsOn (of Weekdays); without either nothing is promised
	// and no link can be made.
	ReadsReportsAt string
	ReadsReportsOn []string `gorm:"serializer:json"`
	Version        int
}

// Workshop returns the workshop of this database, or ErrNotFound before it has
// been named.
func (s *Store) Workshop(ctx context.Context) (Workshop, error) {
	var w Workshop
	err := s.db.WithContext(ctx).Where("id = ?", workshopID).Take(&w).Error
	return w, fold("workshop", err)
}

// SaveWorkshop records the workshop: with Version 0 for the first time
// (ErrConflict when it is there), else as a change of the version read
// (ErrStale when it was changed meanwhile).
func (s *Store) SaveWorkshop(ctx context.Context, w *Workshop) error {
	next := *w
	next.ID = workshopID
	next.Version++
	var err error
	if w.Version == 0 {
		err = s.db.WithContext(ctx).Create(&next).Error
	} else {
		err = s.update(ctx, &next, next.ID, next.Version)
	}
	if err != nil {
		return fold("save workshop", err)
	}
	*w = next
	return nil
}
