package models

import (
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

// MeasuringPlan says where and how often a limb is taped. A new version never
// changes an old one: each check-in names the plan it followed.
type MeasuringPlan struct {
	ID        string
	LimbID    string
	Number    int // 1, 2, … within the limb
	Landmark  string
	Levels    []quantity.Length `gorm:"serializer:json"` // ascending, distal to the landmark
	Passes    int
	CapKind   quantity.CapKind
	CapDepth  *quantity.Length `gorm:"column:cap_depth_tenth_mm"`
	Reason    string
	MadeBy    string
	CreatedAt time.Time
}

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

// EventKind is what happened to a limb or what is worn on it.
type EventKind string

// The kinds of event.
const (
	SocketFitted   EventKind = "socket-fitted"
	SocketAccepted EventKind = "socket-accepted"
	SocketAdjusted EventKind = "socket-adjusted"
	Realignment    EventKind = "realignment"
	PartReplaced   EventKind = "part-replaced"
	Repair         EventKind = "repair"
	ShoeChanged    EventKind = "shoe-changed"
	AdjusterMoved  EventKind = "adjuster-moved"
	LinerChanged   EventKind = "liner-changed"
	CoverTrimmed   EventKind = "cover-trimmed"
	CoverRefitted  EventKind = "cover-refitted"
	Revision       EventKind = "revision"
	Illness        EventKind = "illness"
	OtherEvent     EventKind = "other"
)

// EventKinds lists the kinds of event.
var EventKinds = []EventKind{
	SocketFitted, SocketAccepted, SocketAdjusted, Realignment, PartReplaced, Repair, ShoeChanged, AdjusterMoved,
	LinerChanged, CoverTrimmed, CoverRefitted, Revision, Illness, OtherEvent,
}

// Event is a dated change of a limb, prosthesis or cover.
type Event struct {
	ID         string
	LimbID     string
	Kind       EventKind
	On         quantity.Date `gorm:"column:happened_on"`
	What       string
	DoneBy     string // free text: often an outside prosthetist
	ToldBy     string
	RecordedBy string
	CreatedAt  time.Time
}
