package server

import (
	"slices"
	"strconv"

	"fairlead/analytics/quantity"
	"fairlead/models"
	"github.com/gin-gonic/gin"
)

// What each page is about, beside what all of them share.
type (
	talkPart struct {
		Kinds, Rooms, Activities, People []Option
		Fluid                            []tick
		Which                            []Option // of two moments, where the clocks show the time twice
	}
	socksPart struct {
		Stacks             []sockStack
		Materials, Reasons []Option
	}
	onPart struct {
		Checks            []checkRow
		Answers           []Option
		Stations          []walkRow
		Hidden            int // stations of the walk that are not asked this time
		Attachments       []attachmentRow
		Touches, Methods  []Option
		States, Reasons   []Option
		HasCover, Applies bool
	}
	offPart struct {
		Rows           []skinRow
		Signs, Reasons []Option
		Taped          bool
		Delay          int  // minutes off after which this limb is to be read
		OwnDelay       bool // it is that of the visit which this one is compared with
	}
	girthsPart struct {
		Residual    bool
		Second      bool // the second round of the residual limb
		Blind       bool // earlier readings are covered
		Pass        int
		Title       string
		PassName    string
		Rows        []girthRow
		Third       bool // a pair that is apart is read a third time
		Reasons     []Option
		OpenSkin    bool
		LastPosture string
		First       bool
	}
	againPart struct {
		Rows  []skinRow
		Signs []Option
	}
)

// tick is one box.
type tick struct {
	Name, Label string
	Chosen      bool
}

// sockStack is what is worn on one occasion, from the skin outwards.
type sockStack struct {
	Label string
	Rows  []sockRow
}

type sockRow struct {
	Name, Number, Ply, Material string
	Worn                        bool
}

type checkRow struct{ Name, Label, Answer, Note string }

type walkRow struct{ Name, Label, Gap, Touch, Method string }

type attachmentRow struct{ Name, Label, State string }

type skinRow struct{ Name, Number, Sign, Place, Note string }

// girthRow is one level of the tape's table. Name begins the names of its
// fields. First is all earlier readings as text, covered until this page's is
// in.
type girthRow struct {
	Name, Label, Value, Third string
	First, FirstValue         string
	Last, LastMM              string
}

func (s *server) stepPart(c *gin.Context, o opened, st step, limb limbLayout) (any, error) {
	typed := o.draft.Fields
	switch st.Kind {
	case talkStep:
		return s.talkPart(c, o), nil
	case socksStep:
		return s.socksPart(c, limb, typed), nil
	case onStep:
		return s.onPart(c, o.layout, limb, typed), nil
	case offStep:
		return s.offPart(c, o.layout, limb, typed)
	case askStep:
		return s.askPart(c, limb, typed), nil
	case soundStep, residualStep, secondStep:
		return s.girthsPart(c, o.layout, limb, st, typed), nil
	case againStep:
		return againPart{Rows: skinRowsOf(typed, limb.prefix()+"again"), Signs: s.options(c, "skin-sign", models.SkinSigns)}, nil
	}
	return s.resultPart(c, o)
}

// reasons are the reasons to leave a part out.
func (s *server) reasons(c *gin.Context) []Option {
	return s.options(c, "not-done", texts(models.NotDoneReasons))
}

func (s *server) talkPart(c *gin.Context, o opened) talkPart {
	part := talkPart{
		Kinds: s.options(c, "checkin-kind", texts(models.CheckinKinds)),
		Rooms: s.options(c, "room", rooms), Activities: s.options(c, "activity", activities),
	}
	if _, again := s.draftReader(c, o).DateTime("date", "time"); !again.IsZero() {
		part.Which = s.options(c, "which-time", whichTimes)
	}
	may := o.layout.measurers()
	for _, p := range o.layout.People {
		if slices.Contains(may, p.ID) || p.ID == o.draft.Fields["measured_by"] {
			part.People = append(part.People, Option{Value: p.ID, Label: p.ShownName()})
		}
	}
	for _, f := range models.FluidConditions {
		part.Fluid = append(part.Fluid, tick{
			Name: "fluid." + f, Label: s.text(c, "fluid."+f), Chosen: o.draft.Fields["fluid."+f] != "",
		})
	}
	return part
}

// offPart asks when the prosthesis came off and what the skin looks like. A
// correction waits as long as its visit had to, by what was known before it.
func (s *server) offPart(c *gin.Context, asked checkinLayout, l limbLayout, typed map[string]string) (offPart, error) {
	before := asked.Record.Limbs[l.No-1]
	before.Visits = earlierVisits(before.Visits, asked.Corrects)
	delay, own, err := before.DelayMinutes()
	return offPart{
		Rows: skinRowsOf(typed, l.prefix()+"skin"), Signs: s.options(c, "skin-sign", models.SkinSigns),
		Reasons: s.options(c, "not-done", texts(skinReasons)), Taped: l.taped(),
		Delay: int(delay + 0.5), OwnDelay: own,
	}, err
}

// filled is how many rows a page shows: those in use and one more, two at
// least.
func filled(typed map[string]string, name func(row int) string, columns []string, most int) int {
	last := 0
	for row := 1; row <= most; row++ {
		for _, column := range columns {
			if typed[name(row)+"."+column] != "" {
				last = row
			}
		}
	}
	return min(max(2, last+1), most)
}

