package demo

import (
	"context"

	"fairlead/analytics/cohort"
	"fairlead/analytics/quantity"
	"fairlead/models"
)

// story is one client.
type story struct {
	name    string
	tells   string // what the client is there to show
	limbs   []limbStory
	growing bool
	numb    bool // reduced feeling in the limb
	outside bool // the prosthetist does not sign in: nobody is on the care team
	visits  []int
	next    int // days from today to the next check-in; below zero it is overdue
	open    int // the last so many check-ins whose flags nobody has answered yet
	turns   []turn
	events  []event
	// afterwards is what people do about what was found.
	afterwards []afterwards
	archive    string // why the record was archived, after the last check-in
	draft      bool   // a check-in is being typed
}

// limbStory is one limb of a client and what becomes of it.
type limbStory struct {
	side     quantity.Side
	level    quantity.AmputationLevel
	months   int     // from amputation to the first check-in; 0: present at birth
	size     float64 // 0: an adult's
	path     cohort.Path
	anchored bool // bone-anchored: no socket
	soundToo bool // the other side is sound and is taped as well
	gaps     map[quantity.Direction]cohort.Gap
	accepted bool   // the gaps of delivery were accepted as built
	seed     uint64 // another draw of limb and readings, where the first did not suit the story
}

// turn is what departs from the usual at one check-in, so many days ago, or
// from then on.
type turn struct {
	ago     int
	lasting bool
	twist   func(*occasion)
}

func at(ago int, twist func(*occasion)) turn   { return turn{ago, false, twist} }
func from(ago int, twist func(*occasion)) turn { return turn{ago, true, twist} }

// event is a dated change of what is worn, on every limb of the client.
type event struct {
	ago    int
	kind   models.EventKind
	what   string
	change func(ctx context.Context, t *teller, w *worn, ago int) error
}

// occasion is what a check-in is like besides its readings.
type occasion struct {
	kind       models.CheckinKind
	second     bool // measured by the second fitter
	lateDays   int  // entered from paper so many days later
	minutesOff float64
	hot        bool
	fluid      []string
	comfort    int
	pain       int
	looseness  int
	gainG      int // weight above the usual
	talk       string
	notes      string
	socks      []models.Sock
	skin       []models.SkinFinding
	noAnswers  map[string]string // function checks answered no, and what was seen
	loose      bool              // the distal attachment point
	polished   bool              // a polish mark at the posterior stations
	notDone    map[string]models.NotDone
	twice      bool // measured a second time at once
	slip       bool // one girth was typed with its figures swapped, and corrected the next day
}

// usual is an occasion on which nothing is remarkable.
func usual() occasion {
	return occasion{
		kind: models.FollowUp, comfort: 8, pain: 1,
		socks: []models.Sock{{Occasion: models.SocksNow, Ply: 1, Material: "single"}},
	}
}

// The twists, in the words of the table.

func both(twists ...func(*occasion)) func(*occasion) {
	return func(o *occasion) {
		for _, twist := range twists {
			twist(o)
		}
	}
}

func says(text string) func(*occasion)  { return func(o *occasion) { o.talk = text } }
func noted(text string) func(*occasion) { return func(o *occasion) { o.notes = text } }
func comfort(n int) func(*occasion)     { return func(o *occasion) { o.comfort = n } }
func looser(n int) func(*occasion)      { return func(o *occasion) { o.looseness = -n } }
func heavier(grams int) func(*occasion) { return func(o *occasion) { o.gainG = grams } }
func lateBy(days int) func(*occasion)   { return func(o *occasion) { o.lateDays = days } }
func bySecond(o *occasion)              { o.second = true }
func hotDay(o *occasion)                { o.hot = true }
func measuredTwice(o *occasion)         { o.twice = true }
func afterChange(o *occasion)           { o.kind = models.AfterChange }
func looseClip(o *occasion)             { o.loose = true }
func polishMark(o *occasion)            { o.polished = true }
func slipOfTheKey(o *occasion)          { o.slip = true }
func fluid(what string) func(*occasion) { return func(o *occasion) { o.fluid = []string{what} } }
func wears(ply ...int) func(*occasion)  { return func(o *occasion) { o.socks = stack(ply) } }
func minutes(m float64) func(*occasion) { return func(o *occasion) { o.minutesOff = m } }
func answersNo(check, seen string) func(*occasion) {
	return func(o *occasion) { o.noAnswers = map[string]string{check: seen} }
}

func skin(sign, place string) func(*occasion) {
	return func(o *occasion) {
		o.skin = append(o.skin, models.SkinFinding{Moment: models.OnDoffing, Sign: sign, Place: place})
	}
}

func leftOut(part string, why models.NotDone) func(*occasion) {
	return func(o *occasion) {
		if o.notDone == nil {
			o.notDone = map[string]models.NotDone{}
		}
		o.notDone[part] = why
	}
}

// stack is a stack of single-material socks, from the skin outwards.
func stack(ply []int) []models.Sock {
	socks := make([]models.Sock, len(ply))
	for i, p := range ply {
		socks[i] = models.Sock{Occasion: models.SocksNow, Ply: p, Material: "single"}
	}
	return socks
}
