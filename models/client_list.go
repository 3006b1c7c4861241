package models

import (
	"context"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"strconv"
	"strings"

	"gorm.io/gorm"
)

// The sizes of a page of a list.
const (
	usualPage  = 50
	longestAsk = 1000
)

// ClientFilter says which clients a list holds, and which page of it.
type ClientFilter struct {
	Query           string  // a part of the name or code, in any case, or a report's whole reference number; empty for all
	CareTeamOf      *string // only clients with this person on their care team
	IncludeArchived bool
	AfterKey        string // the key that came with the page before; empty for the first page
	Limit           int    // at most so many, 50 for 0, never more than 1000
}

// Clients returns a page of clients by name, without contacts and care team,
// and the key of the next page, which is empty on the last one. A key that did
// not come from here gives ErrInvalid.
func (s *Store) Clients(ctx context.Context, f ClientFilter) ([]Client, string, error) {
	db := s.db.WithContext(ctx)
	if !f.IncludeArchived {
		db = db.Where("archived_at IS NULL")
	}
	db = onCareTeam(db, "id", f.CareTeamOf)
	if f.Query != "" {
		part := "%" + likeEscaper.Replace(nameKey(f.Query)) + "%"
		db = db.Where(`(name_key LIKE ? ESCAPE '\' OR LOWER(code) LIKE ? ESCAPE '\'
			OR id IN (SELECT client_id FROM reports WHERE number = ?))`, part, part, reportNumber(f.Query))
	}
	if f.AfterKey != "" {
		after, err := decodeKey(f.AfterKey, 1)
		if err != nil {
			return nil, "", err
		}
		name, err := s.nameKeyOf(ctx, after[0])
		if err != nil {
			return nil, "", err
		}
		db = db.Where("(name_key, id) > (?, ?)", name, after[0])
	}
	limit := pageSize(f.Limit)
	var clients []Client
	if err := db.Order("name_key, id").Limit(limit + 1).Find(&clients).Error; err != nil {
		return nil, "", fold("clients", err)
	}
	if len(clients) <= limit {
		return clients, "", nil
	}
	clients = clients[:limit]
	last := clients[limit-1]
	return clients, encodeKey(last.ID), nil
}

// reportNumber writes a reference number as it is stored, however it was typed:
// with or without the dash, in any case. I and L are read as 1 and O as 0, as
// Crockford's alphabet wants.
func reportNumber(typed string) string {
	bare := strings.NewReplacer("-", "", "–", "", " ", "", "I", "1", "L", "1", "O", "0").Replace(strings.ToUpper(strings.TrimSpace(typed)))
	if len(bare) != 8 {
		return ""
	}
	return bare[:4] + "-" + bare[4:]
}

// NextClientCode proposes a code for a new client: K- and the number after the
// highest in use, with three digits or more.
func (s *Store) NextClientCode(ctx context.Context) (string, error) {
	var codes []string
	err := s.db.WithContext(ctx).Model(&Client{}).Where("code LIKE ?", "K-%").Pluck("code", &codes).Error
	if err != nil {
		return "", fold("next client code", err)
	}
	highest := 0
	for _, code := range codes {
		if n, err := strconv.Atoi(strings.TrimPrefix(code, "K-")); err == nil {
			highest = max(highest, n)
		}
	}
	return fmt.Sprintf("K-%03d", highest+1), nil
}

// likeEscaper takes the meaning from the wildcards of LIKE.
var likeEscaper = strings.NewReplacer(`\`, `\\`, `%`, `\%`, `_`, `\_`)

// onCareTeam keeps the rows whose client has the person, if one is named, on
// the care team; column holds the client's id.
func onCareTeam(db *gorm.DB, column string, personID *string) *gorm.DB {
	if personID == nil {
		return db
	}
	return db.Where(column+" IN (SELECT client_id FROM care_team WHERE person_id = ?"+
		" UNION SELECT id FROM clients WHERE deputy_id = ?)", *personID, *personID)
}

// pageSize bounds how many rows a caller may ask for.
func pageSize(limit int) int {
	if limit <= 0 {
		return usualPage
	}
	return min(limit, longestAsk)
}

// nameKeyOf looks up the place of a client in the order of names, so that a key,
// which may stand in an address, holds no name.
func (s *Store) nameKeyOf(ctx context.Context, clientID string) (string, error) {
	var names []string
	err := s.db.WithContext(ctx).Model(&Client{}).Where("id = ?", clientID).Pluck("name_key", &names).Error
	if err == nil && len(names) == 0 {
		err = fmt.Errorf("page key after an unknown client: %w", ErrInvalid)
	}
	if err != nil {
		return "", fold("name key of client", err)
	}
	return names[0], nil
}

// encodeKey makes the key of the page after a row from the row's place in the
// order.
func encodeKey(place ...string) string {
	text, err := json.Marshal(place)
	if err != nil {
		panic(err) // strings always marshal
	}
	return base64.RawURLEncoding.EncodeToString(text)
}

// decodeKey is the reverse of encodeKey for a place of n parts.
func decodeKey(key string, n int) ([]string, error) {
	var place []string
	text, err := base64.RawURLEncoding.DecodeString(key)
	if err == nil {
		err = json.Unmarshal(text, &place)
	}
	if err != nil || len(place) != n {
		return nil, fmt.Errorf("page key %q: %w", key, ErrInvalid)
	}
	return place, nil
}
