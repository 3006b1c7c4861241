// Package modelstest opens empty stores for tests, on SQLite and on
// PostgreSQL, through the migrations that a real start runs.
package modelstest

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"log/slog"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	_ "github.com/jackc/pgx/v5/stdlib" // the driver that makes the databases of tests

	"fairlead/models"
)

// Start is the time that the clock of these stores stands at.
var Start = time.Date(2026, time.March, 2, 9, 0, 0, 0, time.UTC)

// Each runs f as a subtest on an empty store in SQLite and on one in
// PostgreSQL. The server is the one of FAIRLEAD_TEST_POSTGRES (a postgres://
// URL of a user who may create databases) or of the standard variables PGHOST,
// PGPORT, PGUSER, PGPASSWORD. Without either the test ends in an error, so
// that PostgreSQL is never left out by accident; FAIRLEAD_TEST_POSTGRES=off
// leaves it out on purpose.
func Each(t *testing.T, f func(t *testing.T, s *models.Store)) {
	t.Helper()
	t.Run("sqlite", func(t *testing.T) { f(t, SQLite(t)) })
	if os.Getenv("FAIRLEAD_TEST_POSTGRES") == "off" {
		return
	}
	t.Run("postgres", func(t *testing.T) { f(t, Postgres(t)) })
}

// SQLite returns an empty store in a file that goes with the test. Its clock
// stands at Start.
func SQLite(t testing.TB) *models.Store {
	t.Helper()
	return SQLiteAt(t, func() time.Time { return Start })
}

// SQLiteAt is SQLite with a clock of the test's own.
func SQLiteAt(t testing.TB, now func() time.Time) *models.Store {
	t.Helper()
	return sqliteIn(t, filepath.Join(t.TempDir(), "record.db"), now)
}

// Breakable is SQLite with a way past the store, by which a test damages what lies
// in the file.
func Breakable(t testing.TB) (s *models.Store, statement func(string)) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "record.db")
	s = sqliteIn(t, path, func() time.Time { return Start })
	return s, func(statement string) {
		t.Helper()
		db, err := sql.Open("sqlite", path)
		if err == nil {
			_, err = db.Exec(statement)
			err = errors.Join(err, db.Close())
		}
		if err != nil {
			t.Fatal(err)
		}
	}
}

func sqliteIn(t testing.TB, path string, now func() time.Time) *models.Store {
	t.Helper()
	s, err := models.OpenSQLite(context.Background(), path, now, slog.New(slog.DiscardHandler))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { closeStore(t, s) })
	return s
}

// Postgres returns an empty store in a database that goes with the test. Its
// clock stands at Start.
func Postgres(t testing.TB) *models.Store {
	t.Helper()
	address := PostgresURL(t)
	s, err := models.OpenPostgres(context.Background(), address, func() time.Time { return Start }, slog.New(slog.DiscardHandler))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { closeStore(t, s) })
	return s
}

// PostgresURL makes an empty database that goes with the test and returns its
// URL.
func PostgresURL(t testing.TB) string {
	t.Helper()
	server, err := serverURL()
	if err != nil {
		t.Fatal(err)
	}
	admin, err := sql.Open("pgx", server.String())
	if err != nil {
		t.Fatal(err)
	}
	name := "fairlead_test_" + strings.ReplaceAll(models.NewID(), "-", "")
	if _, err := admin.Exec("CREATE DATABASE " + name + " TEMPLATE template0 ENCODING 'UTF8'"); err != nil {
		t.Fatalf("make a database for the test: %v", err)
	}
	t.Cleanup(func() {
		if _, err := admin.Exec("DROP DATABASE " + name + " WITH (FORCE)"); err != nil {
			t.Errorf("drop the test's database: %v", err)
		}
		if err := admin.Close(); err != nil {
			t.Error(err)
		}
	})
	server.Path = "/" + name
	return server.String()
}

// serverURL names the PostgreSQL server that tests may use.
func serverURL() (*url.URL, error) {
	if given := os.Getenv("FAIRLEAD_TEST_POSTGRES"); given != "" {
		return url.Parse(given)
	}
	host := os.Getenv("PGHOST")
	if host == "" {
		return nil, fmt.Errorf("this test needs PostgreSQL and none is named: run `make test`, which starts one " +
			"for the time of the run, or `pg_virtualenv go test ./...`")
	}
	u := &url.URL{Scheme: "postgres", Path: "/postgres", User: url.UserPassword(os.Getenv("PGUSER"), os.Getenv("PGPASSWORD"))}
	if strings.HasPrefix(host, "/") { // a folder that holds the server's socket
		u.RawQuery = url.Values{"host": {host}, "port": {os.Getenv("PGPORT")}}.Encode()
		return u, nil
	}
	u.Host = host
	if port := os.Getenv("PGPORT"); port != "" {
		u.Host += ":" + port
	}
	return u, nil
}

func closeStore(t testing.TB, s *models.Store) {
	if err := s.Close(); err != nil {
		t.Error(err)
	}
}
