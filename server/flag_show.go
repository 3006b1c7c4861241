package server

import (
	"cmp"
	"encoding/json"

	"fairlead/analytics/assess"
	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/followup"
	"github.com/gin-gonic/gin"
)

// flagPage shows what a flag rests on: every figure, the limit, who set it, and
// the sentences of its history; and what the reader may do about it.
type flagPage struct {
	Page
	Heading    Heading
	Said       saidFinding
	Basis      []saidBasis
	Status     string
	Life       []string // why its level stands above its newest evidence, seen by whom, handed over to whom
	Absent     string   // that the prosthetists are away, and who stands in
	Unseen     bool     // nobody has seen it yet, and the reader may say so
	Call       *callForm
	Work       *workForm
	Closing    string // who may close it, where the reader may not
	MayClose   bool   // with a reason alone
	Typed      map[string]string
	NotSaved   []typedLine // what was typed for a form that is not offered any more
	Action     string      // below which the forms are sent
	ClientPath string
	Evidence   []evidenceView
	Earlier    []evidenceView
	History    []toldStep
}

// evidenceView is one piece of evidence.
type evidenceView struct {
	Heading string
	Said    saidFinding
	Mark    string
	Formula string
	Source  string
	Rule    string // and its version
	Figures []figureLine
	Working *workingView
	Of      checkinLink
	Against *checkinLink // the check-in that it was compared with
}

// checkinLink leads to a check-in, or to a client's report.
type checkinLink struct{ Link, Label, Day string }

// figureLine is one figure with its unit and uncertainty.
type figureLine struct{ Name, Value, U, Interval string }

// evidenceInSight is how many pieces of evidence stand open.
const evidenceInSight = 2

// flag finds the flag of a path below its client, archived or not.
func (s *server) flag(c *gin.Context) (models.Client, models.Flag, error) {
	client, err := s.reach(c)
	if err != nil {
		return client, models.Flag{}, err
	}
	flag, err := s.store.FlagByID(c.Request.Context(), c.Param("flag"))
	if err == nil && flag.ClientID != client.ID {
		err = errNotFound
	}
	return client, flag, err
}

func (s *server) showFlag(c *gin.Context) error {
	client, flag, err := s.flag(c)
	if err != nil {
		return err
	}
	page, err := s.flagPage(c, client, flag, map[string]string{})
	if err != nil {
		return err
	}
	return s.show(c, "flag", page)
}

func (s *server) flagPage(c *gin.Context, client models.Client, flag models.Flag, typed map[string]string) (flagPage, error) {
	ctx := c.Request.Context()
	limb, err := s.store.LimbByID(ctx, flag.LimbID)
	if err != nil {
		return flagPage{}, err
	}
	teller, err := s.flagTeller(c, flag)
	if err != nil {
		return flagPage{}, err
	}
	record, err := followup.Load(ctx, s.store, client.ID)
	if err != nil {
		return flagPage{}, err
	}
	l, _ := record.Limb(flag.LimbID)
	found, err := l.Assess()
	if err != nil {
		return flagPage{}, err
	}
	p := flagPage{
		Heading: s.heading(c, client, limb), Said: teller.flag(flag), Action: flagPath(flag), ClientPath: clientPath(client) + "?limb=" + limb.ID,
		Basis: teller.basis(record.Bases(l, []models.Flag{flag}, found)[flag.ID], teller.zone), Life: teller.life(flag, s.presentDate(c)),
		History: teller.told(flag, teller.claimOf(flag)),
	}
	if stays := teller.stays(flag, record); stays != "" {
		p.Life = append([]string{stays}, p.Life...)
	}
	p.Status = teller.text("flag.open", "On", teller.day(flag.OpenedAt))
	if flag.ClosedAt != nil {
		p.Status = teller.closed(flag)
	}
	for i, e := range flag.Evidence {
		view := teller.evidence(flag, e, record)
		if view.Working != nil {
			view.Working.Open = i == 0
		}
		if i < evidenceInSight {
			p.Evidence = append(p.Evidence, view)
		} else {
			p.Earlier = append(p.Earlier, view)
		}
	}
	if flag.ClosedAt == nil {
		p.Absent = teller.absence(client, teller.all, s.presentDate(c))
	}
	s.offer(c, &p, client, flag, typed)
	p.Page = s.page(c, s.clientTitle(c, p.Said.Claim, p.Heading), "clients")
	return p, nil
}

