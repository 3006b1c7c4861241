package server

import (
	"slices"
	"strings"

	"fairlead/analytics/assess"
	"fairlead/models"
	"fairlead/server/followup"
	"github.com/gin-gonic/gin"
)

// reviewPage is what a prosthetist reviews of one limb, and the form of what they
// decide.
type reviewPage struct {
	recordPage
	Action    string
	Back      string
	New       []newThing    // what is new since the page was opened; empty on a fresh one
	Letters   []historyLine // recorded by letter, for the reader to look at
	Since     sinceReview
	Flags     []reviewFlag // those that a signature closes
	Fitters   []flagLine   // open flags that are the fitter's to close
	Volume    volumeSection
	HasLimits bool
	Origin    string // who set the limits in force
	Decisions decisionBoxes
	MaySign   bool
}

// reviewFlag is an open flag with its evidence and what is decided about it.
type reviewFlag struct {
	ID      string
	Said    saidFinding
	Status  string
	Life    []string // why its level stands above its newest evidence, seen by whom, handed over to whom
	History []toldStep
	Link    string
	Basis   []saidBasis
	Newest  []evidenceView // at most one
	Earlier []evidenceView
	Close   bool
	Now     bool
	Reason  string
}

// reviewer finds client and limb of a path for a person who may review them.
func (s *server) reviewer(c *gin.Context) (models.Client, models.Limb, error) {
	client, limb, _, err := s.limbOf(c)
	if err == nil && !looksAfter(*signedIn(c), client) {
		err = errNotYours
	}
	return client, limb, err
}

func (s *server) showReview(c *gin.Context) error {
	client, limb, err := s.reviewer(c)
	if err != nil {
		return err
	}
	basis, err := followup.LoadReview(c.Request.Context(), s.store, client.ID, limb.ID)
	if err != nil {
		return err
	}
	page, err := s.reviewPage(c, basis, s.sayer(c).typedReview(basis, *signedIn(c)))
	if err != nil {
		return err
	}
	return s.show(c, "review", page)
}

func (s *server) reviewPage(c *gin.Context, b followup.ReviewBasis, typed map[string]string) (reviewPage, error) {
	client, limb := b.Record.Client, b.Limb
	m, err := s.sheetMaker(c, client, limb, b.Flags)
	if err != nil {
		return reviewPage{}, err
	}
	m.bases = b.Record.Bases(limb, m.flags, m.standing)
	decided, err := followup.DecidedOf(c.Request.Context(), s.store, []string{limb.Limb.ID}, m.zone)
	if err != nil {
		return reviewPage{}, err
	}
	p := reviewPage{
		recordPage: s.recordPage(c, s.text(c, "review.title"), s.heading(c, client, limb.Limb), typed),
		Action:     reviewPath(limb.Limb), Back: clientPath(client) + "?limb=" + limb.Limb.ID,
		Since: m.sinceReview(b), Volume: m.volume(), HasLimits: limb.Limb.Level.HasCone(), Origin: m.text("flag.limit.starting"),
		Decisions: m.decidedSayer().boxes(typed, decided[limb.Limb.ID]), MaySign: client.ArchivedAt == nil,
	}
	p.Nav = "reviews"
	if p.Letters, err = s.lettersToSee(c, m, b); err != nil {
		return reviewPage{}, err
	}
	if set := limb.LimitsInForce(); set != nil {
		p.Origin = m.limitsOrigin(*set)
	}
	for _, f := range b.Open() {
		if mayClose(*signedIn(c), f, bySignature) {
			p.Flags = append(p.Flags, m.reviewFlag(b, f, typed))
		} else {
			p.Fitters = append(p.Fitters, flagLine{saidFinding: m.flag(f), Link: flagPath(f), LinkLabel: m.text("follow.evidence")})
		}
	}
	return p, nil
}

// reviewPath is the address of the form that reviews a limb.
func reviewPath(l models.Limb) string { return limbPath(l) + "/review" }

func (m sheetMaker) reviewFlag(b followup.ReviewBasis, f models.Flag, typed map[string]string) reviewFlag {
	flag := reviewFlag{
		ID: f.ID, Said: m.flag(f), Link: flagPath(f), Basis: m.basis(m.bases[f.ID], m.zone), Now: f.Level == string(assess.Now),
		Status: m.text("flag.open", "On", m.date(m.onDay(f.OpenedAt))), Close: typed["flag."+f.ID] == "close", Reason: typed["reason."+f.ID],
	}
	teller := m.teller()
	flag.Life, flag.History = teller.life(f, m.today), teller.told(f, m.claimOf(f))
	if stays := teller.stays(f, b.Record); stays != "" {
		flag.Life = append([]string{stays}, flag.Life...)
	}
	for i, e := range f.Evidence {
		if view := m.evidence(f, e, b.Record); i == 0 {
			flag.Newest = append(flag.Newest, view)
		} else {
			flag.Earlier = append(flag.Earlier, view)
		}
	}
	return flag
}

