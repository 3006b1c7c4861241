package models

import (
	"database/sql"
	"io/fs"
)

// What the tests outside the package need to look at from within.
var (
	OpenSQLiteWith     = openSQLite
	SQLiteMigrations   = sqliteMigrations
	PostgresMigrations = postgresMigrations
	TableNames         = tableNames
)

// Pool returns the connections behind the store.
func (s *Store) Pool() *sql.DB {
	pool, err := s.db.DB()
	if err != nil {
		panic(err)
	}
	return pool
}

// FileNames lists the files of a folder.
func FileNames(folder fs.FS) ([]string, error) { return fs.Glob(folder, "*") }

// Exec runs a statement inside the store's transaction.
func (s *Store) Exec(statement string) error { return s.db.Exec(statement).Error }
