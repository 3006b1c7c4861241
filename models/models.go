package models

import (
	"context"
	"errors"
	"log/slog"
	"time"

	"github.com/google/uuid"
	"gorm.io/gorm"
	"gorm.io/gorm/logger"
	"gorm.io/gorm/schema"
)

// slowQuery is the time after which a statement is worth a line in the log.
const slowQuery = 200 * time.Millisecond

// Store keeps the record in one database. Its methods may be called from many
// goroutines; the Store that InTx hands out belongs to one.
type Store struct {
	db   *gorm.DB
	now  func() time.Time
	inTx bool
}

// Close ends all connections of the store.
func (s *Store) Close() error {
	pool, err := s.db.DB()
	if err != nil {
		return fold("close", err)
	}
	return fold("close", pool.Close())
}

// Ping tells whether the database answers.
func (s *Store) Ping(ctx context.Context) error {
	pool, err := s.db.DB()
	if err != nil {
		return fold("ping", err)
	}
	return fold("ping", pool.PingContext(ctx))
}

// InTx runs f with a store whose work is kept whole or not at all: an error of
// f undoes it and is returned. Inside f only the store that it is given may be
// used. Calls may be nested; an inner one that fails undoes its own part.
func (s *Store) InTx(ctx context.Context, f func(*Store) error) error {
	if s.inTx {
		return s.inSavepoint(ctx, f)
	}
	var inner error
	err := s.db.WithContext(ctx).Transaction(func(tx *gorm.DB) error {
		inner = f(&Store{db: tx, now: s.now, inTx: true})
		return inner
	})
	if inner != nil {
		return inner
	}
	return fold("transaction", err)
}

// inSavepoint is InTx inside a transaction. gorm's own savepoints are never
// released, so that a transaction of many steps slows down with every step.
// The name may repeat: the innermost one is meant.
func (s *Store) inSavepoint(ctx context.Context, f func(*Store) error) error {
	db := s.db.WithContext(ctx)
	if err := db.Exec("SAVEPOINT inner_step").Error; err != nil {
		return fold("savepoint", err)
	}
	if inner := f(&Store{db: db, now: s.now, inTx: true}); inner != nil {
		// what is undone must be undone although the caller has gone
		undo := s.db.WithContext(context.WithoutCancel(ctx))
		for _, statement := range []string{"ROLLBACK TO SAVEPOINT inner_step", "RELEASE SAVEPOINT inner_step"} {
			if err := undo.Exec(statement).Error; err != nil {
				return errors.Join(inner, fold("undo", err))
			}
		}
		return inner
	}
	return fold("savepoint", db.Exec("RELEASE SAVEPOINT inner_step").Error)
}

// update writes all columns of record, which holds version as its Version
// already raised by one, except those of omit, if the stored row still has the
// version before that. Otherwise it returns ErrStale, or ErrNotFound for no row.
func (s *Store) update(ctx context.Context, record any, id string, version int, omit ...string) error {
	result := s.db.WithContext(ctx).Model(record).Where("id = ? AND version = ?", id, version-1).
		Select("*").Omit(append(omit, "ID", "CreatedAt")...).Updates(record)
	if result.Error != nil || result.RowsAffected == 1 {
		return result.Error
	}
	return s.missingOrStale(ctx, record, id)
}

// missingOrStale says why an update under a version met no row.
func (s *Store) missingOrStale(ctx context.Context, record any, id string) error {
	var n int64
	if err := s.db.WithContext(ctx).Model(record).Where("id = ?", id).Count(&n).Error; err != nil {
		return err
	}
	if n == 0 {
		return ErrNotFound
	}
	return ErrStale
}

// NewID returns a random id in UUIDv7 form; ids made later sort later.
// It panics only when the system has no randomness to give.
func NewID() string { return uuid.Must(uuid.NewV7()).String() }

// newIfEmpty keeps an id that the caller chose and makes one otherwise.
func newIfEmpty(id string) string {
	if id == "" {
		return NewID()
	}
	return id
}

// clock returns the time of the store's clock as it is stored.
func (s *Store) clock() time.Time { return stored(s.now()) }

// stored rounds a time down to the microseconds that PostgreSQL keeps, in UTC,
// so that a record in hand equals the record in either database.
func stored(t time.Time) time.Time { return t.UTC().Truncate(time.Microsecond) }

// storedPointer is stored for a time that may be unknown.
func storedPointer(t *time.Time) *time.Time {
	if t == nil {
		return nil
	}
	u := stored(*t)
	return &u
}

// open starts gorm over a dialect. Statements reach the log without their
// values: those are health records.
func open(dialect gorm.Dialector, now func() time.Time, log *slog.Logger) (*Store, error) {
	db, err := gorm.Open(dialect, &gorm.Config{
		TranslateError:         true,
		SkipDefaultTransaction: true,
		CreateBatchSize:        500,
		NowFunc:                func() time.Time { return stored(now()) },
		NamingStrategy:         tables{},
		Logger: logger.NewSlogLogger(log, logger.Config{
			SlowThreshold:             slowQuery,
			LogLevel:                  logger.Warn,
			IgnoreRecordNotFoundError: true,
			ParameterizedQueries:      true,
		}),
	})
	if err != nil {
		return nil, err
	}
	return &Store{db: db, now: now}, nil
}

// tables names the table of each record; columns follow gorm's convention.
type tables struct{ schema.NamingStrategy }

// tableNames holds every table of the record.
var tableNames = map[string]string{
	"Person":           "people",
	"Workshop":         "workshops",
	"OneTimeLink":      "one_time_links",
	"session":          "sessions",
	"signInAttempt":    "sign_in_attempts",
	"Client":           "clients",
	"Contact":          "contacts",
	"CareTeamMember":   "care_team",
	"CareTeamChange":   "care_team_changes",
	"Limb":             "limbs",
	"MeasuringPlan":    "measuring_plans",
	"Prosthesis":       "prostheses",
	"Event":            "events",
	"Cover":            "covers",
	"Attachment":       "attachments",
	"Station":          "stations",
	"Checkin":          "checkins",
	"CheckinLimb":      "checkin_limbs",
	"Reading":          "readings",
	"ClearanceReading": "clearance_readings",
	"FunctionCheck":    "function_checks",
	"SkinFinding":      "skin_findings",
	"AttachmentSeen":   "attachments_seen",
	"Draft":            "drafts",
	"Flag":             "flags",
	"FlagEvidence":     "flag_evidence",
	"FlagStep":         "flag_steps",
	"Handover":         "handovers",
	"HandoverFlag":     "handover_flags",
	"Answer":           "answers",
	"Document":         "documents",
	"Review":           "reviews",
	"LimbLimits":       "limb_limits",
	"ReportLink":       "report_links",
	"ReportDraft":      "report_drafts",
	"Report":           "reports",
	"Study":            "studies",
	"StudySheet":       "study_sheets",
	"StudyReading":     "study_readings",
	"StudyVolume":      "study_volumes",
	"StudyUse":         "study_uses",
}

// TableName implements gorm's naming of tables. A record that is missing from
// tableNames gets an empty name, which fails at its first statement.
func (tables) TableName(record string) string { return tableNames[record] }
