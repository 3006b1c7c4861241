package models

import (
	"errors"
	"fmt"

	"gorm.io/gorm"
)

// The kinds of error that a caller can tell apart with errors.Is. Everything
// else is a failure of the database.
var (
	// ErrNotFound: there is no such record.
	ErrNotFound = errors.New("not found")
	// ErrConflict: something that must be unique is already there.
	ErrConflict = errors.New("already there")
	// ErrInUse: another record refers to this one, or this one refers to a
	// record that is not there.
	ErrInUse = errors.New("still referred to, or refers to nothing")
	// ErrInvalid: a value is outside what the record can hold.
	ErrInvalid = errors.New("value cannot be recorded")
	// ErrStale: the record has been changed since it was read.
	ErrStale = errors.New("changed by someone else meanwhile")
	// ErrArchived: the client is archived, so nothing can be added.
	ErrArchived = errors.New("client is archived")
	// ErrTooLarge: more than one record of its kind may hold.
	ErrTooLarge = errors.New("more than the record holds")
	// ErrTooMany: more than may be sent or begun in this time.
	ErrTooMany = errors.New("too many in this time")
)

// fold turns an error of gorm or of a driver into one of the kinds above, named
// after the operation. The text of the database is dropped from those kinds,
// since PostgreSQL quotes the values it refuses; an error that is folded
// already passes unchanged.
func fold(operation string, err error) error {
	switch {
	case err == nil:
		return nil
	case folded(err):
		return err
	case errors.Is(err, gorm.ErrRecordNotFound):
		return fmt.Errorf("%s: %w", operation, ErrNotFound)
	case errors.Is(err, gorm.ErrDuplicatedKey):
		return fmt.Errorf("%s: %w", operation, ErrConflict)
	case errors.Is(err, gorm.ErrForeignKeyViolated):
		return fmt.Errorf("%s: %w", operation, ErrInUse)
	case errors.Is(err, gorm.ErrCheckConstraintViolated):
		return fmt.Errorf("%s: %w", operation, ErrInvalid)
	}
	return &databaseError{operation, err}
}

// folded tells whether err has been through fold.
func folded(err error) bool {
	for _, kind := range []error{ErrNotFound, ErrConflict, ErrInUse, ErrInvalid, ErrStale, ErrArchived, ErrTooLarge, ErrTooMany} {
		if errors.Is(err, kind) {
			return true
		}
	}
	var e *databaseError
	return errors.As(err, &e)
}

// databaseError is a failure of the database, such as a lost connection.
type databaseError struct {
	operation string
	err       error
}

// Error names the operation and the failure.
func (e *databaseError) Error() string { return e.operation + ": " + e.err.Error() }

// Unwrap returns the driver's error, or a context's.
func (e *databaseError) Unwrap() error { return e.err }
