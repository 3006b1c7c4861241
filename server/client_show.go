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
	Absent     string // that the prosthetists are away, and who stands in
	Due        string // due, overdue or empty
	DueOn      string
	MayCheckin bool
	MayKeep    bool
	Archived   string // how many flags were open when the client was archived, or empty
	Tabs       []limbTab
	LimbPath   string
	ReviewPath string             // where the limb is reviewed, for those who may
	Standing   []standingDecision // what the client is held back from, of all limbs
	CoverPath  string
	Sheet      *limbSheet // nil for a client without a limb
	Reports    reportsSection
	Handovers  handoversSection
}

// limbTab leads to one of several limbs.
type limbTab struct {
	Name, Link string
	Current    bool
	Open       int    // open flags
	OpenSaid   string // how many, in words
	Mark       string // of the most urgent of them
}

// limbSheet is what the page says of one limb.
type limbSheet struct {
	Visited  bool     // some check-in saw the limb
	Standing []string // what the newest check-in finds while no flag is open
	Answers  []answerView
	Since    sinceChoice
	Open     openSection
	Where    whereSection
	Volume   volumeSection
	Map      mapSection
	Cover    coverSection
	Wear     wearSection
	Checks   checksSection
	Decided  decidedSection
	History  historySection
}

// sheetMaker turns what was worked out of a limb into a sheet for one reader.
// It only puts figures into words: everything in it was loaded before.
type sheetMaker struct {
	sayer
	client   models.Client
	view     followup.LimbView
	flags    []models.Flag             // of this limb, open ones first
	bases    map[string]followup.Basis // of the open ones, by flag
	held     string                    // what a decision holds the client back from, as a heading
	standing []assess.Finding          // of the newest check-in, whatever became of their flags
	reviews  []models.Review           // of this limb, the newest first
	letters  []models.Answer           // about this limb, with decisions or limits
	team     []models.CareTeamChange   // of the client, the newest first
	people   map[string]string
	around   models.FlagsAround // what the flags refer to
	today    quantity.Date
	zone     *time.Location
	onPaper  bool                            // what is drawn is made for a letter
	lost     func(drawing string, err error) // tells of a drawing that could not be made
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
	if open := openFlags(flags); client.ArchivedAt != nil && len(open) > 0 {
		page.Archived = s.text(c, "follow.archived-flags", "Count", len(open), "Number", upperFirst(s.sayer(c).count(len(open))))
	}
	if page.Standing, err = s.standing(c, record); err != nil {
		return err
	}
	limb, ok := chosenLimb(record, c.Query("limb"), flags)
	if c.Query("limb") != "" && !ok {
		return errNotFound
	}
	if ok {
		maker, err := s.sheetMaker(c, client, limb, flags)
		if err != nil {
			return err
		}
		if maker.reviews, maker.letters, page.ReviewPath, err = s.reviewsOf(c, client, limb); err != nil {
			return err
		}
		maker.held = heldFrom(page.Standing, limb.Limb.ID)
		maker.bases = record.Bases(limb, maker.flags, maker.standing)
		sheet := maker.sheet()
		page.Sheet, page.Finding, page.NotFlagged = &sheet, maker.finding(), len(maker.open()) == 0 && sheet.Visited
		page.Meta, page.LimbPath, page.CoverPath = maker.meta(), limbPath(limb.Limb), limbPath(limb.Limb)+"/covers/new"
		if limb.Cover != nil {
			page.CoverPath = limbPath(limb.Limb) + "/covers/" + limb.Cover.ID
		}
		page.Heading = s.heading(c, client, limb.Limb)
		if page.Handovers, err = s.handoversSection(c, client, limb.Limb, flags); err != nil {
			return err
		}
		page.Tabs = s.limbTabs(c, record, limb.Limb.ID, flags)
	}
	if page.Reports, err = s.reportsSection(c, client, limbsOf(record)); err != nil {
		return err
	}
	if page.Absent, err = s.absent(c, client); err != nil {
		return err
	}
	page.Due, page.DueOn = string(assess.DueState(client.NextCheckinOn, s.presentDate(c))), s.sayer(c).date(client.NextCheckinOn)
	page.Page = s.page(c, s.clientTitle(c, page.Finding, page.Heading), "clients")
	return s.show(c, "client", page)
}

// limbsOf are the limbs of a record alone.
func limbsOf(record followup.ClientRecord) []models.Limb {
	limbs := make([]models.Limb, len(record.Limbs))
	for i, l := range record.Limbs {
		limbs[i] = l.Limb
	}
	return limbs
}

// chosenLimb is the limb with an id. Without one it is that of the most urgent
// open flag, which stands first among flags, or the first of the record.
func chosenLimb(record followup.ClientRecord, id string, flags []models.Flag) (followup.LimbRecord, bool) {
	if id != "" {
		return record.Limb(id)
	}
	if len(flags) > 0 && flags[0].ClosedAt == nil {
		if limb, ok := record.Limb(flags[0].LimbID); ok {
			return limb, true
		}
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
			if f.LimbID != l.Limb.ID || f.ClosedAt != nil {
				continue
			}
			if tab.Open++; tab.Mark == "" {
				tab.Mark = f.Level
			}
		}
		tab.OpenSaid = s.sayer(c).count(tab.Open)
		tabs = append(tabs, tab)
	}
	return tabs
}

func (s *server) sheetMaker(c *gin.Context, client models.Client, limb followup.LimbRecord, flags []models.Flag) (sheetMaker, error) {
	m := sheetMaker{sayer: s.sayer(c), client: client, today: s.presentDate(c), zone: s.zone(c), people: map[string]string{}}
	m.lost = func(drawing string, err error) {
		s.log.Error("drawing", "request", requestID(c), "limb", limb.Limb.ID, "drawing", drawing, "error", err)
	}
	var err error
	if m.view, err = limb.View(followup.Reference(c.Query("since"))); err != nil {
		return m, err
	}
	if m.standing, err = limb.Assess(); err != nil {
		return m, err
	}
	m.flags = slices.DeleteFunc(slices.Clone(flags), func(f models.Flag) bool { return f.LimbID != limb.Limb.ID })
	if m.around, err = s.store.AroundFlags(c.Request.Context(), m.flags); err != nil {
		return m, err
	}
	if m.team, err = s.store.CareTeamChangesOf(c.Request.Context(), client.ID); err != nil {
		return m, err
	}
	people, err := s.store.People(c.Request.Context())
	for _, p := range people {
		m.people[p.ID] = p.ShownName()
	}
	return m, err
}

// sheet puts the whole limb into words.
func (m sheetMaker) sheet() limbSheet {
	return limbSheet{
		Visited:  m.view.Last != nil,
		Standing: m.standingLines(),
		Answers:  m.answers(),
		Since:    m.sinceChoice(),
		Open:     m.openSection(),
		Where:    m.where(),
		Volume:   m.volume(),
		Map:      m.changeMap(),
		Cover:    m.cover(),
		Wear:     m.wear(),
		Checks:   m.checks(),
		Decided:  m.decided(),
		History:  m.history(),
	}
}
