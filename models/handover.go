package models

import (
	"crypto/sha256"
	"encoding/hex"
	"time"

	"fairlead/analytics/quantity"
)

// Means is how something was said.
type Means string

// The means of handing over and of answering.
const (
	ByPhone  Means = "phone"
	ByLetter Means = "letter"
)

// AllMeans lists the means.
var AllMeans = []Means{ByPhone, ByLetter}

// Handover is the act of telling a prosthetist who does not sign in about flags
// of one limb. It stands open until an answer is recorded.
type Handover struct {
	ID         string
	ClientID   string
	LimbID     string
	ToWhom     string
	Means      Means
	HandedOn   quantity.Date
	AskAgainOn quantity.Date // while no answer has come
	Note       string
	RecordedBy string // person id
	RecordedAt time.Time
	AnsweredAt *time.Time // when an answer was recorded
	Version    int

	FlagIDs []string `gorm:"-"`
	// FlagVersions are those at which flags were read, by id; who hands over one
	// without a version has read it as it stands.
	FlagVersions map[string]int `gorm:"-"`
}

// HandoverFlag puts a flag into a handover.
type HandoverFlag struct {
	HandoverID string `gorm:"primaryKey"`
	FlagID     string `gorm:"primaryKey"`
}

// Answer is what the prosthetist of a handover answered, as the fitter recorded
// it. Only a letter with its document attached closes flags about limb or socket,
// and only such a one decides.
type Answer struct {
	ID             string
	HandoverID     string
	ClientID       string
	LimbID         string
	FromWhom       string
	Means          Means
	AnsweredOn     quantity.Date // the date of the letter or of the call
	Said           string
	Decisions      []Decision `gorm:"serializer:json"` // that the document holds; limits have a record of their own
	DocumentSHA256 *string    `gorm:"column:document_sha256"`
	DocumentName   string     // as its file was called
	RecordedBy     string     // person id
	RecordedAt     time.Time
}

// Document is a file that was attached, kept byte by byte under its hash.
type Document struct {
	SHA256    string `gorm:"primaryKey;column:sha256"` // hexadecimal
	MediaType string // application/pdf, image/jpeg or image/png, told from the content
	Content   []byte
	CreatedAt time.Time
}

// Hash is the SHA-256 of the content in hexadecimal.
func (d Document) Hash() string {
	sum := sha256.Sum256(d.Content)
	return hex.EncodeToString(sum[:])
}
