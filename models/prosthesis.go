package models

import (
	"context"

	"fairlead/analytics/quantity"
)

// Prosthesis is what is worn on a limb today; changes are Events.
type Prosthesis struct {
	ID               string
	LimbID           string
	NoSocket         bool // bone-anchored
	SocketType       string
	SocketFittedOn   quantity.Date
	SocketAcceptedOn quantity.Date // by the prosthetist; room in the socket counts from here
	Suspension       string
	Adjuster         string
	LinerType        string
	LinerThickness   *quantity.Length `gorm:"column:liner_thickness_tenth_mm"`
	Sleeve           string
	Foot             string
	Knee             string
	Pylon            string
	Shoe             string
	HeelHeight       *quantity.Length `gorm:"column:heel_height_tenth_mm"`
	Version          int
}

// SaveProsthesis records what is worn on a limb: with Version 0 for the first
// time (ErrConflict when the limb has one), else as a change of the version
// read (ErrStale when it was changed meanwhile).
func (s *Store) SaveProsthesis(ctx context.Context, p *Prosthesis) error {
	next := *p
	next.Version++
	var err error
	if p.Version == 0 {
		next.ID = newIfEmpty(p.ID)
		err = s.db.WithContext(ctx).Create(&next).Error
	} else {
		err = s.update(ctx, &next, next.ID, next.Version, "LimbID")
	}
	if err != nil {
		return fold("save prosthesis", err)
	}
	*p = next
	return nil
}

// ProsthesisOf returns what is worn on a limb, or ErrNotFound.
func (s *Store) ProsthesisOf(ctx context.Context, limbID string) (Prosthesis, error) {
	var p Prosthesis
	err := s.db.WithContext(ctx).Where("limb_id = ?", limbID).Take(&p).Error
	return p, fold("prosthesis of limb", err)
}
