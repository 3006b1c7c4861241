package models_test

import (
	"maps"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"

	"fairlead/models"
	"fairlead/models/modelstest"
)

// column is what both databases must agree on about one column.
type column struct {
	kind     string
	required bool
}

// kinds gives one name to the types that stand for each other.
var kinds = map[string]string{
	"INTEGER": "integer", "bigint": "integer", "REAL": "real", "double precision": "real", "TEXT": "text", "text": "text",
	"BOOLEAN": "boolean", "boolean": "boolean", "DATETIME": "time", "timestamp with time zone": "time", "BLOB": "bytes",
	"bytea": "bytes",
}

// sqliteColumns reads the columns of all tables, by table.column.
func sqliteColumns(t *testing.T, s *models.Store) map[string]column {
	t.Helper()
	return readColumns(t, s, `SELECT m.name, c.name, c.type, c."notnull" FROM sqlite_schema AS m, pragma_table_info(m.name) AS c
		WHERE m.type = 'table' AND m.name NOT LIKE 'sqlite%' AND m.name NOT LIKE 'goose%'`)
}

// postgresColumns is sqliteColumns on PostgreSQL.
func postgresColumns(t *testing.T, s *models.Store) map[string]column {
	t.Helper()
	return readColumns(t, s, `SELECT table_name, column_name, data_type, is_nullable = 'NO' FROM information_schema.columns
		WHERE table_schema = 'public' AND table_name NOT LIKE 'goose%'`)
}

func readColumns(t *testing.T, s *models.Store, query string) map[string]column {
	t.Helper()
	rows, err := s.Pool().Query(query)
	must(t, err)
	defer func() { must(t, rows.Close()) }()
	columns := map[string]column{}
	for rows.Next() {
		var table, name, kind string
		var required bool
		must(t, rows.Scan(&table, &name, &kind, &required))
		if kinds[kind] == "" {
			t.Errorf("%s.%s has type %s, which is not one that stands in both databases", table, name, kind)
		}
		columns[table+"."+name] = column{kinds[kind], required}
	}
	must(t, rows.Err())
	return columns
}

func TestBothDatabasesHaveTheSameMigrations(t *testing.T) {
	sqlite, err := models.FileNames(models.SQLiteMigrations())
	must(t, err)
	postgres, err := models.FileNames(models.PostgresMigrations())
	must(t, err)
	if len(sqlite) == 0 || !slices.Equal(sqlite, postgres) {
		t.Errorf("got %v and %v, want the same names in both folders", sqlite, postgres)
	}
}

func TestBothDatabasesHaveTheSameColumns(t *testing.T) {
	needPostgres(t)
	sqlite, postgres := sqliteColumns(t, modelstest.SQLite(t)), postgresColumns(t, modelstest.Postgres(t))
	for _, name := range slices.Sorted(maps.Keys(sqlite)) {
		if got, ok := postgres[name]; !ok || got != sqlite[name] {
			t.Errorf("%s: %+v in SQLite, %+v (there: %v) in PostgreSQL", name, sqlite[name], got, ok)
		}
	}
	for name := range postgres {
		if _, ok := sqlite[name]; !ok {
			t.Errorf("%s is in PostgreSQL only", name)
		}
	}
}

func TestTablesAreThoseOfTheRecords(t *testing.T) {
	got := map[string]bool{}
	for name := range sqliteColumns(t, modelstest.SQLite(t)) {
		table, _, _ := strings.Cut(name, ".")
		got[table] = true
	}
	want := slices.Sorted(maps.Values(models.TableNames))
	if tables := slices.Sorted(maps.Keys(got)); !reflect.DeepEqual(tables, want) {
		t.Errorf("got tables %v, want %v", tables, want)
	}
}

func TestBothDatabasesHaveTheSameRules(t *testing.T) {
	// The two files are one text but for the types, so a CHECK, a key or an
	// index cannot stand in one alone.
	types := strings.NewReplacer("DATETIME", "time", "TIMESTAMPTZ", "time", "BLOB", "bytes", "BYTEA", "bytes",
		"DOUBLE PRECISION", "real", "REAL", "real", "BIGINT", "integer", "INTEGER", "integer", `COLLATE "C"`, "")
	names, err := models.FileNames(models.SQLiteMigrations())
	must(t, err)
	for _, name := range names {
		var texts []string
		for _, kind := range []string{"sqlite", "postgres"} {
			text, err := os.ReadFile("migrations/" + kind + "/" + name)
			must(t, err)
			texts = append(texts, strings.Join(strings.Fields(types.Replace(string(text))), " "))
		}
		if texts[0] != texts[1] {
			t.Errorf("%s differs between the two databases by more than its types", name)
		}
	}
}

func TestNothingMeasuredGoesWithItsParent(t *testing.T) {
	for _, kind := range []string{"sqlite", "postgres"} {
		names, err := os.ReadDir("migrations/" + kind)
		must(t, err)
		for _, name := range names {
			text, err := os.ReadFile("migrations/" + kind + "/" + name.Name())
			must(t, err)
			if strings.Contains(strings.ToUpper(string(text)), "ON DELETE") {
				t.Errorf("%s/%s deletes rows with their parent", kind, name.Name())
			}
		}
	}
}
