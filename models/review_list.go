package models

import (
	"context"
	"fmt"
	"strconv"

	"fairlead/analytics/quantity"
)

// ReviewNeed is why a limb waits for its prosthetist; the smaller, the sooner.
type ReviewNeed int

// The needs, the most urgent first.
const (
	UnseenNow   ReviewNeed = iota // an open flag of level now that nobody has seen
	OpenNow                       // one that somebody has seen
	OpenSoon                      // the most urgent open flag is soon
	LookAgain                     // the day has come on which the last review wanted to look again
	OpenWatch                     // the most urgent open flag is watch
	LimitsUnset                   // nobody has set or confirmed the limits yet
)

// ReviewRow is one limb that waits for its prosthetist.
type ReviewRow struct {
	Need   ReviewNeed
	Client Client // with care team, without contacts
	Limb   Limb
	Flags  []Flag  // the open ones of the limb, most urgent first, without evidence
	Last   *Review // the last that was signed; nil when there is none
}

// ReviewFilter says whose list of reviews it is, and which page of it.
type ReviewFilter struct {
	For      string        // person id: on the care team or deputy
	Today    quantity.Date // at the workshop
	AfterKey string        // the key that came with the page before; empty for the first page
	Limit    int           // at most so many, 50 for 0, never more than 1000
}

// reviewPlace is a limb's place in the list of reviews.
type reviewPlace struct {
	ID   string
	Need ReviewNeed
	// Since sorts limbs of one need: the second in which the flag was opened, or
	// the day to look again on.
	Since string
}

// reviewPlaces ranks the limbs of clients who are not archived. Flags about
// limb, socket and skin count; what is about cover or data is the fitter's. A
// limb without a cone has no limits of volume to confirm. The arguments are
// today's date and the levels without a cone.
const reviewPlaces = `SELECT id, client_id, name_key, need,
	CASE WHEN need IN (0, 1, 2, 4) THEN opened WHEN need = 3 THEN look_again_on ELSE '' END AS since
	FROM (SELECT limbs.id, limbs.client_id, clients.name_key, f.opened, r.look_again_on,
		CASE WHEN f.need <= 2 THEN f.need WHEN r.look_again_on <> '' AND r.look_again_on <= ? THEN 3 WHEN f.need = 4 THEN 4
		WHEN limbs.level NOT IN ? AND NOT EXISTS (SELECT 1 FROM limb_limits WHERE limb_limits.limb_id = limbs.id) THEN 5 ELSE 6 END AS need
		FROM limbs JOIN clients ON clients.id = limbs.client_id AND clients.archived_at IS NULL
		LEFT JOIN (SELECT limb_id, need, SUBSTR(CAST(opened_at AS TEXT), 1, 19) AS opened,
			ROW_NUMBER() OVER (PARTITION BY limb_id ORDER BY need, opened_at, id) AS place
			FROM (SELECT id, limb_id, opened_at, CASE WHEN level = 'now' AND seen_at IS NULL THEN 0 WHEN level = 'now' THEN 1
				WHEN level = 'soon' THEN 2 ELSE 4 END AS need
				FROM flags WHERE closed_at IS NULL AND about IN ('limb', 'skin')) AS open_flags) AS f
			ON f.limb_id = limbs.id AND f.place = 1
		LEFT JOIN reviews AS r ON r.limb_id = limbs.id
			AND r.number = (SELECT MAX(number) FROM reviews WHERE reviews.limb_id = limbs.id)) AS ranked
	WHERE need < 6`

// levelsWithoutCone are those that have no limits of volume.
func levelsWithoutCone() []quantity.AmputationLevel {
	var levels []quantity.AmputationLevel
	for _, l := range quantity.AmputationLevels {
		if !l.HasCone() {
			levels = append(levels, l)
		}
	}
	return levels
}

