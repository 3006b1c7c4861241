package models

import (
	"encoding/json"
	"slices"
	"time"

	"fairlead/analytics/quantity"
)

// Flag is an open or closed claim with evidence (DESIGN section 5). There is
// at most one open flag per limb, rule and place.
type Flag struct {
	ID       string
	ClientID string
	LimbID   string
	Rule     string // as in package assess
	Place    string // where on the limb or cover; empty for the whole
	About    string // cover, limb, skin, data: decides who may close it
	Level    string // now, soon, watch
	OpenedAt time.Time
	// SeenAt is when somebody first saw what the flag says; evidence of level now
	// that comes after asks for another look and takes it back.
	SeenAt *time.Time
	// HandoverID is the handover whose answer an open flag awaits, and AskAgainOn
	// the day on which to ask again; both are empty where it awaits none.
	HandoverID     *string
	AskAgainOn     quantity.Date
	ClosedAt       *time.Time
	ClosedBy       string // person id: who signed, or who recorded what was done or answered
	CloseReason    string
	ClosedReviewID *string // the signed review that closed it
	ClosedAnswerID *string // the written answer that closed it
	Version        int

	Evidence []FlagEvidence `gorm:"-"` // newest first
	Steps    []FlagStep     `gorm:"-"` // oldest first
}

// LastHandover is the id of the handover by which the flag was last handed over,
// whether its answer came or not; empty for none. Steps must be filled in.
func (f Flag) LastHandover() string {
	for _, step := range slices.Backward(f.Steps) {
		if step.Kind == StepHandedOver && step.HandoverID != nil {
			return *step.HandoverID
		}
	}
	return ""
}

// FlagEvidence is one finding that opened a flag or was added to it. It rests on
// a check-in or on a client's report, never on both.
type FlagEvidence struct {
	ID          string
	FlagID      string
	CheckinID   *string
	ReportID    *string
	RuleVersion int
	Level       string
	Finding     json.RawMessage `gorm:"serializer:json"` // of the assess.Finding
	AddedAt     time.Time
}

// FlagStepKind is what somebody did about a flag.
type FlagStepKind string

// The kinds of step. None of them closes a flag.
const (
	StepSeen       FlagStepKind = "seen"
	StepCalled     FlagStepKind = "called"
	StepActed      FlagStepKind = "acted"       // something was done to the cover
	StepHandedOver FlagStepKind = "handed-over" // to a prosthetist who does not sign in
	StepAskedAgain FlagStepKind = "asked-again"
	StepAnswered   FlagStepKind = "answered"
	StepReviewed   FlagStepKind = "reviewed" // a review that was signed has listed it
)

// FlagStepKinds lists the kinds.
var FlagStepKinds = []FlagStepKind{StepSeen, StepCalled, StepActed, StepHandedOver, StepAskedAgain, StepAnswered, StepReviewed}

// CallOutcome is what came of a call about a flag.
type CallOutcome string

// The outcomes of a call.
const (
	Reached     CallOutcome = "reached"
	MessageLeft CallOutcome = "message-left"
	NoAnswer    CallOutcome = "no-answer"
)

// CallOutcomes lists the outcomes.
var CallOutcomes = []CallOutcome{Reached, MessageLeft, NoAnswer}

// CoverAction is what the workshop did about a flag of a cover.
type CoverAction string

// What can be done about a cover.
const (
	Trimmed             CoverAction = "trimmed"
	HeatFormed          CoverAction = "heat-formed"
	SpacerPutIn         CoverAction = "spacer"
	AttachmentTightened CoverAction = "attachment-tightened"
	AttachmentReplaced  CoverAction = "attachment-replaced"
	MadeAgain           CoverAction = "made-again"
	NothingDone         CoverAction = "nothing" // the note says why
)

// CoverActions lists what can be done.
var CoverActions = []CoverAction{
	Trimmed, HeatFormed, SpacerPutIn, AttachmentTightened, AttachmentReplaced, MadeAgain, NothingDone,
}

// FlagStep is one thing that somebody did about a flag. Steps are added and
// never changed.
type FlagStep struct {
	ID          string
	FlagID      string
	Kind        FlagStepKind
	MadeAt      time.Time // when it was recorded
	MadeBy      string    // person id
	CalledAt    *time.Time
	Outcome     CallOutcome
	CoverAction CoverAction
	GapBefore   *quantity.Length `gorm:"column:gap_before_tenth_mm"`
	GapAfter    *quantity.Length `gorm:"column:gap_after_tenth_mm"`
	Note        string
	AskAgainOn  quantity.Date // as it was set with the step; empty for none, and for what was recorded before it was kept
	HandoverID  *string
	AnswerID    *string
	ReviewID    *string
}

// Closing is how a flag comes to be closed. A flag about limb, socket or skin
// closes by a signed review or a written answer alone.
type Closing struct {
	By       string // person id
	Reason   string
	ReviewID *string
	AnswerID *string
}
