package models

import (
	"context"
	"fmt"
	"strconv"

	"fairlead/analytics/quantity"
	"gorm.io/gorm/clause"
)

// TodayRow is what the list of the day shows of one client.
type TodayRow struct {
	Client Client // without contacts
	Limbs  []Limb
	Flags  []Flag        // the open ones, what is needed most first, without evidence
	Unsent []ReportDraft // with a safety answer that was not sent in UnsentAfter, the oldest first
	Level  string        // how urgent that is: now, soon, watch; empty without an open flag
	Latest *Checkin      // the newest check-in without what it holds; nil when there is none
}

// TodayFilter says whose list of the day it is, and which page of it.
type TodayFilter struct {
	On         quantity.Date // the day itself, by which it is time to ask again
	CareTeamOf *string       // only clients with this person on their care team
	NeedBy     quantity.Date // with a date, only clients with an open flag, held back or due by it
	HeldBack   []string      // ids of clients whom a decision holds back; they need somebody soon, flag or not
	AfterKey   string        // the key that came with the page before; empty for the first page
	Limit      int           // at most so many, 50 for 0, never more than 1000
}

// todayPlace is a client's place in the list of the day.
type todayPlace struct {
	ID      string
	Need    int    // the least need of the open flags, needNothing without one
	Due     string // the next date, far ahead when there is none
	NameKey string
}

// needNothing is the need of a client without an open flag; todayNeed has those of
// the others, and todayLevels says how urgent each is.
const needNothing = 4

var todayLevels = [...]string{"now", "now", "soon", "watch", ""}

// todayNeed ranks open flags in SQL, the most urgent lowest: now and seen by
// nobody, now, soon, watch. One whose answer is awaited is for watching until the
// day on which to ask again, which is its first argument, and soon from then on, or
// from evidence of level soon on that came after the handover.
const todayNeed = `CASE WHEN level = 'now' AND seen_at IS NULL THEN 0 WHEN level = 'now' THEN 1
	WHEN ask_again_on <> '' AND ask_again_on <= ? THEN 2 WHEN ask_again_on = '' AND level = 'soon' THEN 2
	WHEN level = 'soon' AND EXISTS (SELECT 1 FROM flag_evidence AS e JOIN handovers AS h ON h.id = flags.handover_id
	WHERE e.flag_id = flags.id AND e.level = 'soon' AND e.added_at > h.recorded_at) THEN 2 ELSE 3 END`

// todayPlaces ranks the clients who are not archived. Its arguments are the time until
// which a safety answer was given that should have been sent by now, the ids of those
// whom a decision holds back, and the day.
const todayPlaces = `SELECT clients.id, clients.name_key,
	CASE WHEN clients.id IN (` + unsentClients + `) THEN 0 WHEN COALESCE(f.need, 4) > 2 AND clients.id IN ? THEN 2 ELSE COALESCE(f.need, 4) END AS need,
	CASE WHEN clients.next_checkin_on = '' THEN '9999-12-31' ELSE clients.next_checkin_on END AS due
	FROM clients LEFT JOIN (SELECT client_id, MIN(` + todayNeed + `) AS need FROM flags WHERE closed_at IS NULL
	GROUP BY client_id) AS f ON f.client_id = clients.id WHERE clients.archived_at IS NULL`

// Today returns a page of the clients who are not archived, in the order of
// need: by the most urgent open flag or a decision that holds them back, those that nobody has seen first, then by the
// next date, overdue first, then by name. With it comes the key of the next page, which is empty on the
// last one. The number of statements does not depend on the number of clients.
// A key that did not come from here gives ErrInvalid.
func (s *Store) Today(ctx context.Context, f TodayFilter) ([]TodayRow, string, error) {
	db := onCareTeam(s.db.WithContext(ctx).Table("("+todayPlaces+") AS places", s.clock().Add(-UnsentAfter), f.HeldBack, f.On), "id", f.CareTeamOf)
	if f.NeedBy != "" {
		db = db.Where("(need < ? OR due <= ?)", needNothing, f.NeedBy)
	}
	if f.AfterKey != "" {
		after, err := decodeKey(f.AfterKey, 3)
		if err != nil {
			return nil, "", err
		}
		need, err := strconv.Atoi(after[0])
		if err != nil {
			return nil, "", fmt.Errorf("page key %q: %w", f.AfterKey, ErrInvalid)
		}
		name, err := s.nameKeyOf(ctx, after[2])
		if err != nil {
			return nil, "", err
		}
		db = db.Where("(need, due, name_key, id) > (?, ?, ?, ?)", need, after[1], name, after[2])
	}
	limit := pageSize(f.Limit)
	var places []todayPlace
	if err := db.Order("need, due, name_key, id").Limit(limit + 1).Find(&places).Error; err != nil {
		return nil, "", fold("today", err)
	}
	next := ""
	if len(places) > limit {
		places = places[:limit]
		last := places[limit-1]
		next = encodeKey(strconv.Itoa(last.Need), last.Due, last.ID)
	}
	rows, err := s.todayRows(ctx, places, f.On)
	return rows, next, fold("today", err)
}

