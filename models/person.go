package models

import (
	"time"

	"fairlead/analytics/quantity"
)

// Role is what a person may be; one person may hold several.
type Role string

// The roles of the people who sign in.
const (
	Owner       Role = "owner"
	Fitter      Role = "fitter"
	Prosthetist Role = "prosthetist"
)

// Roles lists the roles.
var Roles = []Role{Fitter, Prosthetist, Owner}

// Person is someone who signs in.
type Person struct {
	ID            string
	Name          string
	SignIn        string // lower-case name to sign in with; unique
	PasswordHash  string // argon2id in PHC form; empty until a password is chosen
	IsFitter      bool
	IsProsthetist bool
	IsOwner       bool
	LengthUnit    quantity.LengthUnit
	DecimalComma  bool
	DisabledAt    *time.Time
	CreatedAt     time.Time
	Version       int
}

// Has tells whether the person holds the role.
func (p Person) Has(r Role) bool {
	switch r {
	case Owner:
		return p.IsOwner
	case Fitter:
		return p.IsFitter
	case Prosthetist:
		return p.IsProsthetist
	}
	return false
}

// Workshop is the one workshop that a database belongs to.
type Workshop struct {
	ID       string // always "workshop": there is one row
	Name     string
	Zone     string // IANA name, such as Europe/Berlin
	Invented bool   // the demonstration workshop; every page says so
	Version  int
}

// OneTimeLink lets one person choose a password once. Only the SHA-256 of its
// token is stored.
type OneTimeLink struct {
	TokenHash string `gorm:"primaryKey"`
	PersonID  string
	ExpiresAt time.Time
	UsedAt    *time.Time
}
