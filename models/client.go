package models

import (
	"time"

	"fairlead/analytics/quantity"
)

// Client is a person who wears a prosthesis with a cover.
type Client struct {
	ID              string
	Code            string // short and unique, such as K-014
	Name            string
	Phone           string
	Language        string // BCP 47
	Guardian        string
	StillGrowing    bool
	ReducedFeeling  bool    // steps every skin sign up one level
	Conditions      string  // long-term conditions, in the client's own words
	ConsentRecord   bool    // agreed to the record being kept
	ConsentContact  bool    // agreed to be contacted about the fit
	DeputyID        *string // person who stands in when the care team is away
	ClinicPhone     string
	OutOfHoursPhone string
	EmergencyPhone  string
	NextCheckinOn   quantity.Date // from the last check-in
	ArchivedAt      *time.Time
	ArchivedWhy     string
	CreatedAt       time.Time
	Version         int

	Contacts []Contact `gorm:"-"`
	CareTeam []Person  `gorm:"-"`
}

// Contact is another person to call about a client.
type Contact struct {
	ID       string
	ClientID string
	Name     string
	Relation string
	Phone    string
}

// CareTeamMember puts a person on a client's care team.
type CareTeamMember struct {
	ClientID string `gorm:"primaryKey"`
	PersonID string `gorm:"primaryKey"`
}
