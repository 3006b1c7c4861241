package models

import (
	"context"
	"fmt"
	"strings"
	"time"

	"gorm.io/gorm"

	"fairlead/analytics/quantity"
)

// Client is a person who wears a prosthesis with a cover.
type Client struct {
	ID              string
	Code            string // short and unique, such as K-014
	Name            string
	NameKey         string // Name in lower case, to sort and search by; the store writes it
	Phone           string
	Language        string // BCP 47
	Guardian        string
	StillGrowing    bool
	ReducedFeeling  bool    // steps every skin sign up one level
	Conditions      string  // long-term conditions, in the client's own words
	ConsentRecord   bool    // agreed to the record being kept
	ConsentContact  bool    // agreed to be contacted about the fit
	DeputyID        *string // prosthetist beside the care team, who stands in while it is away
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

	// ChangedBy is the person who writes the client, in whose name changes of the
	// care team and the deputy are told; empty: they are told of nobody.
	ChangedBy string `gorm:"-"`
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

// CreateClient records a client with contacts and care team, of whom only the
// ids count. It fills in ID, CreatedAt and Version. A code that is taken gives
// ErrConflict.
func (s *Store) CreateClient(ctx context.Context, c *Client) error {
	c.ID, c.CreatedAt, c.Version = newIfEmpty(c.ID), s.clock(), 1
	c.normalise()
	return fold("create client", s.InTx(ctx, func(tx *Store) error {
		if err := tx.db.Create(c).Error; err != nil {
			return err
		}
		if err := tx.addPeopleAround(c); err != nil {
			return err
		}
		return tx.tellTeam(ctx, teamBefore{}, *c)
	}))
}

// UpdateClient writes the client, read at c.Version, raises the version and
// replaces contacts and care team. What check-ins and archiving keep (the next
// date, the archive) stays as it is. It returns ErrStale when the client was
// changed meanwhile.
func (s *Store) UpdateClient(ctx context.Context, c *Client) error {
	next := *c
	next.Version++
	next.normalise()
	err := s.InTx(ctx, func(tx *Store) error {
		before, err := tx.teamOf(ctx, c.ID)
		if err == nil {
			err = tx.update(ctx, &next, next.ID, next.Version, "NextCheckinOn", "ArchivedAt", "ArchivedWhy")
		}
		if err != nil {
			return err
		}
		if err := tx.db.Where("client_id = ?", c.ID).Delete(&Contact{}).Error; err != nil {
			return err
		}
		if err := tx.db.Where("client_id = ?", c.ID).Delete(&CareTeamMember{}).Error; err != nil {
			return err
		}
		if err := tx.addPeopleAround(&next); err != nil {
			return err
		}
		return tx.tellTeam(ctx, before, next)
	})
	if err != nil {
		return fold("update client", err)
	}
	*c = next
	return nil
}

// normalise puts what is looked up by into its one form.
func (c *Client) normalise() {
	c.Code = strings.TrimSpace(c.Code)
	c.NameKey = nameKey(c.Name)
	c.ArchivedAt = storedPointer(c.ArchivedAt)
}

// nameKey is the form of a name that is sorted and searched by. Both databases
// fold only ASCII letters alike, so Go does it.
func nameKey(name string) string { return strings.ToLower(strings.TrimSpace(name)) }

// addPeopleAround adds the contacts and the care team of a stored client.
func (s *Store) addPeopleAround(c *Client) error {
	for i := range c.Contacts {
		c.Contacts[i].ID, c.Contacts[i].ClientID = newIfEmpty(c.Contacts[i].ID), c.ID
	}
	team := make([]CareTeamMember, len(c.CareTeam))
	for i, p := range c.CareTeam {
		team[i] = CareTeamMember{ClientID: c.ID, PersonID: p.ID}
	}
	if err := createAll(s.db, c.Contacts); err != nil {
		return err
	}
	return createAll(s.db, team)
}

// createAll inserts the rows; gorm refuses an empty list.
func createAll[T any](db *gorm.DB, rows []T) error {
	if len(rows) == 0 {
		return nil
	}
	return db.Create(&rows).Error
}

// ClientByID returns a client, archived or not, with contacts and care team,
// or ErrNotFound.
func (s *Store) ClientByID(ctx context.Context, id string) (Client, error) {
	return s.clientWhere(ctx, "client by id", "id = ?", id)
}

// ClientByCode returns the client with the code, archived or not, with
// contacts and care team, or ErrNotFound.
func (s *Store) ClientByCode(ctx context.Context, code string) (Client, error) {
	return s.clientWhere(ctx, "client by code", "code = ?", strings.TrimSpace(code))
}

func (s *Store) clientWhere(ctx context.Context, operation, condition, value string) (Client, error) {
	var c Client
	db := s.db.WithContext(ctx)
	if err := db.Where(condition, value).Take(&c).Error; err != nil {
		return c, fold(operation, err)
	}
	if err := db.Where("client_id = ?", c.ID).Order("id").Find(&c.Contacts).Error; err != nil {
		return c, fold(operation, err)
	}
	err := db.Where("id IN (SELECT person_id FROM care_team WHERE client_id = ?)", c.ID).
		Order("sign_in").Find(&c.CareTeam).Error
	return c, fold(operation, err)
}

// ArchiveClient takes the client, read at version, out of the lists; the
// record stays. It returns ErrStale when the client was changed meanwhile, and
// ErrInUse while a flag of level now is open that nobody has seen.
func (s *Store) ArchiveClient(ctx context.Context, id string, version int, why string) error {
	return fold("archive client", s.InTx(ctx, func(tx *Store) error {
		now := tx.clock()
		if err := tx.setArchive(ctx, id, version, &now, why); err != nil {
			return err
		}
		var unseen int64
		err := tx.db.WithContext(ctx).Model(&Flag{}).Where("client_id = ? AND closed_at IS NULL", id).Where(unseenNow).Count(&unseen).Error
		if err == nil && unseen > 0 {
			err = fmt.Errorf("a flag of level now that nobody has seen: %w", ErrInUse)
		}
		return err
	}))
}

// UnarchiveClient brings an archived client, read at version, back.
func (s *Store) UnarchiveClient(ctx context.Context, id string, version int) error {
	return fold("unarchive client", s.setArchive(ctx, id, version, nil, ""))
}

func (s *Store) setArchive(ctx context.Context, id string, version int, on *time.Time, why string) error {
	result := s.db.WithContext(ctx).Model(&Client{}).Where("id = ? AND version = ?", id, version).
		UpdateColumns(map[string]any{"archived_at": on, "archived_why": why, "version": version + 1})
	if result.Error != nil || result.RowsAffected == 1 {
		return result.Error
	}
	return s.missingOrStale(ctx, &Client{}, id)
}
