package models

import (
	"time"

	"fairlead/analytics/quantity"
)

// CheckinKind is the occasion of a check-in.
type CheckinKind string

// The kinds of check-in.
const (
	Delivery    CheckinKind = "delivery"
	FollowUp    CheckinKind = "follow-up"
	AfterChange CheckinKind = "after-change"
)

// CheckinKinds lists the kinds.
var CheckinKinds = []CheckinKind{Delivery, FollowUp, AfterChange}

// Checkin is one visit as it was recorded. A correction is a new Checkin that
// names the one it replaces and why; the old one is kept.
type Checkin struct {
	ID             string
	ClientID       string
	Kind           CheckinKind
	MeasuredAt     time.Time
	Zone           string // IANA zone of the place of measurement
	MeasuredBy     string // person id
	EnteredAt      time.Time
	EnteredBy      string // person id
	Room           string // "", cold, usual, hot
	Activity       string // in the last hour: "", rest, usual, heavy
	HoursWorn      *float64
	WeightG        *int
	WeightWith     string   // what was worn on the scale
	Fluid          []string `gorm:"serializer:json"` // fluid-relevant conditions, see FluidConditions
	DialysisHours  *float64 // since the last session
	ComfortAverage *int     // 0–10, last 7 days
	ComfortWorst   *int
	PainWorst      *int
	Looseness      *int // −5 too loose … 0 … +5 too tight
	HoursPerDay    *float64
	Talk           string // what the client says
	Notes          string
	NextOn         quantity.Date
	Number         int     // 1 for the first version of this visit, then 2, …
	ReplacesID     *string // the version that this one corrects; unique
	Reason         string  // of the correction
	SupersededAt   *time.Time
	DraftID        string // unique where there is one: a resubmitted form makes one record

	Limbs []CheckinLimb `gorm:"-"`
}

// FluidConditions are the conditions that shift fluid (domain notes, section 4.3).
var FluidConditions = []string{
	"heart-failure", "kidney-disease", "dialysis", "diabetes", "arterial-disease", "pregnancy", "cycle-swelling",
	"new-medicine", "recent-fall", "recent-illness", "night-compression",
}

// NotDone gives the reason why a part of a check-in was left out; empty when it
// was done.
type NotDone string

// The reasons to leave a part out.
const (
	Done        NotDone = ""
	NoTime      NotDone = "time"
	Pain        NotDone = "pain"
	Declined    NotDone = "declined"
	OpenSkin    NotDone = "skin"
	NotPossible NotDone = "not-applicable"
)

// ClientGone is a reason for no second round alone.
const ClientGone NotDone = "gone"

// NoSecondReasons lists the reasons to measure no second time.
var NoSecondReasons = []NotDone{ClientGone, NoTime, Pain, Declined, OpenSkin}

// NotDoneReasons lists the reasons.
var NotDoneReasons = []NotDone{NoTime, Pain, Declined, OpenSkin, NotPossible}

// CheckinLimb is what a check-in holds about one limb.
type CheckinLimb struct {
	ID               string
	CheckinID        string
	LimbID           string
	PlanID           *string
	CoverID          *string
	ProsthesisID     *string
	DoffedAt         *time.Time
	FirstReadingAt   *time.Time
	MinutesOff       *float64         // minutes from doffing to the first reading
	Posture          string           // of the limb while it is taped
	LengthMM10       *quantity.Length `gorm:"column:length_tenth_mm"` // landmark to distal end, this visit
	Shoe             string
	LinerType        string
	LinerThickness   *quantity.Length `gorm:"column:liner_thickness_tenth_mm"`
	Socks            []Sock           `gorm:"serializer:json"` // from the skin outwards, all three occasions
	ResidualNotDone  NotDone
	SoundNotDone     NotDone
	SecondNotDone    NotDone    // why the residual limb was not measured a second time when that was asked for
	SecondReadingAt  *time.Time // when the second round of the residual limb began
	SecondMinutesOff *float64   // minutes from doffing to then
	ClearanceNotDone NotDone
	FunctionNotDone  NotDone
	SkinNotDone      NotDone
	SocksNotDone     NotDone

	Readings    []Reading          `gorm:"-"`
	Clearances  []ClearanceReading `gorm:"-"`
	Functions   []FunctionCheck    `gorm:"-"`
	Skin        []SkinFinding      `gorm:"-"`
	Attachments []AttachmentSeen   `gorm:"-"`
}

