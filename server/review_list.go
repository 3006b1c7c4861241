package server

import (
	"errors"
	"net/url"
	"strings"
	"time"

	"fairlead/analytics/assess"
	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/chart"
	"fairlead/server/followup"
	"github.com/gin-gonic/gin"
)

// reviewRows is how many limbs a page of the list of reviews shows.
const reviewRows = 25

// reviewListPage lists the limbs that wait for the prosthetist who is signed in.
type reviewListPage struct {
	Page
	Finding     string // how many wait, as the heading
	OpenLink    string // by which somebody else can choose the person's password
	Rows        []reviewLine
	First, Next string
}

// reviewLine is one limb of the list.
type reviewLine struct {
	Heading      Heading
	Link         string
	Mark         string // of the most urgent flag, or overdue, or empty
	Word         string // in its place
	Unseen       bool   // a flag of level now that nobody has seen
	Why          string
	Letters      []string // what else was closed or decided by letter, to be looked at
	Others       []string // other open flags, the fitter's among them
	Waiting      string
	WaitingSince string
	Signed       string // when and by whom it was signed last
	Look         string // the day to look again on
	LookPast     bool
	Change       string
	Interval     string
	ChangeOf     string
	Spark        *chart.Spark
	Deputy       string // for whom the reader stands in
}

func (s *server) listReviews(c *gin.Context) error {
	who, after := *signedIn(c), c.Query("after")
	list, err := followup.FindReviews(c.Request.Context(), s.store, who.ID, s.presentDate(c), after, reviewRows)
	if errors.Is(err, models.ErrInvalid) { // a page key that is none of ours
		return errNotFound
	}
	if err != nil {
		return err
	}
	y := s.sayer(c)
	page := reviewListPage{Page: s.page(c, s.text(c, "layout.reviews"), "reviews"), Finding: y.reviewsWaiting(list.Counts)}
	if page.OpenLink, err = s.openLink(c); err != nil {
		return err
	}
	if after != "" {
		page.First = "/reviews"
	}
	if list.Next != "" {
		page.Next = "/reviews?after=" + url.QueryEscape(list.Next)
	}
	people, err := s.store.People(c.Request.Context())
	if err != nil {
		return err
	}
	for _, row := range list.Rows {
		page.Rows = append(page.Rows, s.reviewLine(c, y, people, row))
	}
	return s.show(c, "reviews", page)
}

// reviewsWaiting says how many limbs wait for what, the most urgent first.
func (y sayer) reviewsWaiting(counts map[models.ReviewNeed]int) string {
	groups := []struct {
		id    string
		needs []models.ReviewNeed
	}{
		{"now", []models.ReviewNeed{models.UnseenNow, models.OpenNow}},
		{"soon", []models.ReviewNeed{models.OpenSoon}},
		{"letter", []models.ReviewNeed{models.LetterToSee}},
		{"look", []models.ReviewNeed{models.LookAgain}},
		{"watch", []models.ReviewNeed{models.OpenWatch}},
		{"limits", []models.ReviewNeed{models.LimitsUnset}},
	}
	var said []string
	for _, g := range groups {
		n := 0
		for _, need := range g.needs {
			n += counts[need]
		}
		if n > 0 {
			said = append(said, y.text("reviews.waiting."+g.id, "Count", n, "Number", y.count(n)))
		}
	}
	if len(said) == 0 {
		return y.text("reviews.nobody")
	}
	return upperFirst(y.list(said))
}

func (s *server) reviewLine(c *gin.Context, y sayer, people []models.Person, row followup.ReviewLine) reviewLine {
	today := s.presentDate(c)
	line := reviewLine{
		Heading: s.heading(c, row.Client, row.Limb), Link: limbPath(row.Limb) + "/review", Unseen: row.Need == models.UnseenNow,
		Signed: y.text("reviews.never"), Deputy: y.deputyFor(row.InPlaceOf, today),
	}
	if last := row.Last; last != nil {
		line.Signed = y.text("reviews.signed", "On", y.shortDate(dateIn(last.SignedAt, s.zone(c))), "By", last.Signer())
		line.Look, line.LookPast = y.shortDate(last.LookAgainOn), last.LookAgainOn != "" && last.LookAgainOn < today
	}
	for _, a := range row.Letters {
		line.Letters = append(line.Letters, y.text("reviews.letter", "Letter", y.letterRecorded(a, nameOf(people, a.RecordedBy), s.zone(c))))
	}
	s.reviewWhy(c, y, &line, row)
	if row.Course != nil {
		line.Change, line.Interval, line.ChangeOf = y.courseChange(*row.Course)
		line.Spark = sparkOf(row.Course)
	}
	return line
}

// reviewWhy says what the limb waits for and since when, and names what else is
// open.
func (s *server) reviewWhy(c *gin.Context, y sayer, line *reviewLine, row followup.ReviewLine) {
	wait := func(since time.Time) {
		line.Waiting, line.WaitingSince = y.elapsed(s.now().Sub(since)), y.date(dateIn(since, s.zone(c)))
	}
	switch row.Need {
	case models.LetterToSee:
		line.Word, line.Why, line.Letters = y.text("reviews.by-letter"), line.Letters[0], line.Letters[1:]
		wait(row.Letters[0].RecordedAt)
	case models.LookAgain:
		line.Mark, line.Why = string(assess.DueSoon), y.text("reviews.look-again")
		if line.LookPast = row.Last.LookAgainOn < s.presentDate(c); line.LookPast {
			line.Mark = string(assess.Overdue)
			if day, ok := row.Last.LookAgainOn.Time(); ok {
				wait(day)
			}
		}
	case models.LimitsUnset:
		line.Word, line.Why = y.text("reviews.limits"), y.text("reviews.limits-unset")
	}
	for _, f := range row.Flags {
		said := y.flag(f)
		switch {
		case line.Why == "" && assess.About(f.About).ClosedBy() == assess.Prosthetist:
			line.Mark, line.Why = said.Level, said.Claim
			wait(f.OpenedAt)
		case assess.About(f.About).ClosedBy() == assess.Prosthetist:
			line.Others = append(line.Others, said.Claim)
		default:
			line.Others = append(line.Others, y.text("reviews.fitters", "Claim", said.Claim))
		}
	}
}

// deputyFor says for whom the reader stands in, and until when they are away.
func (y sayer) deputyFor(people []models.Person, today quantity.Date) string {
	var said []string
	for _, p := range people {
		if p.AwayUntil >= today {
			said = append(said, y.text("reviews.away", "Name", p.Name, "On", y.date(p.AwayUntil)))
		} else {
			said = append(said, p.Name)
		}
	}
	if len(said) == 0 {
		return ""
	}
	return y.text("reviews.deputy", "Names", y.list(said))
}

// courseChange says the newest change of a course, its interval, and what is not
// plain of it: since when it is counted and when it was taped.
func (y sayer) courseChange(course followup.Course) (change, interval, of string) {
	change = y.text("today.not-comparable")
	if course.Together != nil {
		change = y.percentChange(course.Together.Estimate)
		interval = y.interval95(course.Together.Lo, course.Together.Hi)
	} else if course.Newest.Comparable {
		change = y.percentChange(course.Newest.ChangePercent)
		interval = y.interval95(course.Newest.LoPercent, course.Newest.HiPercent)
	}
	var notes []string
	if course.Since != followup.SinceDelivery {
		notes = append(notes, y.text("today.since."+string(course.Since)))
	}
	if course.Earlier {
		notes = append(notes, y.text("today.taped-on", "On", y.shortDate(course.TapedOn)))
	}
	return change, interval, strings.Join(notes, ", ")
}
