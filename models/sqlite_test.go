package models_test

import (
	"bytes"
	"context"
	"fmt"
	"io/fs"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"fairlead/models"
	"fairlead/models/modelstest"
)

// quiet is a log that nobody reads.
var quiet = slog.New(slog.DiscardHandler)

// still is the clock of the stores that these tests open themselves.
func still() time.Time { return modelstest.Start }

func TestEveryConnectionHasThePragmas(t *testing.T) {
	s := modelstest.SQLite(t)
	want := map[string]string{"foreign_keys": "1", "journal_mode": "wal", "synchronous": "2", "busy_timeout": "5000"}
	for i := range 4 { // held open together, so four connections of the pool
		c, err := s.Pool().Conn(ctx)
		must(t, err)
		defer func() { must(t, c.Close()) }()
		for pragma, value := range want {
			var got string
			must(t, c.QueryRowContext(ctx, "PRAGMA "+pragma).Scan(&got))
			if got != value {
				t.Errorf("connection %d: %s is %s, want %s", i, pragma, got, value)
			}
		}
	}
}

func TestSQLitePathsWithSigns(t *testing.T) {
	for _, name := range []string{"plain.db", "what?.db", "a#b.db", "a&b=c.db", "100%41.db", "with space.db", "ü.db"} {
		folder := t.TempDir()
		path := filepath.Join(folder, name)
		s, err := models.OpenSQLite(ctx, path, still, quiet)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		person(t, s, "ada")
		must(t, s.Close())
		info, err := os.Stat(path)
		must(t, err)
		if info.Size() == 0 || info.Mode().Perm() != 0o600 {
			t.Errorf("%s: %d bytes with mode %v, want the record for its owner alone", name, info.Size(), info.Mode())
		}
		files, err := os.ReadDir(folder)
		must(t, err)
		if len(files) != 1 {
			t.Errorf("%s: got files %v, want one", name, files)
		}
	}
}

func TestSQLiteInAFolderThatIsNotThere(t *testing.T) {
	path := filepath.Join(t.TempDir(), "none", "record.db")
	_, err := models.OpenSQLite(ctx, path, still, quiet)
	if err == nil || !strings.Contains(err.Error(), "the folder must exist") {
		t.Errorf("got %v, want advice about the folder", err)
	}
}

// withMigration is the present migrations and one more.
func withMigration(t *testing.T, statements string) fs.FS {
	t.Helper()
	folder := fstest.MapFS{}
	present := models.SQLiteMigrations()
	names, err := models.FileNames(present)
	must(t, err)
	for _, name := range names {
		text, err := fs.ReadFile(present, name)
		must(t, err)
		folder[name] = &fstest.MapFile{Data: text}
	}
	folder["99999_next.sql"] = &fstest.MapFile{Data: []byte("-- +goose Up\n" + statements)}
	return folder
}

// rebuild is the usual way to change a table in SQLite. With foreign keys on
// it would delete, or refuse to leave, the rows that refer to the table.
const rebuild = `CREATE TABLE new_covers (id TEXT NOT NULL PRIMARY KEY, limb_id TEXT NOT NULL REFERENCES limbs (id));
INSERT INTO new_covers SELECT id, limb_id FROM covers;
DROP TABLE covers;
ALTER TABLE new_covers RENAME TO covers;
`

func TestMigrationKeepsRowsAndCopiesTheOldFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "record.db")
	s, err := models.OpenSQLite(ctx, path, still, quiet)
	must(t, err)
	b := bench(t, s, "K-001")
	b.record(t, s, at(0))
	must(t, s.Close())

	s, err = models.OpenSQLiteWith(ctx, path, still, quiet, withMigration(t, rebuild))
	must(t, err)
	for table, want := range map[string]int{"covers": 1, "stations": 3, "attachments": 2, "clearance_readings": 2, "readings": 6} {
		if got := rowCount(t, s, table); got != want {
			t.Errorf("after the migration %s holds %d rows, want %d", table, got, want)
		}
	}
	must(t, s.Close())

	migrations, err := models.FileNames(models.SQLiteMigrations())
	must(t, err)
	copies, err := filepath.Glob(fmt.Sprintf("%s.version-%d.*", path, len(migrations)))
	must(t, err)
	if len(copies) != 1 {
		t.Fatalf("got copies %v, want one of version %d", copies, len(migrations))
	}
	old, err := models.OpenSQLite(ctx, copies[0], still, quiet)
	must(t, err)
	if got, err := old.CoverByID(ctx, b.cover.ID); err != nil || got.Material != "polyamide" {
		t.Errorf("the copy holds %+v, %v; want the cover as it was", got, err)
	}
	must(t, old.Close())

	_, err = models.OpenSQLite(ctx, path, still, quiet)
	if err == nil || !strings.Contains(err.Error(), "version 99999") || !strings.Contains(err.Error(), "start the newer program") {
		t.Errorf("the older program on the newer file: got %v, want advice", err)
	}
}