// ReviewList returns a page of the limbs that wait for a prosthetist, in the
// order of need: within one need those that have waited longest, then by name.
// With it comes the key of the next page, which is empty on the last one. The
// number of statements does not depend on the number of limbs. A key that did
// not come from here gives ErrInvalid.
func (s *Store) ReviewList(ctx context.Context, f ReviewFilter) ([]ReviewRow, string, error) {
	db := s.db.WithContext(ctx).Table("("+reviewPlaces+") AS places", f.Today, levelsWithoutCone())
	db = onCareTeam(db, "client_id", &f.For)
	if f.AfterKey != "" {
		after, err := decodeKey(f.AfterKey, 3)
		if err != nil {
			return nil, "", err
		}
		need, err := strconv.Atoi(after[0])
		if err != nil {
			return nil, "", fmt.Errorf("page key %q: %w", f.AfterKey, ErrInvalid)
		}
		limb, err := s.LimbByID(ctx, after[2])
		if err != nil {
			return nil, "", fmt.Errorf("page key after an unknown limb: %w", ErrInvalid)
		}
		name, err := s.nameKeyOf(ctx, limb.ClientID)
		if err != nil {
			return nil, "", err
		}
		db = db.Where("(need, since, name_key, id) > (?, ?, ?, ?)", need, after[1], name, after[2])
	}
	limit := pageSize(f.Limit)
	var places []reviewPlace
	if err := db.Order("need, since, name_key, id").Limit(limit + 1).Find(&places).Error; err != nil {
		return nil, "", fold("review list", err)
	}
	next := ""
	if len(places) > limit {
		places = places[:limit]
		last := places[limit-1]
		next = encodeKey(strconv.Itoa(int(last.Need)), last.Since, last.ID)
	}
	rows, err := s.reviewRows(ctx, places)
	return rows, next, fold("review list", err)
}

// CountReviews counts the limbs that wait for a prosthetist, by need.
func (s *Store) CountReviews(ctx context.Context, personID string, today quantity.Date) (map[ReviewNeed]int, error) {
	var groups []struct {
		Need ReviewNeed
		N    int
	}
	err := onCareTeam(s.db.WithContext(ctx).Table("("+reviewPlaces+") AS places", today, levelsWithoutCone()), "client_id", &personID).
		Select("need, COUNT(*) AS n").Group("need").Find(&groups).Error
	counts := make(map[ReviewNeed]int, len(groups))
	for _, g := range groups {
		counts[g.Need] = g.N
	}
	return counts, fold("count reviews", err)
}

// reviewRows loads what the page shows, in the order of places.
func (s *Store) reviewRows(ctx context.Context, places []reviewPlace) ([]ReviewRow, error) {
	rows := make([]ReviewRow, len(places))
	row := make(map[string]*ReviewRow, len(places))
	ids := make([]string, len(places))
	for i, p := range places {
		rows[i].Need, row[p.ID], ids[i] = p.Need, &rows[i], p.ID
	}
	limbs, err := loadIn[Limb](ctx, s, "id", ids, "id")
	if err != nil {
		return nil, err
	}
	ofClient := map[string][]*ReviewRow{}
	var clientIDs []string
	for _, l := range limbs {
		row[l.ID].Limb = l
		if ofClient[l.ClientID] == nil {
			clientIDs = append(clientIDs, l.ClientID)
		}
		ofClient[l.ClientID] = append(ofClient[l.ClientID], row[l.ID])
	}
	clients, err := s.withCareTeams(ctx, clientIDs)
	if err != nil {
		return nil, err
	}
	for _, c := range clients {
		for _, r := range ofClient[c.ID] {
			r.Client = c
		}
	}
	flags, err := loadIn[Flag](ctx, s, "closed_at IS NULL AND limb_id", ids, urgency+", opened_at, id")
	if err != nil {
		return nil, err
	}
	for _, f := range flags {
		row[f.LimbID].Flags = append(row[f.LimbID].Flags, f)
	}
	last, err := s.LastReviews(ctx, ids)
	for id, r := range last {
		row[id].Last = &r
	}
	return rows, err
}

// withCareTeams returns clients with their care teams, without contacts.
func (s *Store) withCareTeams(ctx context.Context, ids []string) ([]Client, error) {
	clients, err := loadIn[Client](ctx, s, "id", ids, "id")
	if err != nil {
		return nil, err
	}
	members, err := loadIn[CareTeamMember](ctx, s, "client_id", ids, "client_id, person_id")
	if err != nil {
		return nil, err
	}
	everyone, err := s.People(ctx)
	if err != nil {
		return nil, err
	}
	people := make(map[string]Person, len(everyone))
	for _, p := range everyone {
		people[p.ID] = p
	}
	teams := byKey(members, func(m CareTeamMember) string { return m.ClientID })
	for i := range clients {
		for _, m := range teams[clients[i].ID] {
			clients[i].CareTeam = append(clients[i].CareTeam, people[m.PersonID])
		}
	}
	return clients, nil
}