// newThing is one thing that is new since a page was opened.
type newThing struct{ Sentence, Link, LinkLabel string }

// newThings says what differs from what a page showed, and gives back what was
// typed about a flag that can't be closed any more.
func (m sheetMaker) newThings(b followup.ReviewBasis, shown followup.Shown, typed map[string]string) []newThing {
	var said []newThing
	for _, thing := range b.Shown().Against(shown) {
		if thing.Gone && (thing.Kind == followup.ShownCheckin || thing.Kind == followup.ShownProsthesis || thing.Kind == followup.ShownCover) {
			continue // what came in its place is told
		}
		if thing.Kind == followup.ShownSteps {
			said = append(said, m.newSteps(b, thing.ID, shown[followup.ShownSteps+":"+thing.ID])...)
			continue
		}
		said = append(said, m.newThing(b, thing, typed))
	}
	return said
}

// newSteps says what was done about an open flag after the first so many things.
func (m sheetMaker) newSteps(b followup.ReviewBasis, flagID string, known int) []newThing {
	var said []newThing
	for _, f := range b.Open() {
		if f.ID != flagID {
			continue
		}
		steps := followup.StepsThatTell(f)
		for _, step := range steps[min(known, len(steps)):] {
			told := m.teller().step(f, step)
			said = append(said, newThing{
				m.text("review.new.step", "Claim", m.flag(f).Claim, "Step", told.Sentence), flagPath(f), m.text("follow.evidence"),
			})
		}
	}
	return said
}

func (m sheetMaker) newThing(b followup.ReviewBasis, thing followup.Thing, typed map[string]string) newThing {
	switch thing.Kind {
	case followup.ShownCheckin:
		if at, ok := b.Record.Version(thing.ID); ok {
			return newThing{m.text("review.new.checkin", "On", m.date(followup.Day(at)), "By", m.people[at.EnteredBy]),
				checkinPath(at.ClientID, at.ID), m.text("follow.history.see")}
		}
	case followup.ShownFlag:
		if i := slices.IndexFunc(b.Flags, func(f models.Flag) bool { return f.ID == thing.ID }); i >= 0 {
			return m.newFlag(b.Flags[i], thing, typed)
		}
	case followup.ShownReview:
		if last := b.Last(); last != nil {
			return newThing{m.text("review.new.review", "Number", last.Number, "By", last.Signer()), signedPath(*last), m.text("review.see")}
		}
	case followup.ShownLetter:
		if i := slices.IndexFunc(b.Letters, func(a models.Answer) bool { return a.ID == thing.ID }); i >= 0 {
			d := followup.Decided{Letter: &b.Letters[i]}
			by := m.decidedSayer().by(d)
			return newThing{m.text("review.new.letter", "By", by, "Said", strings.Join(m.decisions(d.Decisions()), " ")), decidedPath(d), m.text("handover.see")}
		}
	case followup.ShownReport:
		return newThing{m.text("review.new.report"), reportPath(b.Record.Client.ID, thing.ID), m.text("review.see-report")}
	}
	return newThing{Sentence: m.text("review.new." + thing.Kind)}
}

func (m sheetMaker) newFlag(f models.Flag, thing followup.Thing, typed map[string]string) newThing {
	said := newThing{Link: flagPath(f), LinkLabel: m.text("follow.evidence")}
	claim := m.flag(f).Claim
	switch {
	case f.ClosedAt != nil:
		said.Sentence = m.text("review.new.flag-closed", "Claim", claim, "By", m.people[f.ClosedBy], "Reason", fullStop(f.CloseReason))
		if reason := typed["reason."+f.ID]; reason != "" {
			said.Sentence = joinSentences(said.Sentence, m.text("review.new.flag-typed", "Reason", reason))
		}
	case thing.New:
		said.Sentence = m.text("review.new.flag", "Claim", claim)
	default:
		said.Sentence = m.text("review.new.flag-evidence", "Claim", claim)
	}
	return said
}
