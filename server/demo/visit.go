package demo

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"fairlead/analytics/cohort"
	"fairlead/analytics/girth"
	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/followup"
)

// dayToDayPercent is how much the volume of one day departs from its course.
const dayToDayPercent = 0.8

// visit records one check-in of a story, and its correction where there is one.
func (t *teller) visit(ctx context.Context, c models.Client, s story, index int, limbs []*worn) error {
	ago := s.visits[index]
	o := usual()
	for _, turn := range s.turns {
		if turn.ago == ago || turn.lasting && turn.ago > ago {
			turn.twist(&o)
		}
	}
	for _, w := range limbs {
		if w.delivers {
			o.kind, w.delivers = models.Delivery, false
		}
	}
	made := t.checkin(c, s, index, o, limbs)
	t.clock.Set(made.MeasuredAt.Add(time.Hour).AddDate(0, 0, o.lateDays))
	if o.slip {
		right, wrong := swapped(&made)
		if err := t.record(ctx, &made); err != nil {
			return err
		}
		t.clock.Set(t.clock.Now().AddDate(0, 0, 1))
		again := t.checkin(c, s, index, o, limbs)
		again.ReplacesID, again.Reason = &made.ID, "Figures swapped while typing: "+wrong+" was "+right
		return t.record(ctx, &again)
	}
	return t.record(ctx, &made)
}

// record keeps a check-in as a person would: a draft is begun and saved.
func (t *teller) record(ctx context.Context, c *models.Checkin) error {
	draft := models.Draft{ClientID: c.ClientID, PersonID: c.EnteredBy, CorrectsID: c.ReplacesID}
	if err := t.store.CreateDraft(ctx, &draft); err != nil {
		return err
	}
	c.DraftID = draft.ID
	recorded, err := followup.RecordCheckin(ctx, t.store, t.clock.Now(), *c)
	c.ID = recorded.Checkin.ID
	return err
}

// swapped swaps the last two figures of a girth on the first limb and returns
// both forms.
func swapped(c *models.Checkin) (right, wrong string) {
	for i := range c.Limbs[0].Readings {
		r := &c.Limbs[0].Readings[i]
		mm := int(r.Girth) / 10
		other := quantity.FromMM(float64(mm - mm%100 + mm%10*10 + mm/10%10))
		if other == r.Girth {
			continue
		}
		right, wrong = millimetres(r.Girth), millimetres(other)
		r.Girth = other
		break
	}
	return right, wrong
}

// checkin makes up what is seen at a visit. The same visit gives the same
// readings each time.
func (t *teller) checkin(c models.Client, s story, index int, o occasion, limbs []*worn) models.Checkin {
	ago := s.visits[index]
	by := t.fitter
	if o.second {
		by = t.partner
	}
	rng := cohort.NewRand(limbs[0].seed + 500 + uint64(index))
	worst, average, hours, day := max(o.comfort-2, 0), o.comfort, 4+math.Round(4*rng.Float64())/2, 13.0
	weight := 58000 + int(limbs[0].seed/100000)*700 + o.gainG + 100*rng.IntN(6)
	at := t.day(ago).Add(time.Duration(-120+15*rng.IntN(8)) * time.Minute)
	made := models.Checkin{
		ClientID: c.ID, Kind: o.kind, MeasuredAt: at, Zone: zone, MeasuredBy: by.ID, EnteredBy: by.ID,
		Room: "usual", Activity: "usual", HoursWorn: &hours, WeightG: &weight, WeightWith: "prosthesis, light clothes",
		Fluid: o.fluid, ComfortAverage: &average, ComfortWorst: &worst, PainWorst: &o.pain, Looseness: &o.looseness,
		HoursPerDay: &day, Talk: o.talk, Notes: o.notes, NextOn: t.next(s, index),
	}
	if o.hot {
		made.Room = "hot"
	}
	for _, w := range limbs {
		made.Limbs = append(made.Limbs, w.seen(s, index, o, at))
	}
	return made
}

