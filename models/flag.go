package models

import (
	"encoding/json"
	"time"
)

// Flag is an open or closed claim with evidence (DESIGN section 5). There is
// at most one open flag per limb, rule and place.
type Flag struct {
	ID          string
	ClientID    string
	LimbID      string
	Rule        string // as in package assess
	Place       string // where on the limb or cover; empty for the whole
	About       string // cover, limb, skin, data: decides who may close it
	Level       string // now, soon, watch
	OpenedAt    time.Time
	ClosedAt    *time.Time
	ClosedBy    string // person id
	CloseReason string
	Version     int

	Evidence []FlagEvidence `gorm:"-"` // newest first
}

// FlagEvidence is one finding that opened a flag or was added to it.
type FlagEvidence struct {
	ID          string
	FlagID      string
	CheckinID   string
	RuleVersion int
	Level       string
	Finding     json.RawMessage `gorm:"serializer:json"` // of the assess.Finding
	AddedAt     time.Time
}
