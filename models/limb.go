package models

import (
	"context"
	"time"

	"fairlead/analytics/quantity"
)

// Origin says how a limb came to be as it is.
type Origin string

// The origins of a residual limb.
const (
	Amputation     Origin = "amputation"
	PresentAtBirth Origin = "present-at-birth"
)

// Origins lists the origins.
var Origins = []Origin{Amputation, PresentAtBirth}

// DistalShape describes the end of a limb in the words of ISO 8548-2:2020.
type DistalShape string

// The shapes of a distal end.
const (
	Conical     DistalShape = "conical"
	Cylindrical DistalShape = "cylindrical"
	Bulbous     DistalShape = "bulbous"
)

// DistalShapes lists the shapes.
var DistalShapes = []DistalShape{Conical, Cylindrical, Bulbous}

// Limb is a residual limb that is followed. A client has one or more.
type Limb struct {
	ID              string
	ClientID        string
	Side            quantity.Side
	Level           quantity.AmputationLevel
	Origin          Origin
	AmputatedOn     quantity.Date
	RevisedOn       quantity.Date
	Landmark        string           // the palpable zero, such as "mid-patellar tendon"
	LandmarkPosture string           // how the joint is held when the landmark is found
	LengthMM10      *quantity.Length `gorm:"column:length_tenth_mm"` // landmark to distal end
	InflectionMM10  *quantity.Length `gorm:"column:inflection_tenth_mm"`
	DistalShape     DistalShape
	OtherSideSound  bool // the same limb on the other side can serve as control
	CreatedAt       time.Time
	Version         int
}

// CreateLimb records a limb. It fills in ID, CreatedAt and Version. A client
// that is not there gives ErrInUse.
func (s *Store) CreateLimb(ctx context.Context, l *Limb) error {
	l.ID, l.CreatedAt, l.Version = newIfEmpty(l.ID), s.clock(), 1
	return fold("create limb", s.db.WithContext(ctx).Create(l).Error)
}

// LimbByID returns one limb, or ErrNotFound.
func (s *Store) LimbByID(ctx context.Context, id string) (Limb, error) {
	var l Limb
	err := s.db.WithContext(ctx).Where("id = ?", id).Take(&l).Error
	return l, fold("limb by id", err)
}

// LimbsOf returns the limbs of a client in the order in which they were
// recorded.
func (s *Store) LimbsOf(ctx context.Context, clientID string) ([]Limb, error) {
	var limbs []Limb
	err := s.db.WithContext(ctx).Where("client_id = ?", clientID).Order("id").Find(&limbs).Error
	return limbs, fold("limbs of client", err)
}

// UpdateLimb writes the limb, read at l.Version, and raises the version. The
// client that it belongs to stays. It returns ErrStale when the limb was
// changed meanwhile.
func (s *Store) UpdateLimb(ctx context.Context, l *Limb) error {
	next := *l
	next.Version++
	if err := s.update(ctx, &next, next.ID, next.Version, "ClientID"); err != nil {
		return fold("update limb", err)
	}
	*l = next
	return nil
}