// next is the date that was agreed for the next check-in.
func (t *teller) next(s story, index int) quantity.Date {
	if index+1 < len(s.visits) {
		return t.dateOf(s.visits[index+1])
	}
	if s.next == 0 {
		return ""
	}
	return quantity.DateOf(t.today.AddDate(0, 0, s.next))
}

// seen is what a check-in holds about one limb.
func (w *worn) seen(s story, index int, o occasion, at time.Time) models.CheckinLimb {
	rng := cohort.NewRand(w.seed + 1 + uint64(index))
	minutesOff := cmp.Or(o.minutesOff, usualMinutes(w.limb.Level))
	doffed := at.Add(20 * time.Minute)
	firstReading := doffed.Add(time.Duration(minutesOff) * time.Minute)
	l := models.CheckinLimb{
		LimbID: w.limb.ID, CoverID: &w.cover.ID, ProsthesisID: &w.prosthesis.ID, Shoe: w.prosthesis.Shoe,
		LinerType: w.prosthesis.LinerType, LinerThickness: w.prosthesis.LinerThickness,
		ResidualNotDone: o.notDone["residual"], SoundNotDone: o.notDone["sound"], SocksNotDone: o.notDone["socks"],
		ClearanceNotDone: o.notDone["clearance"], FunctionNotDone: o.notDone["function"], SkinNotDone: o.notDone["skin"],
		Skin: o.skin, Functions: functions(w, o), Attachments: attachments(w, o),
	}
	if l.SocksNotDone == models.Done && !w.story.anchored && w.plan != nil {
		l.Socks = o.socks
	}
	l.Clearances = w.feel(rng, s.visits[index], o)
	if w.plan == nil {
		l.ResidualNotDone, l.SoundNotDone, l.SocksNotDone = models.NotPossible, models.NotPossible, models.NotPossible
		return l
	}
	if w.story.anchored {
		l.SocksNotDone = models.NotPossible
	}
	if !w.story.soundToo {
		l.SoundNotDone = models.NotPossible
	}
	l.PlanID, l.Posture, l.DoffedAt, l.FirstReadingAt, l.MinutesOff = &w.plan.ID, w.limb.LandmarkPosture, &doffed, &firstReading, &minutesOff
	days := float64(s.visits[0] - s.visits[index])
	length := quantity.FromMM(math.Round(w.truth.LengthMM * w.lengthFactor(days)))
	l.LengthMM10 = &length
	l.Readings = w.tape(rng, days, minutesOff, o, l)
	return l
}

// usualMinutes is the wait after doffing: 30 min for a thigh, 10 min for others.
func usualMinutes(a quantity.AmputationLevel) float64 {
	if a == quantity.Transfemoral || a == quantity.KneeDisarticulation {
		return 30
	}
	return 10
}

// lengthFactor is how much longer than on the first day the limb is.
func (w *worn) lengthFactor(days float64) float64 {
	factor := 1.0
	for _, c := range w.story.path {
		factor *= c.LengthFactorAt(days)
	}
	return factor
}