// evidence puts one piece of evidence into words and figures. A check-in that
// was corrected since is linked as it stands now.
func (y sayer) evidence(flag models.Flag, e models.FlagEvidence, record followup.ClientRecord) evidenceView {
	view := evidenceView{Mark: e.Level, Rule: y.text("flag.rule", "Rule", flag.Rule, "Version", e.RuleVersion)}
	if e.CheckinID != nil {
		view.Of, _ = y.checkinLink(record, *e.CheckinID, "flag.checkin", "flag.checkin-corrected")
	}
	var f assess.Finding
	unread := json.Unmarshal(e.Finding, &f) != nil
	if e.ReportID != nil { // a report stands as it was sent
		on := cmp.Or(quantity.Date(f.Words["reported-on"]), quantity.DateOf(e.AddedAt))
		view.Of = checkinLink{Link: reportPath(flag.ClientID, *e.ReportID), Label: y.text("flag.report"), Day: y.text("flag.of-report", "On", y.date(on))}
	}
	view.Heading = view.Of.Day
	if unread || sayings[f.Rule] == nil {
		view.Said.Claim = y.text("finding.other", "Rule", flag.Rule)
		return view
	}
	if view.Said = y.finding(f); flag.ClosedAt != nil {
		view.Said = y.found(f)
	}
	view.Formula, view.Source = y.text("formula."+formulaOf(f)), y.text("source."+formulaOf(f))
	if f.AgainstVisitID != "" && f.AgainstVisitID != f.VisitID {
		id := "flag.against"
		if byCourse(f) {
			id = "flag.against-first"
		}
		if against, ok := y.checkinLink(record, f.AgainstVisitID, id, "flag.against-corrected"); ok {
			view.Against = &against
		}
	}
	for _, v := range f.Values {
		view.Figures = append(view.Figures, y.figureLine(v))
	}
	if f.Limit != nil {
		view.Figures = append(view.Figures, y.limitLine(f))
	}
	working := y.working(record, flag.LimbID, f, view.Heading)
	view.Working = &working
	return view
}

// checkinLink leads to the version of a check-in that stands now. Label is the id
// of its text, or ifCorrected where another version stands now than id names. Ok
// is false for a check-in that is not in the record.
func (y sayer) checkinLink(record followup.ClientRecord, id, label, ifCorrected string) (link checkinLink, ok bool) {
	now, corrected, ok := record.Current(id)
	if !ok {
		return checkinLink{}, false
	}
	day := "flag.of"
	if corrected {
		label, day = ifCorrected, "flag.of-corrected"
	}
	return checkinLink{Link: checkinPath(now.ClientID, now.ID), Label: y.text(label), Day: y.text(day, "On", y.date(followup.Day(now)))}, true
}

// exact says a figure as it takes to work it out again by hand: to three
// decimals, without zeros at its end.
func (y sayer) exact(v float64) string { return y.upTo(v, 3) }

func (y sayer) figureLine(v assess.Value) figureLine {
	line := figureLine{Name: y.text("figure." + v.Name), Value: y.exact(v.Value)}
	if v.Unit != assess.Count && v.Unit != assess.Points {
		line.Value += narrow + string(v.Unit)
	}
	if v.U != nil {
		line.U = y.exact(*v.U)
	}
	if v.Lo != nil && v.Hi != nil {
		line.Interval = y.text("flag.interval", "Lo", y.exact(*v.Lo), "Hi", y.exact(*v.Hi))
	}
	return line
}

// limitLine is the limit as the last of the figures.
func (y sayer) limitLine(f assess.Finding) figureLine {
	value := y.exact(f.Limit.Value)
	line := figureLine{Name: y.text("figure.limit"), Value: value + narrow + string(f.Limit.Unit)}
	if f.Limit.Unit == assess.Count || f.Limit.Unit == assess.Points {
		line.Value = value
	}
	line.Interval = y.setBy("flag.limit.", line.Value, *f.Limit)
	return line
}
