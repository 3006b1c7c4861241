package models

import (
	"time"

	"fairlead/analytics/quantity"
)

// CoverState says where a cover is.
type CoverState string

// The states of a cover.
const (
	InUse      CoverState = "in-use"
	Off        CoverState = "off"
	InWorkshop CoverState = "in-workshop"
)

// CoverStates lists the states.
var CoverStates = []CoverState{InUse, Off, InWorkshop}

// Cover is the shell over a prosthesis.
type Cover struct {
	ID          string
	LimbID      string
	Material    string
	Wall        *quantity.Length `gorm:"column:wall_tenth_mm"`
	DeliveredOn quantity.Date
	State       CoverState
	RetiredOn   quantity.Date // when another cover took its place
	CreatedAt   time.Time
	Version     int

	Attachments []Attachment `gorm:"-"`
	Stations    []Station    `gorm:"-"`
}

// AttachmentState is how firm an attachment point is.
type AttachmentState string

// The states of an attachment point.
const (
	Firm    AttachmentState = "ok"
	Loose   AttachmentState = "loose"
	Missing AttachmentState = "missing"
)

// AttachmentStates lists the states.
var AttachmentStates = []AttachmentState{Firm, Loose, Missing}

// Attachment is a point where the cover is held.
type Attachment struct {
	ID      string
	CoverID string
	Name    string
	State   AttachmentState // as last seen
	Ordinal int
}

// Station is one place of the clearance walk: a level, a direction and the
// posture in which it is read.
type Station struct {
	ID        string
	CoverID   string
	Level     quantity.Length `gorm:"column:level_tenth_mm"`
	Direction quantity.Direction
	Posture   quantity.Posture
	Neighbour quantity.Neighbour
	EveryTime bool             // read at every check-in, not only at delivery and after a change
	WarnLimit *quantity.Length `gorm:"column:warn_limit_tenth_mm"` // nil: the starting value of its neighbour
	ActLimit  *quantity.Length `gorm:"column:act_limit_tenth_mm"`
	LimitBy   string           // who set the limits, empty for starting values
	LimitOn   quantity.Date
	AsBuilt   *quantity.Length `gorm:"column:as_built_tenth_mm"` // accepted at delivery
	AsBuiltBy string
	AsBuiltOn quantity.Date
	Ordinal   int
}
