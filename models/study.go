package models

import (
	"slices"
	"time"

	"fairlead/analytics/quantity"
)

// StudyKind says what a repeatability study compares.
type StudyKind string

// The kinds of study.
const (
	FittersStudy StudyKind = "fitters" // the tape, by one fitter or several
	ScanStudy    StudyKind = "scan"    // volumes by tape against those by scan
)

// StudyKinds lists the kinds.
var StudyKinds = []StudyKind{FittersStudy, ScanStudy}

// Bounds of a study, far above what a workshop measures.
const (
	MostStudyRounds = 99
	MostStudyPasses = 9
)

// Study is a repeatability study: the same limbs measured over and over, so that
// the workshop's own error shows. It is never deleted. Once it has been taken
// into use its readings stay as they are.
type Study struct {
	ID     string
	Kind   StudyKind
	Name   string
	HeldOn quantity.Date
	// Levels, passes and rounds are what its pages ask for; readings that came from a
	// file may be others.
	Levels []quantity.Length `gorm:"serializer:json;column:levels_tenth_mm"`
	Passes int
	Rounds int // or trials
	// Measurers are who measured, or the methods; one may be without a name when a
	// file named nobody.
	Measurers []string `gorm:"serializer:json"`
	Subjects  []string `gorm:"serializer:json"` // codes of limbs, never names of clients
	Note      string
	MadeBy    string // name of a person
	CreatedAt time.Time
	Version   int

	Sheets  []StudySheet  `gorm:"-"` // of FittersStudy, by subject, measurer and round in the order of the study
	Volumes []StudyVolume `gorm:"-"` // of ScanStudy
	Uses    []StudyUse    `gorm:"-"` // the newest first
}

// StudySheet is one taping of one limb by one fitter on marks made afresh.
type StudySheet struct {
	ID        string
	StudyID   string
	Subject   string
	Measurer  string
	Round     int    // from 1, of the limb
	Marks     string // what a file called the round; empty otherwise
	EnteredBy string
	SavedAt   *time.Time // nil: nothing was entered yet
	Version   int
	Readings  []StudyReading `gorm:"-"` // by level and pass
}

// StudyReading is one girth of a sheet.
type StudyReading struct {
	ID      string
	SheetID string
	Level   quantity.Length `gorm:"column:level_tenth_mm"`
	Pass    int
	Girth   quantity.Length `gorm:"column:girth_tenth_mm"`
}

// StudyVolume is one volume of a study of tape against scan.
type StudyVolume struct {
	ID       string
	StudyID  string
	Subject  string
	Method   string
	Trial    int
	VolumeML float64 `gorm:"column:volume_ml"`
}

// StudyUse records that a study was taken into use, with the uncertainties of the
// tape that hold from then on: frozen, so that what was found with them can be
// worked out again whatever comes later.
type StudyUse struct {
	ID      string
	StudyID string
	Number  int // 1, 2, … within the workshop
	TakenAt time.Time
	TakenBy string // name of a person
	Note    string

	ReadingMM   float64 `gorm:"column:reading_mm"`
	LevelMM     float64 `gorm:"column:level_mm"`
	LandmarkMM  float64 `gorm:"column:landmark_mm"`
	BiasSame    float64 // as a fraction of girth
	BiasBetween float64
	// SourcePercent is what fitters differ by lastingly, in percent of a volume; 0
	// where no study in use had two of them.
	SourcePercent float64

	HeldOn  quantity.Date // of the study
	Limbs   int
	Fitters int

	WithdrawnAt     *time.Time
	WithdrawnBy     string
	WithdrawnReason string
}

// InUse returns the use of the study that stands, or nil.
func (s Study) InUse() *StudyUse {
	for i, u := range s.Uses {
		if u.WithdrawnAt == nil {
			return &s.Uses[i]
		}
	}
	return nil
}

// Frozen tells whether the study has ever been taken into use: its readings then
// stay as they are.
func (s Study) Frozen() bool { return len(s.Uses) > 0 }

// Entered counts the readings or volumes of the study.
func (s Study) Entered() int {
	n := len(s.Volumes)
	for _, sheet := range s.Sheets {
		n += len(sheet.Readings)
	}
	return n
}

// UseInForce returns the newest use that stands, of uses with the newest first,
// or nil where the defaults hold.
func UseInForce(uses []StudyUse) *StudyUse {
	i := slices.IndexFunc(uses, func(u StudyUse) bool { return u.WithdrawnAt == nil })
	if i < 0 {
		return nil
	}
	return &uses[i]
}
