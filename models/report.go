package models

import (
	"slices"
	"time"
)

// NotSure is the answer of somebody who does not know.
const NotSure = "not-sure"

// The signs that a client can tick on the safety page: of the body, of the leg
// or arm, and NotSure. Each raises a flag of the level now.
var (
	SafetySignsOfBody = []string{
		"open-skin", "spreading", "pus-fever", "colour-cold", "pain-numb", "breathless", "fall-injury",
	}
	SafetySignsOfLimb = []string{"broken", "gives-way", "cannot-put-on"}
	SafetySigns       = slices.Concat(SafetySignsOfBody, SafetySignsOfLimb, []string{NotSure})
)

// ReportWhats is what a report can be about.
var ReportWhats = []string{"rub", "tight", "loose", "noise", "catch", "damage", "skin", "comfort", "heat", "other"}

// ReportSinces is since when it is so.
var ReportSinces = []string{"today", "days", "week", "weeks", "longer", NotSure}

// Wearings is how long the leg or arm is worn in a day.
var Wearings = []string{"all-day", "less", "hardly", "not-at-all"}

// ReportLink is a private link by which a client reports without an account.
// Only the SHA-256 of its token is stored.
type ReportLink struct {
	ID          string
	TokenHash   string
	ClientID    string
	MadeBy      string // person id
	MadeAt      time.Time
	ExpiresAt   time.Time
	MostReports int
	RevokedAt   *time.Time
	RevokedBy   *string
	LastUsedAt  *time.Time // when a report was last begun or sent by it
}

// ReportDraft is a report being typed. The browser that began it holds a key;
// only the key's SHA-256 is stored. Fields holds what was typed, word for word.
type ReportDraft struct {
	ID          string
	LinkID      string
	KeyHash     string
	AddressHash string            // of where it was begun, to slow a flood
	Fields      map[string]string `gorm:"serializer:json"`
	StartedAt   time.Time
	TouchedAt   time.Time
	SentAt      *time.Time // once it has become a report
	ToldAt      *time.Time // when the newest safety answer that stands was ticked; nil without one
	DealtAt     *time.Time // when it was noted that the client was called about it, unsent as it is
	DealtBy     *string    // person id
	Version     int
}

// Report is what a client sent. It never changes a measurement, and closes
// nothing.
type Report struct {
	ID       string
	Number   string // the reference number that the client was given
	ClientID string
	LimbID   *string // nil where the client has several limbs and named none
	LinkID   string
	DraftID  string
	SentAt   time.Time
	Said     Said `gorm:"serializer:json"`
	// Urgent is for SendReport: by the rules it raises a flag of the level now,
	// whatever of it does.
	Urgent bool `gorm:"-"`
	SeenAt *time.Time
	SeenBy *string // person id
}

// Said is what a report says, in codes and the client's own words.
type Said struct {
	Safety         []string `json:"safety,omitempty"` // of SafetySigns; empty for none of these
	CannotPhone    bool     `json:"cannot_phone,omitempty"`
	What           []string `json:"what,omitempty"`            // of ReportWhats
	Areas          []string `json:"areas,omitempty"`           // segment.direction, as in quantity.Areas
	Since          string   `json:"since,omitempty"`           // of ReportSinces
	Bother         *int     `json:"bother,omitempty"`          // 0–10
	Wearing        string   `json:"wearing,omitempty"`         // of Wearings
	ComfortAverage *int     `json:"comfort_average,omitempty"` // 0–10, last 7 days
	ComfortWorst   *int     `json:"comfort_worst,omitempty"`
	PainWorst      *int     `json:"pain_worst,omitempty"`
	Looseness      *int     `json:"looseness,omitempty"` // −5 too loose … 0 … +5 too tight
	Skin           []string `json:"skin,omitempty"`      // of SkinSigns
	Text           string   `json:"text,omitempty"`
	// Cut names the steps of the form of which not all was taken, in a report that
	// should not wait: text, of which this is the beginning, or one that was left out.
	Cut []string `json:"cut,omitempty"`
}