// todayRows loads what the page shows, in the order of places.
func (s *Store) todayRows(ctx context.Context, places []todayPlace, on quantity.Date) ([]TodayRow, error) {
	rows := make([]TodayRow, len(places))
	row := make(map[string]*TodayRow, len(places))
	ids := make([]string, len(places))
	for i, p := range places {
		row[p.ID], ids[i] = &rows[i], p.ID
		rows[i].Level = todayLevels[p.Need]
	}
	clients, err := loadIn[Client](ctx, s, "id", ids, "id")
	if err == nil {
		err = s.loadCareTeams(ctx, clients)
	}
	if err != nil {
		return nil, err
	}
	for _, c := range clients {
		row[c.ID].Client = c
	}
	limbs, err := loadIn[Limb](ctx, s, "client_id", ids, "id")
	if err != nil {
		return nil, err
	}
	for _, l := range limbs {
		row[l.ClientID].Limbs = append(row[l.ClientID].Limbs, l)
	}
	var flags []Flag
	err = s.db.WithContext(ctx).Where("client_id IN ? AND closed_at IS NULL", ids).
		Order(clause.OrderBy{Expression: clause.Expr{SQL: todayNeed + ", opened_at, id", Vars: []any{on}}}).Find(&flags).Error
	if err != nil {
		return nil, err
	}
	for _, f := range flags {
		row[f.ClientID].Flags = append(row[f.ClientID].Flags, f)
	}
	unsent, err := s.unsentOf(ctx, ids)
	if err != nil {
		return nil, err
	}
	for id, drafts := range unsent {
		row[id].Unsent = drafts
	}
	latest, err := s.latestCheckins(ctx, ids)
	for i := range latest {
		row[latest[i].ClientID].Latest = &latest[i]
	}
	return rows, err
}

// latestCheckins returns the newest current check-in of each client that has
// one, without what it holds.
func (s *Store) latestCheckins(ctx context.Context, clientIDs []string) ([]Checkin, error) {
	ranked := s.db.WithContext(ctx).Model(&Checkin{}).
		Select("id, ROW_NUMBER() OVER (PARTITION BY client_id ORDER BY measured_at DESC, id DESC) AS place").
		Where("client_id IN ? AND superseded_at IS NULL", clientIDs)
	var latest []Checkin
	err := s.db.WithContext(ctx).
		Where("id IN (SELECT id FROM (?) AS ranked WHERE place = 1)", ranked).Find(&latest).Error
	return latest, err
}

// loadCareTeams fills in the care team of each client.
func (s *Store) loadCareTeams(ctx context.Context, clients []Client) error {
	place := make(map[string]*Client, len(clients))
	ids := make([]string, len(clients))
	for i := range clients {
		place[clients[i].ID], ids[i] = &clients[i], clients[i].ID
	}
	members, err := loadIn[CareTeamMember](ctx, s, "client_id", ids, "client_id, person_id")
	if err != nil {
		return err
	}
	wanted := idSet{}
	for _, m := range members {
		wanted.add(&m.PersonID)
	}
	people, err := recordsByID(ctx, s, wanted, func(p Person) string { return p.ID })
	for _, m := range members {
		place[m.ClientID].CareTeam = append(place[m.ClientID].CareTeam, people[m.PersonID])
	}
	return err
}
