package models_test

import (
	"context"
	"database/sql"
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/pressly/goose/v3"

	"fairlead/models"
	"fairlead/models/modelstest"
)

// oldest is the migrations as they were when the record was first made.
func oldest(t *testing.T, present fs.FS) fs.FS {
	t.Helper()
	const name = "00001_record.sql"
	text, err := fs.ReadFile(present, name)
	must(t, err)
	return fstest.MapFS{name: &fstest.MapFile{Data: text}}
}

// columnsOf lists the tables of a SQLite file and the columns of each, in order.
func columnsOf(t *testing.T, db *sql.DB) map[string][]string {
	t.Helper()
	rows, err := db.Query(`SELECT m.name, c.name FROM sqlite_schema AS m, pragma_table_info(m.name) AS c
		WHERE m.type = 'table' AND m.name NOT LIKE 'sqlite%' AND m.name NOT LIKE 'goose%' ORDER BY m.name, c.cid`)
	must(t, err)
	defer func() { must(t, rows.Close()) }()
	columns := map[string][]string{}
	for rows.Next() {
		var table, name string
		must(t, rows.Scan(&table, &name))
		columns[table] = append(columns[table], name)
	}
	must(t, rows.Err())
	return columns
}

// rowsOf reads the named columns of a table, by the first of them.
func rowsOf(t *testing.T, db *sql.DB, table string, columns []string) (read [][]any) {
	t.Helper()
	rows, err := db.Query("SELECT " + strings.Join(columns, ", ") + " FROM " + table + " ORDER BY 1, 2")
	must(t, err)
	defer func() { must(t, rows.Close()) }()
	for rows.Next() {
		row, into := make([]any, len(columns)), make([]any, len(columns))
		for i := range row {
			into[i] = &row[i]
		}
		must(t, rows.Scan(into...))
		for i, value := range row { // SQLite keeps truth as 0 or 1
			if truth, ok := value.(bool); ok {
				row[i] = map[bool]int64{false: 0, true: 1}[truth]
			}
		}
		read = append(read, row)
	}
	must(t, rows.Err())
	return read
}

// oldRecord is a whole record of the first version, by table, with flags, open
// and closed, and evidence in it.
func oldRecord(t *testing.T) (columns map[string][]string, rows map[string][][]any) {
	t.Helper()
	empty, err := models.OpenSQLiteWith(ctx, filepath.Join(t.TempDir(), "old.db"), still, quiet, oldest(t, models.SQLiteMigrations()))
	must(t, err)
	columns = columnsOf(t, empty.Pool())
	must(t, empty.Close())

	s := modelstest.SQLite(t)
	b := bench(t, s, "K-001")
	open := b.raised(t, s, "skin", "skin-sign", "now")
	_, err = s.RaiseFlag(ctx, open, evidence(b.record(t, s, at(1)), "now", `{"place":"shin"}`))
	must(t, err)
	closed := b.raised(t, s, "cover", "clearance-below", "soon")
	must(t, s.CloseFlag(ctx, closed.ID, closed.Version, models.Closing{By: b.fitter.ID, Reason: "trimmed"}))
	rows = map[string][][]any{}
	for table, names := range columns {
		rows[table] = rowsOf(t, s.Pool(), table, names)
	}
	if len(rows["flags"]) != 2 || len(rows["flag_evidence"]) != 3 {
		t.Fatalf("the old record holds %d flags with %d pieces of evidence", len(rows["flags"]), len(rows["flag_evidence"]))
	}
	return columns, rows
}

