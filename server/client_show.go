package server

import (
	"slices"
	"time"

	"fairlead/analytics/assess"
	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/followup"
	"github.com/gin-gonic/gin"
)

// clientShowPage is a client's page: one limb at a time, in the order of the
// questions that a person asks.
type clientShowPage struct {
	Page
	Heading    Heading
	Finding    string // what stands out, as the heading of the page
	NotFlagged bool   // no flag is open, which is no assessment
	Meta       []string
	Due        string // due, overdue or empty
	DueOn      string
	MayCheckin bool
	MayKeep    bool
	Tabs       []limbTab
	LimbPath   string
	CoverPath  string
	Sheet      *limbSheet // nil for a client without a limb
}

// limbTab leads to one of several limbs.
type limbTab struct {
	Name, Link string
	Current    bool
	Open       int // open flags
}

// limbSheet is what the page says of one limb.
type limbSheet struct {
	Visited bool // some check-in saw the limb
	Answers []answerView
	Since   sinceChoice
	Open    openSection
	Where   whereSection
	Volume  volumeSection
	Map     mapSection
	Cover   coverSection
	Wear    wearSection
	Checks  checksSection
	History historySection
}

// sinceChoice chooses the visit that changes are counted from.
type sinceChoice struct {
	LimbID  string
	Value   string
	Options []Option
}

// sheetMaker turns what was worked out of a limb into a sheet for one reader.
// It only puts figures into words: everything in it was loaded before.
type sheetMaker struct {
	sayer
	client models.Client
	view   followup.LimbView
	flags  []models.Flag // of this limb, open ones first
	people map[string]string
	today  quantity.Date
	zone   *time.Location
}

func (s *server) showClient(c *gin.Context) error {
	client, err := s.client(c)
	if err != nil {
		return err
	}
	ctx := c.Request.Context()
	record, err := followup.Load(ctx, s.store, client.ID)
	if err != nil {
		return err
	}
	flags, err := s.store.FlagsOf(ctx, client.ID)
	if err != nil {
		return err
	}
	page := clientShowPage{
		MayCheckin: client.ArchivedAt == nil && allowed(logCheckin, signedIn(c)), MayKeep: allowed(keepRecord, signedIn(c)),
	}
	page.Heading = s.heading(c, client)
	page.Finding = s.text(c, "follow.no-limb")
	limb, ok := chosenLimb(record, c.Query("limb"))
	if c.Query("limb") != "" && !ok {
		return errNotFound
	}
	if ok {
		maker, err := s.sheetMaker(c, client, limb, flags)
		if err != nil {
			return err
		}
		sheet := maker.sheet()
		page.Sheet, page.Finding, page.NotFlagged = &sheet, maker.finding(), len(maker.open()) == 0 && maker.view.Last != nil
		page.Meta, page.LimbPath, page.CoverPath = maker.meta(), limbPath(limb.Limb), limbPath(limb.Limb)+"/covers/new"
		if limb.Cover != nil {
			page.CoverPath = limbPath(limb.Limb) + "/covers/" + limb.Cover.ID
		}
		page.Heading = s.heading(c, client, limb.Limb)
		page.Tabs = s.limbTabs(c, record, limb.Limb.ID, flags)
	}
	page.Due, page.DueOn = string(assess.DueState(client.NextCheckinOn, s.presentDate(c))), s.sayer(c).date(client.NextCheckinOn)
	page.Page = s.page(c, s.clientTitle(c, page.Finding, page.Heading), "clients")
	return s.show(c, "client", page)
}

// chosenLimb is the limb with an id, or the first of the record.
func chosenLimb(record followup.ClientRecord, id string) (followup.LimbRecord, bool) {
	if id != "" {
		return record.Limb(id)
	}
	if len(record.Limbs) == 0 {
		return followup.LimbRecord{}, false
	}
	return record.Limbs[0], true
}

func (s *server) limbTabs(c *gin.Context, record followup.ClientRecord, current string, flags []models.Flag) []limbTab {
	if len(record.Limbs) < 2 {
		return nil
	}
	var tabs []limbTab
	for _, l := range record.Limbs {
		tab := limbTab{
			Name: upperFirst(s.limbName(c, l.Limb)), Current: l.Limb.ID == current,
			Link: clientPath(record.Client) + "?limb=" + l.Limb.ID,
		}
		for _, f := range flags {
			if f.LimbID == l.Limb.ID && f.ClosedAt == nil {
				tab.Open++
			}
		}
		tabs = append(tabs, tab)
	}
	return tabs
}

