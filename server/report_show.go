package server

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"fairlead/models"
	"github.com/gin-gonic/gin"
)

// reportPage is what a client sent, in words: the safety page first.
type reportPage struct {
	Page
	Heading    Heading
	Sent       string   // when, and by which number the client knows it
	Safety     []string // what was ticked on the safety page
	NoPhone    bool
	SideUnsaid bool
	Facts      []reportFact
	Text       string
	CutText    bool       // this is the beginning of a longer one
	LeftOut    string     // that answers were left out
	Flags      []flagLine // what it raised, the most urgent first
	Seen       string     // by whom and when, or empty
	Read       bool       // it and all its open flags have been seen
	MayRead    bool
	Action     string
	ClientPath string
}

// reportFact is one answer of a report.
type reportFact struct{ Question, Answer string }

// reportPath is the address of what a client sent.
func reportPath(clientID, reportID string) string {
	return "/clients/" + clientID + "/reports/" + reportID
}

// report finds the report of a path below its client, archived or not.
func (s *server) report(c *gin.Context) (models.Client, models.Report, error) {
	client, err := s.reach(c)
	if err != nil {
		return client, models.Report{}, err
	}
	report, err := s.store.ReportByID(c.Request.Context(), c.Param("report"))
	if err == nil && report.ClientID != client.ID {
		err = errNotFound
	}
	return client, report, err
}

func (s *server) showReport(c *gin.Context) error {
	client, report, err := s.report(c)
	if err != nil {
		return err
	}
	ctx := c.Request.Context()
	limbs, err := s.store.LimbsOf(ctx, client.ID)
	if err != nil {
		return err
	}
	flags, err := s.flagsOfReport(c, report)
	if err != nil {
		return err
	}
	people, err := s.store.People(ctx)
	if err != nil {
		return err
	}
	y, zone := s.sayer(c), s.zone(c)
	p := reportPage{
		Heading: s.heading(c, client, aboutLimbs(report, limbs)...), Sent: y.text("reported.sent", "On", y.moment(report.SentAt, zone), "Number", report.Number),
		NoPhone: report.Said.CannotPhone, SideUnsaid: report.LimbID == nil && len(limbs) > 1, Facts: y.reportFacts(report.Said),
		Text: report.Said.Text, Read: report.SeenAt != nil, ClientPath: clientPath(client), Action: reportPath(client.ID, report.ID) + "/seen",
	}
	leftOut := len(report.Said.Cut)
	if p.CutText = slices.Contains(report.Said.Cut, "text"); p.CutText {
		leftOut--
	}
	if leftOut > 0 {
		p.LeftOut = y.text("reported.left-out", "Count", leftOut)
	}
	for _, sign := range report.Said.Safety {
		p.Safety = append(p.Safety, upperFirst(y.text("reported.safety."+sign)))
	}
	for _, f := range flags {
		p.Flags = append(p.Flags, y.flagOfReport(f, zone))
		p.Read = p.Read && (f.SeenAt != nil || f.ClosedAt != nil)
	}
	if report.SeenAt != nil && report.SeenBy != nil {
		p.Seen = y.text("reported.seen", "By", nameOf(people, *report.SeenBy), "On", y.moment(*report.SeenAt, zone))
	}
	p.MayRead = !p.Read && client.ArchivedAt == nil && allowed(noteFlag, signedIn(c))
	p.Page = s.page(c, s.clientTitle(c, s.text(c, "reported.title"), p.Heading), "clients")
	return s.show(c, "report", p)
}

// aboutLimbs are the limbs that a report is about: the one that it names, or all.
func aboutLimbs(r models.Report, limbs []models.Limb) []models.Limb {
	if i := slices.IndexFunc(limbs, func(l models.Limb) bool { return r.LimbID != nil && l.ID == *r.LimbID }); i >= 0 {
		return limbs[i : i+1]
	}
	return limbs
}

// flagsOfReport are the flags that a report raised or added to, the open ones
// first.
func (s *server) flagsOfReport(c *gin.Context, r models.Report) ([]models.Flag, error) {
	flags, err := s.store.FlagsOf(c.Request.Context(), r.ClientID)
	return slices.DeleteFunc(flags, func(f models.Flag) bool {
		return !slices.ContainsFunc(f.Evidence, func(e models.FlagEvidence) bool { return e.ReportID != nil && *e.ReportID == r.ID })
	}), err
}

// flagOfReport says a flag that a report raised, and that it is closed where it
// is.
func (y sayer) flagOfReport(f models.Flag, zone *time.Location) flagLine {
	line := flagLine{saidFinding: y.flag(f), Link: flagPath(f), LinkLabel: y.text("follow.evidence")}
	if f.ClosedAt != nil {
		line.Rest = joinSentences(y.text("reported.flag-closed", "On", y.moment(*f.ClosedAt, zone)), line.Rest)
	}
	return line
}

// reportFacts lists the answers of a report, but for the safety page and the
// client's own words. A question that was not answered is left out.
func (y sayer) reportFacts(said models.Said) []reportFact {
	var facts []reportFact
	add := func(question, answer string) {
		if answer != "" {
			facts = append(facts, reportFact{y.text("reported.question." + question), upperFirst(answer)})
		}
	}
	points := func(n *int) string {
		if n == nil {
			return ""
		}
		return y.text("reported.of-ten", "Points", strconv.Itoa(*n))
	}
	coded := func(id, code string) string {
		if code == "" {
			return ""
		}
		return y.text(id + code)
	}
	add("what", y.codes("reported.what.", strings.Join(said.What, ",")))
	var places []string
	for _, area := range said.Areas {
		places = append(places, y.area(area))
	}
	add("where", strings.Join(places, "; "))
	add("since", coded("reported.since.", said.Since))
	add("bother", points(said.Bother))
	add("wearing", coded("reported.wearing.", said.Wearing))
	add("comfort", points(said.ComfortAverage))
	add("worst-comfort", points(said.ComfortWorst))
	add("worst-pain", points(said.PainWorst))
	if said.Looseness != nil {
		add("looseness", y.text("reported.scale", "Points", y.signed(*said.Looseness)))
	}
	add("skin", y.words("skin-sign", strings.Join(said.Skin, ",")))
	return facts
}