// SockOccasion is when a stack of socks was worn.
type SockOccasion string

// The occasions of a sock stack.
const (
	SocksMorning SockOccasion = "morning"
	SocksNow     SockOccasion = "now"
	SocksMost    SockOccasion = "most"
)

// SockOccasions lists the occasions in the order in which they are asked.
var SockOccasions = []SockOccasion{SocksMorning, SocksNow, SocksMost}

// Sock is one sock of a stack. Ply is a maker's number, not a thickness.
type Sock struct {
	Occasion SockOccasion `json:"occasion"`
	Ply      int          `json:"ply"`
	Material string       `json:"material,omitempty"` // "", single, blended
	Worn     bool         `json:"worn,omitempty"`     // worn thin rather than new
}

// Reading is one raw tape reading.
type Reading struct {
	ID            string
	CheckinLimbID string
	Part          quantity.BodyPart
	Level         quantity.Length `gorm:"column:level_tenth_mm"`
	Pass          int
	Girth         quantity.Length `gorm:"column:girth_tenth_mm"`
}

// Round is the round of its visit that a reading belongs to: 1, or 2 for one of the
// second complete round of a residual limb, with the marks made afresh. It holds for
// plans of up to quantity.PassesPerRound passes; see CheckinLimb.Rounds.
func (r Reading) Round() int { return (r.Pass-1)/quantity.PassesPerRound + 1 }

// Rounds parts the readings of a body part into the first round and the second one.
// plan is the one that the visit followed: of one with more passes than a round has,
// made before there were rounds, all readings are of the first.
func (l CheckinLimb) Rounds(part quantity.BodyPart, plan *MeasuringPlan) (first, second []Reading) {
	for _, r := range l.Readings {
		switch {
		case r.Part != part:
		case r.Round() == 1 || plan != nil && plan.Passes > quantity.PassesPerRound:
			first = append(first, r)
		default:
			second = append(second, r)
		}
	}
	return first, second
}

// ClearanceReading is one gap, or one touch, at one station.
type ClearanceReading struct {
	ID            string
	CheckinLimbID string
	StationID     string
	Posture       quantity.Posture
	Method        quantity.ClearanceMethod
	Gap           *quantity.Length `gorm:"column:gap_tenth_mm"`
	Touch         quantity.Touch
	Shoe          string
}

// FunctionChecks are the things that must work before a cover leaves the bench
// (DESIGN section 3). An answer of no means: cover off until the prosthetist
// has looked.
var FunctionChecks = []string{
	"release-free", "openings-reachable", "full-extension", "swing-free", "foot-free", "attachments-firm", "no-crack",
}

// CheckAnswer is the answer to a function check.
type CheckAnswer string

// The answers to a function check.
const (
	Yes        CheckAnswer = "yes"
	No         CheckAnswer = "no"
	NotChecked CheckAnswer = "not-checked"
)

// CheckAnswers lists the answers.
var CheckAnswers = []CheckAnswer{Yes, No, NotChecked}

// FunctionCheck is one answered function check.
type FunctionCheck struct {
	ID            string
	CheckinLimbID string
	Check         string `gorm:"column:check_name"`
	Answer        CheckAnswer
	Note          string
}

// SkinSigns is the pick list for what is seen on the skin (domain notes, section 6.1).
var SkinSigns = []string{
	"redness-fades", "redness-stays", "rub-mark", "blister", "callus", "lump", "rash", "open-sore", "warty-end",
	"colour-change", "swelling", "discharge", "other",
}

// SkinMoment is when the skin was looked at.
type SkinMoment string

// The moments at which skin is looked at.
const (
	OnDoffing SkinMoment = "on-doffing"
	AfterTape SkinMoment = "after-tape"
)

// SkinFinding is something seen on the skin; it is recorded, never staged.
type SkinFinding struct {
	ID            string
	CheckinLimbID string
	Moment        SkinMoment
	Place         string
	Sign          string
	Note          string
}

// AttachmentSeen is how an attachment point was found at a check-in.
type AttachmentSeen struct {
	ID            string
	CheckinLimbID string
	AttachmentID  string
	State         AttachmentState
}