func (s *server) socksPart(c *gin.Context, l limbLayout, typed map[string]string) socksPart {
	part := socksPart{Materials: s.options(c, "sock-material", sockMaterials), Reasons: s.reasons(c)}
	for _, occasion := range models.SockOccasions {
		stack := sockStack{Label: s.text(c, "sock-occasion."+string(occasion))}
		name := func(row int) string { return sockField(l.prefix(), occasion, row) }
		for row := 1; row <= filled(typed, name, []string{"ply", "material", "worn"}, sockRows); row++ {
			field := name(row)
			stack.Rows = append(stack.Rows, sockRow{
				Name: field, Number: strconv.Itoa(row), Ply: typed[field+".ply"], Material: typed[field+".material"],
				Worn: typed[field+".worn"] != "",
			})
		}
		part.Stacks = append(part.Stacks, stack)
	}
	return part
}

func (s *server) onPart(c *gin.Context, asked checkinLayout, l limbLayout, typed map[string]string) onPart {
	part := onPart{
		Answers: s.options(c, "check-answer", texts(models.CheckAnswers)), Reasons: s.reasons(c),
		States:   s.options(c, "attachment-state", texts(models.AttachmentStates)),
		HasCover: l.Cover != nil, Applies: l.Cover != nil || l.Prosthesis != nil,
		Methods: s.options(c, "clearance-method", texts(readingMethods)),
	}
	part.Touches = s.options(c, "touch", texts(quantity.Touches))
	part.Touches = append(part.Touches, Option{
		Value: string(quantity.NotReachable), Label: s.text(c, "clearance-method."+string(quantity.NotReachable)),
	})
	for _, check := range models.FunctionChecks {
		field := l.prefix() + "check." + check
		part.Checks = append(part.Checks, checkRow{
			Name: field, Label: s.text(c, "function-check."+check), Answer: typed[field], Note: typed[field+".note"],
		})
	}
	walk := l.walk(typed)
	part.Hidden = len(l.stations()) - len(walk)
	for _, st := range walk {
		field := l.prefix() + "station." + st.ID
		row := walkRow{
			Name: field, Label: upperFirst(s.stationLabel(c, asked, st)), Gap: typed[field+".gap"], Touch: typed[field+".touch"],
			Method: typed[field+".method"],
		}
		if row.Method == "" {
			row.Method = string(quantity.Feeler)
		}
		part.Stations = append(part.Stations, row)
	}
	if l.Cover != nil {
		for _, a := range l.Cover.Attachments {
			field := l.prefix() + "attachment." + a.ID
			part.Attachments = append(part.Attachments, attachmentRow{Name: field, Label: a.Name, State: typed[field]})
		}
	}
	return part
}

func skinRowsOf(typed map[string]string, prefix string) []skinRow {
	name := func(row int) string { return prefix + "." + strconv.Itoa(row) }
	var rows []skinRow
	for row := 1; row <= filled(typed, name, []string{"sign", "place", "note"}, skinRows); row++ {
		field := name(row)
		rows = append(rows, skinRow{
			Name: field, Number: strconv.Itoa(row),
			Sign: typed[field+".sign"], Place: typed[field+".place"], Note: typed[field+".note"],
		})
	}
	return rows
}

// openSkin are the signs that mean open skin, where no mark and no tape goes.
var openSkin = []string{"open-sore", "blister", "discharge"}

func (l limbLayout) sawOpenSkin(typed map[string]string) bool {
	return slices.ContainsFunc(skinRowsOf(typed, l.prefix()+"skin"), func(row skinRow) bool {
		return slices.Contains(openSkin, row.Sign)
	})
}

func (s *server) girthsPart(c *gin.Context, asked checkinLayout, l limbLayout, st step, typed map[string]string) girthsPart {
	part := partsTaped[st.Kind]
	last, lastPart := l.LastTaped, quantity.Residual
	if st.Kind == soundStep {
		last, lastPart = l.LastSound, quantity.Sound
	}
	view := girthsPart{
		Residual: st.Kind == residualStep, Second: st.Kind == secondStep, Blind: st.Kind == secondStep || st.Pass > 1,
		Pass: st.Pass, First: st.Pass == 1, Title: s.stepTitle(c, st), PassName: s.passName(c, st.Pass),
		Third: st.Pass == 2 && l.passes() == 2, Reasons: s.reasons(c),
		OpenSkin: st.Kind != soundStep && l.sawOpenSkin(typed),
	}
	if l.LastTaped != nil {
		view.LastPosture = l.LastTaped.Seen.Posture
	}
	y := s.sayerOf(c, asked)
	for _, level := range l.Plan.Levels {
		row := girthRow{Name: girthName(l.prefix(), part, level), Label: y.length(level.MM())}
		row.Value = typed[row.Name+"."+strconv.Itoa(st.Pass)]
		row.Third = typed[row.Name+".3"]
		if view.Second {
			row.First = l.earlier(typed, quantity.Residual, level, mostPasses)
		}
		row.First = joinText(row.First, l.earlier(typed, part, level, st.Pass-1))
		if st.Pass > 1 {
			row.FirstValue = typed[row.Name+".1"]
		}
		if girth := l.lastGirth(last, lastPart, level); girth > 0 {
			row.LastMM = strconv.FormatFloat(girth, 'f', 1, 64)
			if view.Blind {
				row.Last = y.girth(girth)
			}
		}
		view.Rows = append(view.Rows, row)
	}
	return view
}

// partsTaped are the words for what a page of the tape is about in the names of its
// fields.
var partsTaped = map[stepKind]quantity.BodyPart{
	soundStep: quantity.Sound, residualStep: quantity.Residual, secondStep: secondRound,
}

// earlier are the readings of a level in the passes up to one, as they were typed.
func (l limbLayout) earlier(typed map[string]string, part quantity.BodyPart, level quantity.Length, upTo int) string {
	said := ""
	for pass := 1; pass <= upTo; pass++ {
		said = joinText(said, typed[l.girthField(part, level, pass)])
	}
	return said
}

func joinText(a, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + ", " + b
}
