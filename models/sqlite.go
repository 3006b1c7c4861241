package models

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"log/slog"
	"os"
	"strings"
	"time"

	"gorm.io/driver/sqlite"
	"gorm.io/gorm"
	msqlite "modernc.org/sqlite"
)

// sqliteConnections bounds the pool: readers run side by side, a writer waits
// its turn inside SQLite whatever the number.
const sqliteConnections = 8

// OpenSQLite opens the record in the file at path, makes the file when there
// is none, and brings it to the present version; a file of an older version is
// first copied beside itself. now is the store's clock. A file that a newer
// program has written is refused.
func OpenSQLite(ctx context.Context, path string, now func() time.Time, log *slog.Logger) (*Store, error) {
	store, err := openSQLite(ctx, path, now, log, sqliteMigrations())
	if err != nil {
		return nil, fmt.Errorf("open record %s: %w", path, err)
	}
	return store, nil
}

func openSQLite(ctx context.Context, path string, now func() time.Time, log *slog.Logger, migrations fs.FS) (*Store, error) {
	if err := makePrivate(path); err != nil {
		return nil, err
	}
	if err := migrateSQLite(ctx, path, now, migrations); err != nil {
		return nil, err
	}
	store, err := open(pureGo{sqlite.Dialector{DriverName: "sqlite", DSN: sqliteDSN(path, 1)}}, now, log)
	if err != nil {
		return nil, err
	}
	pool, err := store.db.DB()
	if err != nil {
		return nil, err
	}
	pool.SetMaxOpenConns(sqliteConnections)
	pool.SetMaxIdleConns(sqliteConnections)
	return store, nil
}

// makePrivate makes the file at path, readable by its owner alone, unless it
// is there. SQLite gives its side files the same permissions.
func makePrivate(path string) error {
	f, err := os.OpenFile(path, os.O_CREATE|os.O_RDWR, 0o600)
	if err != nil {
		return fmt.Errorf("the folder must exist and be writable: %w", err)
	}
	return f.Close()
}

// sqliteDSN names the file and, as every pooled connection must have them, all
// settings. Transactions begin immediate: a deferred one that reads and then
// writes fails with "database is locked" whatever the busy timeout. FULL keeps
// an acknowledged check-in through a power cut. Times are written in UTC in
// SQLite's own form, so that they sort as text and read back exactly.
func sqliteDSN(path string, foreignKeys int) string {
	escaped := strings.NewReplacer("%", "%25", "?", "%3f", "#", "%23", "&", "%26").Replace(path)
	return fmt.Sprintf("file:%s?_pragma=busy_timeout(5000)&_pragma=foreign_keys(%d)&_pragma=journal_mode(WAL)"+
		"&_pragma=synchronous(FULL)&_txlock=immediate&_time_format=sqlite&_timezone=UTC", escaped, foreignKeys)
}

// pureGo is gorm's SQLite dialect over the driver without C, whose errors the
// stock dialect cannot read.
type pureGo struct{ sqlite.Dialector }

// Translate maps SQLite's extended result codes (sqlite.org/rescode.html) to
// gorm's errors.
func (d pureGo) Translate(err error) error {
	var e *msqlite.Error
	if !errors.As(err, &e) {
		return err
	}
	switch e.Code() {
	case 1555, 2067: // SQLITE_CONSTRAINT_PRIMARYKEY, _UNIQUE
		return gorm.ErrDuplicatedKey
	case 787: // SQLITE_CONSTRAINT_FOREIGNKEY
		return gorm.ErrForeignKeyViolated
	case 275, 1299: // SQLITE_CONSTRAINT_CHECK, _NOTNULL
		return gorm.ErrCheckConstraintViolated
	}
	return err
}

// copySQLite writes a whole copy of the database behind db to the file at path.
func copySQLite(ctx context.Context, db *sql.DB, path string) error {
	if err := makePrivate(path); err != nil {
		return err
	}
	if _, err := db.ExecContext(ctx, "VACUUM INTO ?", path); err != nil {
		return fmt.Errorf("copy to %s: %w", path, err)
	}
	return nil
}
