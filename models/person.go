package models

import (
	"cmp"
	"context"
	"slices"
	"strings"
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
	ID           string
	Name         string
	SignIn       string // lower-case name to sign in with; unique
	PasswordHash string // argon2id in PHC form; empty until a password is chosen
	// PasswordChosenAt is when the password in force was chosen; nil where that was
	// before it was recorded. PasswordLinkBy is the name of who made the last link
	// by which this person's password was chosen, as it was then: whoever made it
	// could have chosen it. It is empty where nobody else made one.
	PasswordChosenAt *time.Time
	PasswordLinkBy   string
	IsFitter         bool
	IsProsthetist    bool
	IsOwner          bool
	LengthUnit       quantity.LengthUnit
	DecimalComma     bool
	DisabledAt       *time.Time
	AwayUntil        quantity.Date // the last day of an absence, empty or past when there is none
	SessionEpoch     int           // a session begun under another one is over; raise it to end them all
	CreatedAt        time.Time
	Version          int

	// NameApart is the name with the sign-in name beside it, where another account
	// has the same one; else empty. People fills it in.
	NameApart string `gorm:"-"`
}

// ShownName is the name by which the person is told from everybody else with an
// account, to stand beside what they did.
func (p Person) ShownName() string { return cmp.Or(p.NameApart, p.Name) }

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

// WorkshopID is the id of the only workshop in a database.
const WorkshopID = "workshop"

// CreatePerson records a new person. It fills in ID, CreatedAt and Version,
// lowers the case of SignIn, and LengthUnit is centimetres unless chosen.
// A sign-in name that is taken gives ErrConflict.
func (s *Store) CreatePerson(ctx context.Context, p *Person) error {
	p.ID, p.CreatedAt, p.Version = newIfEmpty(p.ID), s.clock(), 1
	p.SignIn = signInName(p.SignIn)
	p.DisabledAt, p.PasswordChosenAt = storedPointer(p.DisabledAt), storedPointer(p.PasswordChosenAt)
	if p.LengthUnit == "" {
		p.LengthUnit = quantity.Centimetre
	}
	return fold("create person", s.db.WithContext(ctx).Create(p).Error)
}

// PersonByID returns one person, or ErrNotFound.
func (s *Store) PersonByID(ctx context.Context, id string) (Person, error) {
	var p Person
	err := s.db.WithContext(ctx).Where("id = ?", id).Take(&p).Error
	return p, fold("person by id", err)
}

// PersonBySignIn returns the person with the sign-in name in any case, or
// ErrNotFound.
func (s *Store) PersonBySignIn(ctx context.Context, name string) (Person, error) {
	var p Person
	err := s.db.WithContext(ctx).Where("sign_in = ?", signInName(name)).Take(&p).Error
	return p, fold("person by sign-in name", err)
}

// People returns everyone who may or could sign in, by sign-in name. Of those
// with the same name each has its NameApart.
func (s *Store) People(ctx context.Context) ([]Person, error) {
	var people []Person
	err := s.db.WithContext(ctx).Order("sign_in").Find(&people).Error
	for i, p := range people {
		if slices.ContainsFunc(people, func(other Person) bool { return other.ID != p.ID && SameName(other.Name, p.Name) }) {
			people[i].NameApart = nameApart(p.Name, p.SignIn)
		}
	}
	return people, fold("people", err)
}

// nameApart is a name that others have too, told from theirs.
func nameApart(name, signIn string) string { return name + " (" + signIn + ")" }

// CountPeople returns how many people there are: none means a first start.
func (s *Store) CountPeople(ctx context.Context) (int, error) {
	var n int64
	err := s.db.WithContext(ctx).Model(&Person{}).Count(&n).Error
	return int(n), fold("count people", err)
}

// UpdatePerson writes the whole person, read at p.Version, and raises the
// version. It returns ErrStale when the person was changed meanwhile,
// ErrConflict when the sign-in name is taken.
func (s *Store) UpdatePerson(ctx context.Context, p *Person) error {
	next := *p
	next.Version++
	next.SignIn = signInName(p.SignIn)
	next.DisabledAt, next.PasswordChosenAt = storedPointer(p.DisabledAt), storedPointer(p.PasswordChosenAt)
	if err := s.update(ctx, &next, next.ID, next.Version); err != nil {
		return fold("update person", err)
	}
	*p = next
	return nil
}

// signInName is the form in which sign-in names are kept and looked up.
func signInName(typed string) string { return strings.ToLower(strings.TrimSpace(typed)) }