// insert writes an old record into an empty one, without looking at references.
// Truths names the columns, as table.column, that want true or false.
func insert(t *testing.T, db *sql.DB, unchecked string, columns map[string][]string, rows map[string][][]any, truths map[string]bool) {
	t.Helper()
	conn, err := db.Conn(ctx)
	must(t, err)
	defer func() { must(t, conn.Close()) }()
	_, err = conn.ExecContext(ctx, unchecked)
	must(t, err)
	for table, names := range columns {
		marks := make([]string, len(names))
		for i := range marks {
			marks[i] = fmt.Sprintf("$%d", i+1)
		}
		for _, row := range rows[table] {
			row = slices.Clone(row)
			for i, name := range names {
				if truths[table+"."+name] {
					row[i] = row[i] == int64(1)
				}
			}
			_, err := conn.ExecContext(ctx, "INSERT INTO "+table+" ("+strings.Join(names, ", ")+") VALUES ("+strings.Join(marks, ", ")+")", row...)
			if err != nil {
				t.Fatalf("%s: %v", table, err)
			}
		}
	}
}

// wantOldRecord fails when a row of the old record is missing or another one,
// or when a flag of it says that somebody has seen it.
func wantOldRecord(t *testing.T, s *models.Store, columns map[string][]string, rows map[string][][]any) {
	t.Helper()
	for table, names := range columns {
		got := rowsOf(t, s.Pool(), table, names)
		if !slices.EqualFunc(got, rows[table], func(a, b []any) bool { return fmt.Sprint(a...) == fmt.Sprint(b...) }) {
			t.Errorf("%s: got\n%v\nwant\n%v", table, got, rows[table])
		}
	}
	clientID, _ := rows["flags"][0][slices.Index(columns["flags"], "client_id")].(string)
	flags, err := s.FlagsOf(ctx, clientID)
	must(t, err)
	if len(flags) != 2 || len(flags[0].Evidence) != 2 || len(flags[1].Evidence) != 1 {
		t.Fatalf("got flags %+v", flags)
	}
	for _, f := range flags {
		if f.SeenAt != nil || f.HandoverID != nil || f.AskAgainOn != "" || f.ClosedReviewID != nil || f.ClosedAnswerID != nil || len(f.Steps) != 0 {
			t.Errorf("the flag %s has a life that nobody gave it: %+v", f.Rule, f)
		}
		for _, e := range f.Evidence {
			if e.CheckinID == nil || e.ReportID != nil {
				t.Errorf("evidence %+v, want a check-in's", e)
			}
		}
	}
	if n, err := s.CountUnseenNow(ctx, nil); err != nil || n != 1 {
		t.Errorf("%d unseen now, %v; want the open one", n, err)
	}
}

func TestFirstRecordComesWholeIntoThePresent(t *testing.T) {
	columns, rows := oldRecord(t)
	path := filepath.Join(t.TempDir(), "record.db")
	s, err := models.OpenSQLiteWith(ctx, path, still, quiet, oldest(t, models.SQLiteMigrations()))
	must(t, err)
	insert(t, s.Pool(), "PRAGMA foreign_keys = OFF", columns, rows, nil)
	must(t, s.Close())
	s, err = models.OpenSQLite(ctx, path, still, quiet)
	must(t, err)
	wantOldRecord(t, s, columns, rows)
	must(t, s.Close())
}

func TestFirstRecordInPostgresComesWholeIntoThePresent(t *testing.T) {
	needPostgres(t)
	columns, rows := oldRecord(t)
	address := modelstest.PostgresURL(t)
	db, err := sql.Open("pgx", address)
	must(t, err)
	provider, err := goose.NewProvider(goose.DialectPostgres, db, oldest(t, models.PostgresMigrations()), goose.WithDisableGlobalRegistry(true))
	must(t, err)
	_, err = provider.Up(context.Background())
	must(t, err)
	truths := map[string]bool{}
	for name, c := range postgresColumns(t, modelstest.Postgres(t)) {
		truths[name] = c.kind == "boolean"
	}
	insert(t, db, "SET session_replication_role = replica", columns, rows, truths)
	must(t, db.Close())
	s, err := models.OpenPostgres(ctx, address, still, quiet)
	must(t, err)
	wantOldRecord(t, s, columns, rows)
	must(t, s.Close())
}
