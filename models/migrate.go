package models

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"time"

	"github.com/pressly/goose/v3"
	"github.com/pressly/goose/v3/lock"
)

// migrationFiles holds one folder per kind of database with the same numbers
// and names in both.
//
//go:embed migrations
var migrationFiles embed.FS

func sqliteMigrations() fs.FS   { return migrationsOf("sqlite") }
func postgresMigrations() fs.FS { return migrationsOf("postgres") }

func migrationsOf(kind string) fs.FS {
	sub, err := fs.Sub(migrationFiles, "migrations/"+kind)
	if err != nil {
		panic(err) // only for a path that is not valid
	}
	return sub
}

// migrateSQLite brings the file at path to the newest version in migrations.
// It works on a handle of its own without foreign keys: rebuilding a table
// with them on would delete the rows that refer to it. They are checked after.
func migrateSQLite(ctx context.Context, path string, now func() time.Time, migrations fs.FS) (err error) {
	db, err := sql.Open("sqlite", sqliteDSN(path, 0))
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	db.SetMaxOpenConns(1)
	provider, err := goose.NewProvider(goose.DialectSQLite3, db, migrations, goose.WithDisableGlobalRegistry(true))
	if err != nil {
		return err
	}
	current, pending, err := pendingFrom(ctx, provider)
	if err != nil || !pending {
		return err
	}
	if current > 0 {
		copyPath := fmt.Sprintf("%s.version-%d.%s", path, current, now().UTC().Format("20060102T150405Z"))
		if err := copySQLite(ctx, db, copyPath); err != nil {
			return fmt.Errorf("before bringing the record to a newer version: %w", err)
		}
	}
	if _, err := provider.Up(ctx); err != nil {
		return err
	}
	return checkForeignKeys(ctx, db)
}

// migratePostgres brings the database to the newest version. The lock lets one
// program at a time do so.
func migratePostgres(ctx context.Context, db *sql.DB) error {
	locker, err := lock.NewPostgresSessionLocker(lock.WithLockTimeout(1, 300))
	if err != nil {
		return err
	}
	provider, err := goose.NewProvider(goose.DialectPostgres, db, postgresMigrations(),
		goose.WithSessionLocker(locker), goose.WithDisableGlobalRegistry(true))
	if err != nil {
		return err
	}
	_, pending, err := pendingFrom(ctx, provider)
	if err != nil || !pending {
		return err
	}
	_, err = provider.Up(ctx)
	return err
}

// pendingFrom returns the version that the database has and whether a newer
// one waits. A database ahead of this program is an error.
func pendingFrom(ctx context.Context, provider *goose.Provider) (current int64, pending bool, err error) {
	current, target, err := provider.GetVersions(ctx)
	if err != nil {
		return 0, false, err
	}
	if current > target {
		return 0, false, fmt.Errorf("the record has version %d and this program knows versions up to %d; "+
			"start the newer program that wrote it, or restore the copy made before it", current, target)
	}
	return current, current < target, nil
}

// checkForeignKeys fails when a row refers to a row that is not there.
func checkForeignKeys(ctx context.Context, db *sql.DB) (err error) {
	rows, err := db.QueryContext(ctx, "PRAGMA foreign_key_check")
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	if rows.Next() {
		var table, parent string
		var row sql.NullInt64
		var key int
		if err := rows.Scan(&table, &row, &parent, &key); err != nil {
			return err
		}
		return fmt.Errorf("after bringing the record to a newer version a row of %s refers to a missing row of %s; "+
			"go back to the copy beside the file", table, parent)
	}
	return rows.Err()
}
