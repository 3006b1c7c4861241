package models

import (
	"context"
	"fmt"
	"time"

	"fairlead/analytics/quantity"
)

// MeasuringPlan says where and how often a limb is taped. A new version never
// changes an old one: each check-in names the plan it followed.
type MeasuringPlan struct {
	ID        string
	LimbID    string
	Number    int // 1, 2, … within the limb
	Landmark  string
	Levels    []quantity.Length `gorm:"serializer:json;column:levels_tenth_mm"` // ascending, distal to the landmark
	Passes    int
	CapKind   quantity.CapKind
	CapDepth  *quantity.Length `gorm:"column:cap_depth_tenth_mm"`
	Reason    string
	MadeBy    string
	CreatedAt time.Time
}

// AddPlan records the next plan of a limb. It fills in ID, Number and
// CreatedAt. Levels must ascend, or the error is ErrInvalid; of two plans added
// at the same moment one may meet ErrConflict.
func (s *Store) AddPlan(ctx context.Context, p *MeasuringPlan) error {
	for i := 1; i < len(p.Levels); i++ {
		if p.Levels[i] <= p.Levels[i-1] {
			return fmt.Errorf("add plan: level %g mm does not lie beyond %g mm: %w", p.Levels[i].MM(), p.Levels[i-1].MM(), ErrInvalid)
		}
	}
	if p.Levels == nil {
		p.Levels = []quantity.Length{}
	}
	p.ID, p.CreatedAt = newIfEmpty(p.ID), s.clock()
	return fold("add plan", s.InTx(ctx, func(tx *Store) error {
		var plans int64
		if err := tx.db.Model(&MeasuringPlan{}).Where("limb_id = ?", p.LimbID).Count(&plans).Error; err != nil {
			return err
		}
		p.Number = int(plans) + 1 // plans are never removed
		return tx.db.Create(p).Error
	}))
}

// PlanByID returns one plan, or ErrNotFound.
func (s *Store) PlanByID(ctx context.Context, id string) (MeasuringPlan, error) {
	var p MeasuringPlan
	err := s.db.WithContext(ctx).Where("id = ?", id).Take(&p).Error
	return p, fold("plan by id", err)
}

// PlansOf returns all plans of a limb, the first one first.
func (s *Store) PlansOf(ctx context.Context, limbID string) ([]MeasuringPlan, error) {
	var plans []MeasuringPlan
	err := s.db.WithContext(ctx).Where("limb_id = ?", limbID).Order("number").Find(&plans).Error
	return plans, fold("plans of limb", err)
}

// CurrentPlan returns the newest plan of a limb, or ErrNotFound.
func (s *Store) CurrentPlan(ctx context.Context, limbID string) (MeasuringPlan, error) {
	var p MeasuringPlan
	err := s.db.WithContext(ctx).Where("limb_id = ?", limbID).Order("number DESC").Take(&p).Error
	return p, fold("current plan", err)
}
