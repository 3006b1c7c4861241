package server

import (
	"slices"
	"strings"

	"fairlead/models"
	"fairlead/server/followup"
	"github.com/gin-gonic/gin"
)

// letterPage is the letter of a handover: all that a prosthetist who does not sign
// in needs to decide, and room for the answer. It is made for paper.
type letterPage struct {
	Page
	Heading  Heading
	Phone    string   // of the workshop, or empty
	Address  []string // of the workshop, line by line; none when nobody has said it
	On       string   // the day on which it is printed
	Day      string   // of the handover
	To       string
	Meta     []string
	Back     string // the address of the handover
	Unit     string
	Flags    []letterFlag
	Standing []standingDecision // what the client is held back from
	Visited  bool
	Answers  []answerView
	Limits   []letterFigure // those in force, each with who set it
	Visits   letterVisits
	Where    whereSection
	Volume   volumeSection
	Cover    coverSection
	Wear     wearSection
	Checks   checksSection
	Reports  []letterReport
	Older    int // reports that the letter leaves out
	Events   []historyLine
	Before   int // events that the letter leaves out
	Boxes    []letterBox
	Signing  []string // the ruled lines under the answer
	Archived bool
}

// letterPath is the address of the letter of a handover.
func letterPath(clientID, handoverID string) string {
	return handoverPath(clientID, handoverID) + "/letter"
}

func (s *server) showLetter(c *gin.Context) error {
	ctx := c.Request.Context()
	client, err := s.reach(c)
	if err != nil {
		return err
	}
	handover, err := s.store.HandoverByID(ctx, c.Param("handover"))
	if err == nil && handover.ClientID != client.ID {
		err = errNotFound
	}
	if err != nil {
		return err
	}
	record, err := followup.Load(ctx, s.store, client.ID)
	if err != nil {
		return err
	}
	limb, ok := record.Limb(handover.LimbID)
	if !ok {
		return errNotFound
	}
	flags, err := s.store.FlagsOf(ctx, client.ID)
	if err != nil {
		return err
	}
	reports, err := s.store.ReportsOf(ctx, client.ID)
	if err != nil {
		return err
	}
	maker, err := s.sheetMaker(c, client, limb, flags)
	if err != nil {
		return err
	}
	standing, err := s.standing(c, record)
	if err != nil {
		return err
	}
	p := maker.letter(handover, reports)
	p.Standing = slices.DeleteFunc(standing, func(d standingDecision) bool { return d.LimbID != limb.Limb.ID })
	workshop := s.workshop(c)
	p.Heading, p.Phone = s.heading(c, client, limb.Limb), workshop.Phone
	if workshop.Address != "" {
		p.Address = strings.Split(workshop.Address, "\n")
	}
	p.Page = s.page(c, s.clientTitle(c, s.text(c, "letter.title", "To", handover.ToWhom), p.Heading), "clients")
	return s.show(c, "letter", p)
}

// letter puts the limb of a handover into words for the prosthetist that it goes
// to.
func (m sheetMaker) letter(h models.Handover, reports []models.Report) letterPage {
	m.onPaper = true
	p := letterPage{
		On: m.date(m.today), Day: m.date(h.HandedOn), To: h.ToWhom, Meta: m.meta(), Back: handoverPath(h.ClientID, h.ID), Unit: string(m.unit),
		Visited: m.view.Last != nil, Archived: m.client.ArchivedAt != nil,
		Answers: m.answers(), Visits: m.letterVisits(), Where: m.where(), Volume: m.volume(), Cover: m.cover(), Wear: m.wear(), Checks: m.checks(),
		Boxes: m.letterBoxes(), Signing: []string{m.text("letter.name"), m.text("letter.date"), m.text("letter.signature")},
	}
	if m.view.History.Limb.Level.HasCone() {
		for _, l := range m.limitChanges(limitsNow(m.view.Record), m.view.Record.LimitsInForce()) {
			p.Limits = append(p.Limits, letterFigure{l.Name, l.Before})
		}
	}
	p.Wear.First, p.Wear.More = newest(slices.Concat(p.Wear.First, p.Wear.More), letterRows), nil
	for _, f := range m.flags {
		if slices.Contains(h.FlagIDs, f.ID) {
			p.Flags = append(p.Flags, m.letterFlag(f))
		}
	}
	own := slices.DeleteFunc(slices.Clone(reports), func(r models.Report) bool { return r.LimbID != nil && *r.LimbID != h.LimbID })
	for _, r := range newest(own, letterReports) {
		p.Reports = append(p.Reports, m.letterReport(r))
	}
	p.Older = len(own) - len(p.Reports)
	events := slices.Clone(m.view.Record.Events)
	slices.SortStableFunc(events, func(a, b models.Event) int { return strings.Compare(string(b.On), string(a.On)) })
	for _, e := range newest(events, letterRows) {
		p.Events = append(p.Events, m.eventLine(e))
	}
	p.Before = len(events) - len(p.Events)
	return p
}

// How much a letter holds of what grows with time; it says what it leaves out.
const (
	letterRows    = 6
	letterReports = 3
)

// newest are the first n of a list that has its newest first.
func newest[T any](list []T, n int) []T { return list[:min(n, len(list))] }
