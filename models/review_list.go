package models

import (
	"context"
	"fmt"
	"strconv"

	"fairlead/analytics/quantity"
	"gorm.io/gorm"
)

// ReviewNeed is why a limb waits for its prosthetist; the smaller, the sooner.
type ReviewNeed int

// The needs, the most urgent first.
const (
	UnseenNow   ReviewNeed = iota // an open flag of level now that nobody has seen
	OpenNow                       // one that somebody has seen
	OpenSoon                      // the most urgent open flag is soon
	LetterToSee                   // a letter that somebody recorded closed or decided something, and nobody has signed since
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
	// Letters closed, limited or decided something that the reader has yet to look
	// at, the oldest first.
	Letters []Answer
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

// reviewPlaces ranks the limbs of a person's clients who are not archived. Flags
// about limb, socket and skin count; what is about cover or data is the
// fitter's. A limb without a cone has no limits of volume to confirm. Each limb
// is looked up by itself and once, so that neither the engine nor the statistics
// it has of its tables make it slow.
const reviewPlaces = `WITH ranked AS MATERIALIZED (SELECT limbs.id, limbs.client_id, clients.name_key,
		(SELECT MIN(CASE WHEN level = 'now' AND seen_at IS NULL THEN '0 ' WHEN level = 'now' THEN '1 ' WHEN level = 'soon' THEN '2 '
			ELSE '4 ' END || SUBSTR(CAST(opened_at AS TEXT), 1, 19))
			FROM flags WHERE flags.limb_id = limbs.id AND closed_at IS NULL AND about IN ('limb', 'skin')) AS urgent,
		(SELECT look_again_on FROM reviews WHERE reviews.limb_id = limbs.id ORDER BY number DESC LIMIT 1) AS look_again_on,
		(SELECT SUBSTR(CAST(MIN(answers.recorded_at) AS TEXT), 1, 19) FROM answers
			WHERE answers.client_id = limbs.client_id AND answers.limb_id = limbs.id AND ` + letterToSee + `) AS letter,
		limbs.level NOT IN @without_cone AND NOT EXISTS (SELECT 1 FROM limb_limits WHERE limb_limits.limb_id = limbs.id) AS unset
		FROM limbs JOIN clients ON clients.id = limbs.client_id AND clients.archived_at IS NULL
		WHERE clients.deputy_id = @person OR EXISTS (SELECT 1 FROM care_team WHERE care_team.client_id = clients.id AND person_id = @person))
	SELECT id, client_id, name_key,
	CASE WHEN urgent < '3' THEN CAST(SUBSTR(urgent, 1, 1) AS INTEGER) WHEN letter IS NOT NULL THEN 3
		WHEN look_again_on <> '' AND look_again_on <= @today THEN 4 WHEN urgent IS NOT NULL THEN 5 ELSE 6 END AS need,
	CASE WHEN urgent < '3' THEN SUBSTR(urgent, 3) WHEN letter IS NOT NULL THEN letter WHEN look_again_on <> '' AND look_again_on <= @today THEN look_again_on
		WHEN urgent IS NOT NULL THEN SUBSTR(urgent, 3) ELSE '' END AS since
	FROM ranked WHERE urgent IS NOT NULL OR letter IS NOT NULL OR look_again_on <> '' AND look_again_on <= @today OR unset`

// reviewPlacesOf are those of a person on a day.
func (s *Store) reviewPlacesOf(ctx context.Context, personID string, today quantity.Date) *gorm.DB {
	places := s.db.Raw(reviewPlaces, map[string]any{"person": personID, "today": today, "without_cone": levelsWithoutCone()})
	return s.db.WithContext(ctx).Table("(?) AS places", places)
}

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
	db := s.reviewPlacesOf(ctx, f.For, f.Today)
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
	rows, err := s.reviewRows(ctx, f.For, places)
	return rows, next, fold("review list", err)
}

// CountReviews counts the limbs that wait for a prosthetist, by need.
func (s *Store) CountReviews(ctx context.Context, personID string, today quantity.Date) (map[ReviewNeed]int, error) {
	var groups []struct {
		Need ReviewNeed
		N    int
	}
	err := s.reviewPlacesOf(ctx, personID, today).Select("need, COUNT(*) AS n").Group("need").Find(&groups).Error
	counts := make(map[ReviewNeed]int, len(groups))
	for _, g := range groups {
		counts[g.Need] = g.N
	}
	return counts, fold("count reviews", err)
}

// reviewRows loads what the page shows, in the order of places.
func (s *Store) reviewRows(ctx context.Context, personID string, places []reviewPlace) ([]ReviewRow, error) {
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
	letters, err := s.LettersToSee(ctx, personID, ids)
	if err != nil {
		return nil, err
	}
	for _, a := range letters {
		row[a.LimbID].Letters = append(row[a.LimbID].Letters, a)
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
