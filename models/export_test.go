package models

import (
	"database/sql"
	"io/fs"
	"sync/atomic"

	"gorm.io/gorm"
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

// CountStatements counts the statements from now on, but for the beginning and
// the end of transactions, and returns how to read the count.
func (s *Store) CountStatements() func() int {
	var n atomic.Int64
	count := func(*gorm.DB) { n.Add(1) }
	on := s.db.Callback()
	for _, err := range []error{
		on.Query().After("gorm:query").Register("count", count), on.Create().After("gorm:create").Register("count", count),
		on.Update().After("gorm:update").Register("count", count), on.Delete().After("gorm:delete").Register("count", count),
		on.Raw().After("gorm:raw").Register("count", count), on.Row().After("gorm:row").Register("count", count),
	} {
		if err != nil {
			panic(err)
		}
	}
	return func() int { return int(n.Load()) }
}

// Exec runs a statement inside the store's transaction.
func (s *Store) Exec(statement string) error { return s.db.Exec(statement).Error }
