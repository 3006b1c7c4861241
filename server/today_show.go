package server

import (
	"cmp"
	"errors"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"fairlead/analytics/assess"
	"fairlead/models"
	"fairlead/server/chart"
	"fairlead/server/followup"
	"github.com/gin-gonic/gin"
)

// todayRows is how many clients a page of the list of the day shows.
const todayRows = 25

// todayPage is the list of the day: who needs something, the most urgent first.
type todayPage struct {
	Page
	Date       string
	Finding    string // who is waiting, as the heading
	MayCheckin bool
	NoClients  bool   // as far as the person sees
	OwnClients bool   // they see only those whom they look after
	OpenLink   string // by which somebody else can choose the person's password
	Drafts     []todayDraft
	Rows       []todayLine
	Rest       string // those that the list leaves out
	First      string
	Next       string
}

// todayDraft is a check-in that the person began to type.
type todayDraft struct {
	Link    string
	Heading Heading
	Touched string
}

// todayLine is one client of the list.
type todayLine struct {
	Heading      Heading
	Link         string
	Mark         string // how urgent the most urgent flag is, or due or overdue
	Why          string
	Held         string // what a prosthetist's decision holds the client back from, beside an open flag
	Unseen       bool   // nobody has seen the most urgent flag
	Awaiting     string // whose answer it awaits, and when to ask again; or what was answered and leaves it open
	Absent       string // that the prosthetists are away, and who stands in
	Unsent       []todayUnsent
	More         string // how many further flags are open
	Waiting      string
	WaitingSince string
	Due          string
	Change       string
	Interval     string
	ChangeOf     string // which limb, since when and taped when, where that isn't plain
	Spark        *chart.Spark
}

func (s *server) showToday(c *gin.Context) error {
	who := *signedIn(c)
	if !allowed(seeClient, &who) { // an owner as such sees no names
		c.Redirect(http.StatusSeeOther, "/setup")
		return nil
	}
	after := c.Query("after")
	list, err := followup.FindToday(c.Request.Context(), s.store, careTeamOf(who), s.presentDate(c), s.zone(c), after, todayRows)
	if errors.Is(err, models.ErrInvalid) { // a page key that is none of ours
		return errNotFound
	}
	if err != nil {
		return err
	}
	now := s.now().In(s.zone(c))
	y := s.sayer(c)
	page := todayPage{
		Page: s.page(c, s.text(c, "layout.today"), "today"), Finding: y.whoIsWaiting(list.Count),
		Date:       y.text("weekday."+strings.ToLower(now.Weekday().String())) + " " + y.date(s.presentDate(c)),
		MayCheckin: allowed(logCheckin, &who), NoClients: list.Count == models.TodayCount{}, OwnClients: careTeamOf(who) != nil,
	}
	if page.OpenLink, err = s.openLink(c); err != nil {
		return err
	}
	if list.Count.Rest > 0 {
		page.Rest = y.text("today.rest", "Count", list.Count.Rest)
	}
	if after != "" {
		page.First = "/today"
	} else if page.Drafts, err = s.todayDrafts(c, who); err != nil {
		return err
	}
	if list.Next != "" {
		page.Next = "/today?after=" + url.QueryEscape(list.Next)
	}
	people, err := s.store.People(c.Request.Context())
	if err != nil {
		return err
	}
	teller := s.decidedSayer(c, people)
	for _, row := range list.Rows {
		line := s.todayLine(c, teller, row)
		if len(row.Flags) > 0 {
			line.Awaiting = cmp.Or(y.awaiting("today.awaiting.", row.Flags[0], list.Handovers, s.presentDate(c)),
				y.answered("today.answered.", row.Flags[0], list.Answers))
			line.Absent = y.absence(row.Client, people, s.presentDate(c))
		}
		page.Rows = append(page.Rows, line)
	}
	return s.show(c, "today", page)
}

// whoIsWaiting says who needs what in one sentence.
func (y sayer) whoIsWaiting(n models.TodayCount) string {
	var said string
	switch {
	case n.Now > 0 && n.Soon > 0:
		said = y.text("today.now-and-soon", "Now", y.people("today.now", n.Now), "Soon", y.people("today.soon-after", n.Soon))
	case n.Now > 0:
		said = y.people("today.now", n.Now)
	case n.Soon > 0:
		said = y.people("today.soon", n.Soon)
	case n.Watch > 0:
		said = y.people("today.watch", n.Watch)
	case n.Overdue > 0:
		said = y.people("today.overdue", n.Overdue)
	case n.Due > 0:
		said = y.people("today.due", n.Due)
	default:
		said = y.text("today.nobody")
	}
	return upperFirst(said)
}

// people says a count in words up to nine, as in a sentence.
func (y sayer) people(id string, n int) string {
	number := strconv.Itoa(n)
	if n < 10 {
		number = y.text("number." + number)
	}
	return y.text(id, "Count", n, "Number", number)
}