func (s *server) sheetMaker(c *gin.Context, client models.Client, limb followup.LimbRecord, flags []models.Flag) (sheetMaker, error) {
	m := sheetMaker{sayer: s.sayer(c), client: client, today: s.presentDate(c), zone: s.zone(c), people: map[string]string{}}
	view, err := limb.View(followup.Reference(c.Query("since")))
	if err != nil {
		return m, err
	}
	m.view = view
	m.flags = slices.DeleteFunc(slices.Clone(flags), func(f models.Flag) bool { return f.LimbID != limb.Limb.ID })
	people, err := s.store.People(c.Request.Context())
	for _, p := range people {
		m.people[p.ID] = p.Name
	}
	return m, err
}

// sheet puts the whole limb into words.
func (m sheetMaker) sheet() limbSheet {
	return limbSheet{
		Visited: m.view.Last != nil,
		Answers: m.answers(),
		Since:   m.sinceChoice(),
		Open:    m.openSection(),
		Where:   m.where(),
		Volume:  m.volume(),
		Map:     m.changeMap(),
		Cover:   m.cover(),
		Wear:    m.wear(),
		Checks:  m.checks(),
		History: m.history(),
	}
}

// finding is the heading of the page: the most urgent that is open, or that
// nothing is. It doesn't join limb and cover.
func (m sheetMaker) finding() string {
	if m.view.Last == nil {
		return m.text("follow.head.no-visit")
	}
	open := m.open()
	if len(open) == 0 {
		return m.text("follow.head.none")
	}
	level, count, about := open[0].Level, 0, open[0].About
	for _, f := range open {
		if f.Level != level {
			continue
		}
		count++
		if f.About != about {
			about = "mixed"
		}
	}
	if level == string(assess.Now) {
		return m.text("follow.head.now", "Count", count, "Number", upperFirst(m.count(count)))
	}
	return m.text("follow.head."+level+"-"+about, "Count", count, "Number", upperFirst(m.count(count)))
}

// open are the limb's open flags, the most urgent first.
func (m sheetMaker) open() []models.Flag {
	return slices.DeleteFunc(slices.Clone(m.flags), func(f models.Flag) bool { return f.ClosedAt != nil })
}

// meta says whose limb it is in a line.
func (m sheetMaker) meta() []string {
	limb, record := m.view.Record.Limb, m.view.Record
	var said []string
	switch {
	case limb.Origin == models.PresentAtBirth:
		said = append(said, m.word("origin", string(models.PresentAtBirth)))
	case limb.AmputatedOn != "":
		said = append(said, m.text("follow.amputated", "On", m.date(limb.AmputatedOn)))
	}
	if record.Cover != nil && record.Cover.DeliveredOn != "" {
		said = append(said, m.text("follow.cover-delivered", "On", m.date(record.Cover.DeliveredOn)))
	}
	if record.Prosthesis != nil && record.Prosthesis.NoSocket {
		said = append(said, m.text("follow.bone-anchored"))
	}
	if m.client.StillGrowing {
		said = append(said, m.text("follow.still-growing"))
	}
	if m.client.ReducedFeeling {
		said = append(said, m.text("follow.reduced-feeling"))
	}
	return said
}

// since says what changes are counted from: "since this cover was delivered".
func (m sheetMaker) since() string { return m.text("follow.since", "When", m.sinceWhen(m.view.Since)) }

func (m sheetMaker) sinceWhen(r followup.Reference) string {
	if slices.Contains(followup.References, r) {
		return m.word("reference", string(r))
	}
	if m.view.Reference != nil {
		return m.date(m.view.Reference.Assessed.On)
	}
	return m.word("reference", string(followup.SinceFirst))
}

func (m sheetMaker) sinceChoice() sinceChoice {
	choice := sinceChoice{LimbID: m.view.Record.Limb.ID, Value: string(m.view.Since)}
	for _, r := range m.view.Offered {
		choice.Options = append(choice.Options, Option{Value: string(r), Label: m.sinceWhen(r)})
	}
	for i := len(m.view.Visits) - 1; i >= 0; i-- {
		if at := m.view.Visits[i]; at.Volume != nil {
			choice.Options = append(choice.Options, Option{Value: at.Checkin.ID, Label: m.date(at.Assessed.On)})
		}
	}
	return choice
}
