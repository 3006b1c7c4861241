package models

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/pgtype"
	"github.com/jackc/pgx/v5/stdlib"
	"gorm.io/driver/postgres"
	"gorm.io/gorm"
)

// postgresConnections bounds the pool of one program; several may share the
// server, which by default takes 100.
const postgresConnections = 20

// OpenPostgres opens the record in the PostgreSQL database that url names and
// brings it to the present version, under a lock, so that several programs may
// start at once. now is the store's clock. A database that a newer program has
// written is refused.
func OpenPostgres(ctx context.Context, url string, now func() time.Time, log *slog.Logger) (*Store, error) {
	config, err := pgx.ParseConfig(url)
	if err != nil {
		return nil, fmt.Errorf("open record in PostgreSQL: %w", err)
	}
	pool := stdlib.OpenDB(*config, stdlib.OptionAfterConnect(timesInUTC))
	pool.SetMaxOpenConns(postgresConnections)
	pool.SetMaxIdleConns(postgresConnections)
	if err := migratePostgres(ctx, pool); err != nil {
		return nil, errors.Join(fmt.Errorf("open record in PostgreSQL database %s: %w", config.Database, err), pool.Close())
	}
	store, err := open(namedErrors{postgres.Dialector{Config: &postgres.Config{Conn: pool}}}, now, log)
	if err != nil {
		return nil, errors.Join(fmt.Errorf("open record in PostgreSQL: %w", err), pool.Close())
	}
	return store, nil
}

// timesInUTC makes the driver hand times back in UTC, not in the zone of the
// machine.
func timesInUTC(_ context.Context, c *pgx.Conn) error {
	c.TypeMap().RegisterType(&pgtype.Type{
		Name: "timestamptz", OID: pgtype.TimestamptzOID, Codec: &pgtype.TimestamptzCodec{ScanLocation: time.UTC},
	})
	return nil
}

// namedErrors is gorm's PostgreSQL dialect with the remaining refusals of a
// value named.
type namedErrors struct{ postgres.Dialector }

// Translate maps PostgreSQL's error codes (its manual, appendix A) to gorm's
// errors.
func (d namedErrors) Translate(err error) error {
	var e *pgconn.PgError
	if errors.As(err, &e) {
		switch e.Code {
		case "23502", "22003", "22021": // not_null_violation, numeric_value_out_of_range, character_not_in_repertoire
			return gorm.ErrCheckConstraintViolated
		}
	}
	return d.Dialector.Translate(err)
}
