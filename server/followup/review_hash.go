package followup

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"time"

	"fairlead/analytics/quantity"
	"fairlead/models"
)

// signedContent is what a signature covers, in the order in which it is hashed.
type signedContent struct {
	ID         string `json:"id"`
	ClientID   string `json:"client_id"`
	LimbID     string `json:"limb_id"`
	Number     int    `json:"number"`
	SignedAt   string `json:"signed_at"` // RFC 3339 in UTC, to the microsecond
	SignedBy   string `json:"signed_by"`
	SignerName string `json:"signer_name"`
	// Absent where they were not recorded: so is what was signed before.
	PasswordChosenAt string            `json:"password_chosen_at,omitempty"` // like SignedAt
	PasswordLinkBy   string            `json:"password_link_by,omitempty"`
	Decisions        []models.Decision `json:"decisions"`
	Note             string            `json:"note"`
	LookAgainOn      quantity.Date     `json:"look_again_on"`
	Saw              models.Saw        `json:"saw"`
	Limits           *signedLimits     `json:"limits"` // null: left as they were
}

// signedLimits are limits as they are signed.
type signedLimits struct {
	LossPercent       float64       `json:"loss_percent"`
	LossReviewPercent float64       `json:"loss_review_percent"`
	GainPercent       float64       `json:"gain_percent"`
	GainTodayPercent  float64       `json:"gain_today_percent"`
	RoomTenthMM       *int64        `json:"room_tenth_mm"`
	Reason            string        `json:"reason"`
	SetBy             string        `json:"set_by"`
	SetOn             quantity.Date `json:"set_on"`
}

// ContentHash is the SHA-256, hexadecimal, of what a review says and the limits
// that it set or confirmed (nil for none), as JSON with the fields in a fixed
// order and without white space. It does not cover ContentHash itself.
func ContentHash(r models.Review, set *models.LimbLimits) string {
	content := signedContent{
		ID: r.ID, ClientID: r.ClientID, LimbID: r.LimbID, Number: r.Number,
		SignedAt: signedTime(r.SignedAt), PasswordLinkBy: r.PasswordLinkBy,
		SignedBy: r.SignedBy, SignerName: r.SignerName, Decisions: present(r.Decisions), Note: r.Note, LookAgainOn: r.LookAgainOn,
		Saw: models.Saw{
			Checkins: present(r.Saw.Checkins), Flags: present(r.Saw.Flags), Reports: present(r.Saw.Reports), LimitsID: r.Saw.LimitsID,
		},
	}
	if r.PasswordChosenAt != nil {
		content.PasswordChosenAt = signedTime(*r.PasswordChosenAt)
	}
	if set != nil {
		content.Limits = &signedLimits{
			LossPercent: set.LossPercent, LossReviewPercent: set.LossReviewPercent, GainPercent: set.GainPercent,
			GainTodayPercent: set.GainTodayPercent, Reason: set.Reason, SetBy: set.SetBy, SetOn: set.SetOn,
		}
		if set.Room != nil {
			tenths := int64(*set.Room)
			content.Limits.RoomTenthMM = &tenths
		}
	}
	text, err := json.Marshal(content)
	if err != nil {
		panic(fmt.Sprintf("what a review signs always marshals: %v", err)) // texts, whole numbers and limits that the store bounds
	}
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:])
}

// signedTime is a time as it is hashed.
func signedTime(at time.Time) string {
	return at.UTC().Truncate(time.Microsecond).Format(time.RFC3339Nano)
}

// Unchanged tells whether a review and the limits that it set or confirmed are
// still what was signed.
func Unchanged(r models.Review, set *models.LimbLimits) bool {
	return ContentHash(r, set) == r.ContentHash
}

// present is a list as it reads back from the record: empty rather than absent.
func present[T any](list []T) []T {
	if list == nil {
		return []T{}
	}
	return list
}
