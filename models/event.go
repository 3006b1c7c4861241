package models

import (
	"context"
	"time"

	"fairlead/analytics/quantity"
)

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

// AddEvent records an event. It fills in ID and CreatedAt.
func (s *Store) AddEvent(ctx context.Context, e *Event) error {
	e.ID, e.CreatedAt = newIfEmpty(e.ID), s.clock()
	return fold("add event", s.db.WithContext(ctx).Create(e).Error)
}

// EventsOf returns the events of a limb, the oldest first.
func (s *Store) EventsOf(ctx context.Context, limbID string) ([]Event, error) {
	var events []Event
	err := s.db.WithContext(ctx).Where("limb_id = ?", limbID).Order("happened_on, id").Find(&events).Error
	return events, fold("events of limb", err)
}