// todayDrafts lists what the person began to type.
func (s *server) todayDrafts(c *gin.Context, who models.Person) ([]todayDraft, error) {
	ctx := c.Request.Context()
	drafts, err := s.store.OpenDrafts(ctx, who.ID)
	if err != nil {
		return nil, err
	}
	var said []todayDraft
	for _, d := range drafts {
		client, err := s.store.ClientByID(ctx, d.ClientID)
		if err != nil {
			return nil, err
		}
		if client.ArchivedAt != nil {
			continue
		}
		limbs, err := s.store.LimbsOf(ctx, d.ClientID)
		if err != nil {
			return nil, err
		}
		said = append(said, todayDraft{
			Link: draftPath(d), Heading: s.heading(c, client, limbs...), Touched: s.sayer(c).elapsed(s.now().Sub(d.UpdatedAt)),
		})
	}
	return said, nil
}

func (s *server) todayLine(c *gin.Context, y decidedSayer, row followup.TodayRow) todayLine {
	line := todayLine{Heading: s.heading(c, row.Client, row.Limbs...), Link: clientPath(row.Client), Mark: string(row.Due)}
	on := y.shortDate(row.Client.NextCheckinOn)
	switch {
	case row.Due == assess.NotDue:
	case row.Due == assess.Overdue && len(row.Flags) > 0:
		line.Due = y.text("today.overdue-since", "On", on)
	default:
		line.Due = on
	}
	line.Why = y.text("today.check-in")
	if n := len(row.Flags); n > 0 {
		first := row.Flags[0]
		said := y.flag(first)
		line.Mark, line.Why, line.Unseen = string(row.Level), said.Claim, first.SeenAt == nil
		line.Waiting, line.WaitingSince = y.elapsed(s.now().Sub(first.OpenedAt)), y.date(dateIn(first.OpenedAt, s.zone(c)))
		if n > 1 {
			line.More = y.text("today.more", "Count", n-1)
		}
		if len(row.Limbs) > 1 {
			line.Link += "?limb=" + first.LimbID
		}
	}
	s.todayHeld(y, &line, row)
	line.unsent(y, row)
	if row.Course != nil {
		s.todayCourse(c, y.sayer, &line, row)
	}
	return line
}

// todayHeld adds what was decided and must be kept in sight: as why, or beside the
// flag that is.
func (s *server) todayHeld(y decidedSayer, line *todayLine, row followup.TodayRow) {
	if len(row.Held) == 0 {
		return
	}
	if line.Held = strings.Join(y.inForce(row.Held), " "); len(row.Flags) > 0 {
		line.Mark = string(row.Level)
		return
	}
	first := row.Held[0]
	line.Mark, line.Why, line.Held = string(row.Level), line.Held, ""
	line.Waiting, line.WaitingSince = y.elapsed(s.now().Sub(first.At())), y.date(dateIn(first.At(), y.zone))
	if _, limbID := first.Place(); len(row.Limbs) > 1 {
		line.Link += "?limb=" + limbID
	}
}

// todayCourse adds the change since the reference and the way there.
func (s *server) todayCourse(c *gin.Context, y sayer, line *todayLine, row followup.TodayRow) {
	var of string
	line.Change, line.Interval, of = y.courseChange(*row.Course)
	if len(row.Limbs) > 1 {
		of = strings.Join(slices.DeleteFunc([]string{s.limbName(c, row.Course.Limb), of}, func(said string) bool { return said == "" }), ", ")
	}
	line.ChangeOf = of
	line.Spark = sparkOf(row.Course)
}

// sparkOf draws the way of a course small, with its limits: that of all visits
// together where there are enough, else of each against the reference. It is nil when
// there is too little to draw.
func sparkOf(course *followup.Course) *chart.Spark {
	var points []chart.SparkPoint
	measured := map[string]time.Time{}
	for _, p := range course.Points {
		measured[p.Checkin.ID] = p.Checkin.MeasuredAt
		if course.Smooth == nil {
			points = append(points, chart.SparkPoint{
				At: p.Checkin.MeasuredAt, Percent: p.Change.ChangePercent, LoPercent: p.Change.LoPercent, HiPercent: p.Change.HiPercent,
			})
		}
	}
	for _, day := range course.Smooth { // with the band of all visits together
		if at, known := measured[day.VisitID]; known {
			points = append(points, chart.SparkPoint{At: at, Percent: day.Change.Estimate, LoPercent: day.Change.Lo, HiPercent: day.Change.Hi})
		}
	}
	spark, ok := chart.Sparkline(points, []float64{-course.Limits.LossPercent, course.Limits.GainPercent})
	if !ok {
		return nil
	}
	return &spark
}

// elapsed says how long something has been, in the largest unit that is not too
// coarse.
func (y sayer) elapsed(d time.Duration) string {
	const day = 24 * time.Hour
	switch {
	case d < time.Hour:
		return y.text("elapsed.minutes", "Count", max(int(d/time.Minute), 1))
	case d < 2*day:
		return y.text("elapsed.hours", "Count", int(d/time.Hour))
	case d < 14*day:
		return y.text("elapsed.days", "Count", int(d/day))
	case d < 70*day:
		return y.text("elapsed.weeks", "Count", int(d/(7*day)))
	}
	return y.text("elapsed.months", "Count", int(d/(30*day)))
}