// tape reads both limbs by the error model. A pair of passes that lies apart
// gets a third reading, and the first visit a second round, as the form asks for.
func (w *worn) tape(rng *rand.Rand, days, minutesOff float64, o occasion, l models.CheckinLimb) []models.Reading {
	by := cohort.DefaultTape
	if o.second {
		by.FitterBias = partnerBias
	}
	levels := make([]float64, len(w.plan.Levels))
	for i, level := range w.plan.Levels {
		levels[i] = level.MM()
	}
	long := w.lengthFactor(days)
	grown := func(limb cohort.Limb) cohort.Limb {
		limb.LengthMM, limb.InflectionMM = limb.LengthMM*long, limb.InflectionMM*long
		return limb
	}
	// The volume of a limb that grows in length as well grows less in section.
	factor := w.story.path.FactorAt(days) / long * cohort.DayToDay(rng, dayToDayPercent) * w.truth.RiseAfter(minutesOff) / w.truth.RiseAfter(usualMinutes(w.limb.Level))
	var readings []models.Reading
	if l.ResidualNotDone == models.Done {
		readings = append(readings, passes(quantity.Residual, by.Read(rng, grown(w.truth), factor, levels, 3))...)
	}
	if l.ResidualNotDone == models.Done && (days == 0 || o.twice) {
		again := passes(quantity.Residual, by.Read(cohort.NewRand(w.seed+900+uint64(days)), grown(w.truth), factor, levels, 3))
		for i := range again {
			again[i].Pass += girth.PassesPerRound
		}
		readings = append(readings, again...)
	}
	if l.SoundNotDone == models.Done {
		sound := grown(w.sound)
		soundFactor := long * long * cohort.DayToDay(rng, dayToDayPercent/2)
		readings = append(readings, passes(quantity.Sound, by.Read(rng, sound, soundFactor, levels, 3))...)
	}
	return readings
}

// partnerBias is by how much the partner clinic draws the tape less tight.
const partnerBias = 0.008

// passes keeps two passes, and the third reading where the pair lies apart.
func passes(part quantity.BodyPart, three []girth.Reading) []models.Reading {
	n := len(three) / 3
	var kept []models.Reading
	for i, r := range three {
		level := i % n
		if r.Pass == 3 && !girth.NeedsReread(three[level].GirthMM, three[n+level].GirthMM) {
			continue
		}
		kept = append(kept, models.Reading{
			Part: part, Level: quantity.FromMM(r.LevelMM), Pass: r.Pass, Girth: quantity.FromMM(r.GirthMM),
		})
	}
	return kept
}

// feel reads the clearances: all stations at a delivery and after a change, and
// those of every time otherwise.
func (w *worn) feel(rng *rand.Rand, ago int, o occasion) []models.ClearanceReading {
	if o.notDone["clearance"] != models.Done {
		return nil
	}
	var read []models.ClearanceReading
	for _, s := range w.cover.Stations {
		gap := quantity.FromMM(cohort.Feel(rng, w.gapAt(s).TrueMM(float64(w.coverAgo-ago))))
		if o.kind == models.FollowUp && !s.EveryTime {
			continue
		}
		r := models.ClearanceReading{StationID: s.ID, Posture: s.Posture, Method: quantity.Feeler, Gap: &gap, Shoe: w.prosthesis.Shoe}
		if o.polished && w.told(s) {
			r.Touch = quantity.PolishMark
		}
		if gap == 0 {
			r.Gap, r.Touch = nil, quantity.Contact
		}
		read = append(read, r)
	}
	return read
}

// functions are the answered function checks.
func functions(w *worn, o occasion) []models.FunctionCheck {
	var checks []models.FunctionCheck
	for _, check := range models.FunctionChecks {
		f := models.FunctionCheck{Check: check, Answer: models.Yes}
		if check == "foot-free" && w.limb.Level.Arm() {
			f.Answer = models.NotChecked
		}
		if seen, no := o.noAnswers[check]; no {
			f.Answer, f.Note = models.No, seen
		}
		if check == "attachments-firm" && o.loose { // the point itself says it
			f.Answer = models.NotChecked
		}
		checks = append(checks, f)
	}
	return checks
}

// attachments are the attachment points as they were found.
func attachments(w *worn, o occasion) []models.AttachmentSeen {
	var seen []models.AttachmentSeen
	for i, a := range w.cover.Attachments {
		state := models.Firm
		if o.loose && i == len(w.cover.Attachments)-1 {
			state = models.Loose
		}
		seen = append(seen, models.AttachmentSeen{AttachmentID: a.ID, State: state})
	}
	return seen
}

func millimetres(l quantity.Length) string { return fmt.Sprintf("%.0f mm", l.MM()) }
