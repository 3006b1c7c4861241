package models

import (
	"cmp"
	"time"

	"fairlead/analytics/quantity"
)

// DecisionKind is what a prosthetist decided.
type DecisionKind string

// The kinds of decision.
const (
	Adjust            DecisionKind = "adjust"
	DoNotWear         DecisionKind = "do-not-wear" // until seen
	CoverOff          DecisionKind = "cover-off"   // until a day or what the note says
	SockAdvice        DecisionKind = "sock-advice" // was given
	LimitsConfirmed   DecisionKind = "limits"      // set or confirmed
	Refer             DecisionKind = "refer"       // to somebody else
	NoChangeDecided   DecisionKind = "no-change"   // carry on as it is
	OtherDecision     DecisionKind = "other"       // the note says what
	LookAgainDecision DecisionKind = "look-again"  // by a day
)

// DecisionKinds lists the kinds of decision.
var DecisionKinds = []DecisionKind{
	LookAgainDecision, Adjust, DoNotWear, CoverOff, SockAdvice, LimitsConfirmed, Refer, NoChangeDecided, OtherDecision,
}

// Decision is one decision of a review.
type Decision struct {
	Kind  DecisionKind  `json:"kind"`
	Until quantity.Date `json:"until,omitempty"` // of look-again and cover-off
	Note  string        `json:"note,omitempty"`
}

// Saw is what lay before the prosthetist who signed.
type Saw struct {
	Checkins []SawCheckin `json:"checkins"`
	Flags    []SawFlag    `json:"flags"`
	Reports  []string     `json:"reports"` // ids
	LimitsID string       `json:"limits_id,omitempty"`
}

// SawCheckin is a check-in of the limb in the version that was seen.
type SawCheckin struct {
	ID       string `json:"id"`
	Number   int    `json:"number"`
	Readings int    `json:"readings"` // girths of this limb
}

// SawFlag is a flag in the version that was seen, and what became of it.
type SawFlag struct {
	ID      string `json:"id"`
	Version int    `json:"version"`
	Level   string `json:"level"`
	Closed  bool   `json:"closed"`
	Reason  string `json:"reason,omitempty"`
}

// Review is a prosthetist's signed look at one limb. It never changes; another
// review may follow it.
type Review struct {
	ID         string
	ClientID   string
	LimbID     string
	Number     int // 1, 2, … within the limb
	SignedAt   time.Time
	SignedBy   string // person id
	SignerName string // as it was on that day
	// PasswordChosenAt and PasswordLinkBy are what Person says of the password
	// that it was signed with.
	PasswordChosenAt *time.Time
	PasswordLinkBy   string
	Decisions        []Decision `gorm:"serializer:json"`
	Note             string
	LookAgainOn      quantity.Date
	Saw              Saw    `gorm:"serializer:json"`
	ContentHash      string // SHA-256 of what was signed, hexadecimal

	// SignedAs is SignerName with the sign-in name beside it, where another account
	// has the same name; else empty. Whatever loads reviews fills it in.
	SignedAs string `gorm:"-"`
}

// Signer is the name of who signed, told from everybody else with an account.
func (r Review) Signer() string { return cmp.Or(r.SignedAs, r.SignerName) }

// LimbLimits are the limits of one limb that a prosthetist set or confirmed, by
// a signed review or by letter. A new version never changes an old one.
type LimbLimits struct {
	ID                string
	LimbID            string
	Number            int // 1, 2, … within the limb; the last is in force
	LossPercent       float64
	LossReviewPercent float64
	GainPercent       float64
	GainTodayPercent  float64
	Room              *quantity.Length `gorm:"column:room_tenth_mm"` // nil: none set
	Reason            string
	SetBy             string // the prosthetist's name
	SetOn             quantity.Date
	ReviewID          *string
	AnswerID          *string // per letter of
	CreatedAt         time.Time
}