func TestMigrationThatBreaksAReferenceIsReported(t *testing.T) {
	path := filepath.Join(t.TempDir(), "record.db")
	s, err := models.OpenSQLite(ctx, path, still, quiet)
	must(t, err)
	bench(t, s, "K-001")
	must(t, s.Close())
	_, err = models.OpenSQLiteWith(ctx, path, still, quiet, withMigration(t, "DELETE FROM covers;"))
	if err == nil || !strings.Contains(err.Error(), "missing row of covers") {
		t.Errorf("got %v, want the rows that refer to nothing", err)
	}
}

func TestReopeningKeepsTheRecord(t *testing.T) {
	path := filepath.Join(t.TempDir(), "record.db")
	for i := range 3 {
		s, err := models.OpenSQLite(ctx, path, still, quiet)
		must(t, err)
		person(t, s, numbered("ada", i))
		if n, err := s.CountPeople(ctx); err != nil || n != i+1 {
			t.Errorf("start %d: %d people, %v; want %d", i, n, err, i+1)
		}
		must(t, s.Ping(ctx))
		must(t, s.Close())
	}
	if copies, err := filepath.Glob(path + ".version-*"); err != nil || len(copies) != 0 {
		t.Errorf("a start without migration left copies %v, %v", copies, err)
	}
}

func TestNoHealthRecordInTheLog(t *testing.T) {
	var log bytes.Buffer
	logger := slog.New(slog.NewJSONHandler(&log, &slog.HandlerOptions{Level: slog.LevelDebug}))
	path := filepath.Join(t.TempDir(), "record.db")
	for name, open := range map[string]func() (*models.Store, error){
		"sqlite": func() (*models.Store, error) { return models.OpenSQLite(ctx, path, still, logger) },
		"postgres": func() (*models.Store, error) {
			return models.OpenPostgres(ctx, modelstest.PostgresURL(t), still, logger)
		},
	} {
		if name == "postgres" && os.Getenv("FAIRLEAD_TEST_POSTGRES") == "off" {
			continue
		}
		log.Reset()
		s, err := open()
		must(t, err)
		must(t, s.CreateClient(ctx, &models.Client{Code: "canary-code", Name: "canary-name"}))
		err = s.CreateClient(ctx, &models.Client{Code: "canary-code", Name: "canary-name", Phone: "canary-phone"})
		wantErr(t, err, models.ErrConflict)
		invalid := s.CreateLimb(ctx, &models.Limb{Landmark: "canary-landmark", Side: "canary-side"})
		wantErr(t, invalid, models.ErrInvalid)
		for _, text := range []string{log.String(), err.Error(), invalid.Error()} {
			if strings.Contains(text, "canary") {
				t.Errorf("%s: a value reached the log or an error:\n%s", name, text)
			}
		}
		if !strings.Contains(log.String(), "INSERT") {
			t.Errorf("%s: the log does not name the statement that was refused:\n%s", name, log.String())
		}
		must(t, s.Close())
	}
}

func TestCancelledContextStopsAWrite(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		cancelled, cancel := context.WithCancel(ctx)
		cancel()
		c := b.visit(at(0))
		if err := s.CreateCheckin(cancelled, &c); err == nil {
			t.Error("a cancelled check-in was recorded")
		}
		if n := rowCount(t, s, "checkins"); n != 0 {
			t.Errorf("%d check-ins are left of a cancelled one", n)
		}
	})
}
