// Package postgres stores the domain in a Postgres database. Everything runs in
// a transaction bound to one scope: its settings feed row-level security, and
// every statement also names the scope itself (see Tx). Requests that are not
// yet identified use a key instead. Methods that cross tenants are called
// Unscoped….
package postgres

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/pgxpool"

	"newel/internal/newel"
)

// DB is the application's access to the database. It connects as a role that
// owns nothing.
type DB struct {
	pool *pgxpool.Pool
	now  func() time.Time
	// unconditional leaves the scope conditions out of every statement, so that
	// tests can prove that row-level security holds on its own. Never set it
	// outside tests.
	unconditional bool
}

// Open connects to the database at url. now supplies each transaction's time.
func Open(ctx context.Context, url string, now func() time.Time) (*DB, error) {
	conf, err := pgxpool.ParseConfig(url)
	if err != nil {
		return nil, fmt.Errorf("open database: %w", err)
	}
	// A page that would take longer is better answered with "try again".
	conf.ConnConfig.RuntimeParams["statement_timeout"] = "15000"
	conf.ConnConfig.RuntimeParams["lock_timeout"] = "5000"
	conf.ConnConfig.RuntimeParams["idle_in_transaction_session_timeout"] = "30000"
	conf.ConnConfig.RuntimeParams["application_name"] = "newel"
	if conf.MaxConns < 16 {
		conf.MaxConns = 16
	}
	pool, err := pgxpool.NewWithConfig(ctx, conf)
	if err != nil {
		return nil, fmt.Errorf("open database: %w", err)
	}
	return FromPool(pool, now), nil
}

// FromPool uses a pool that the caller has opened and will close.
func FromPool(pool *pgxpool.Pool, now func() time.Time) *DB { return &DB{pool: pool, now: now} }

// WithClock returns the same database with another clock.
func (db *DB) WithClock(now func() time.Time) *DB {
	other := *db
	other.now = now
	return &other
}

// Pool returns the connection pool for the session library, which needs direct
// access to one.
func (db *DB) Pool() *pgxpool.Pool { return db.pool }

// Close waits for running transactions and closes the pool.
func (db *DB) Close() { db.pool.Close() }

// Ready reports whether the database answers and has the schema version that
// this program needs.
func (db *DB) Ready(ctx context.Context, want int64) error {
	var have int64
	err := db.pool.QueryRow(ctx, `select coalesce(max(version_id), 0) from goose_db_version where is_applied`).Scan(&have)
	if err != nil {
		return fmt.Errorf("database not ready: %w", err)
	}
	if have != want {
		return fmt.Errorf("database schema is at %d, this program needs %d", have, want)
	}
	return nil
}

// InScope runs fn in one transaction bound to the scope and commits if fn
// returns nil. It retries fn after a serialization failure or deadlock, so fn
// must have no effects outside the transaction.
func (db *DB) InScope(ctx context.Context, scope newel.Scope, fn func(*Tx) error) error {
	return db.retry(ctx, func(tx *Tx) error {
		if err := tx.Enter(ctx, scope); err != nil {
			return err
		}
		return fn(tx)
	})
}

// InSnapshot is InScope for a read-only transaction. It sees the database as of
// its first statement and takes no locks.
func (db *DB) InSnapshot(ctx context.Context, scope newel.Scope, fn func(*Tx) error) error {
	return db.retryAs(ctx, pgx.TxOptions{IsoLevel: pgx.RepeatableRead, AccessMode: pgx.ReadOnly}, func(tx *Tx) error {
		if err := tx.Enter(ctx, scope); err != nil {
			return err
		}
		return fn(tx)
	})
}

// WithKey runs fn in a transaction that sees only the rows that match the key:
// the hash of a token, or a sign-in name. fn calls Enter once it knows who the
// caller is.
func (db *DB) WithKey(ctx context.Context, key string, fn func(*Tx) error) error {
	return db.retry(ctx, func(tx *Tx) error {
		if _, err := tx.tx.Exec(ctx, `select set_config('newel.key', $1, true)`, key); err != nil {
			return fmt.Errorf("set key: %w", err)
		}
		return fn(tx)
	})
}

// maxTries limits how often a transaction is retried after losing a race.
const maxTries = 4

func (db *DB) retry(ctx context.Context, fn func(*Tx) error) error {
	return db.retryAs(ctx, pgx.TxOptions{}, fn)
}

func (db *DB) retryAs(ctx context.Context, options pgx.TxOptions, fn func(*Tx) error) error {
	var err error
	for range maxTries {
		err = pgx.BeginTxFunc(ctx, db.pool, options, func(tx pgx.Tx) error {
			return fn(&Tx{tx: tx, now: db.now().Truncate(time.Microsecond), unconditional: db.unconditional})
		})
		if !isLostRace(err) {
			break
		}
	}
	return translate(err)
}

// Postgres error codes that the application handles.
const (
	codeSerialization = "40001"
	codeDeadlock      = "40P01"
	codeLockTimeout   = "55P03"
	codeCanceled      = "57014"
	codeUnique        = "23505"
	codeForeignKey    = "23503"
	codePrivilege     = "42501" // also reported when the policies reject a row
)

func isLostRace(err error) bool {
	code := errorCode(err)
	return code == codeSerialization || code == codeDeadlock
}

// translate maps database errors to domain errors. A row that row-level
// security refuses does not exist for the actor; neither does the target of a
// foreign key that is out of reach.
func translate(err error) error {
	switch errorCode(err) {
	case codePrivilege, codeForeignKey:
		return fmt.Errorf("%w (%s)", newel.ErrNotFound, errorCode(err))
	case codeUnique:
		return fmt.Errorf("%w: %w", newel.ErrConflict, err)
	case codeLockTimeout, codeCanceled, codeSerialization, codeDeadlock:
		return fmt.Errorf("%w: %w", newel.ErrBusy, err)
	}
	if errors.Is(err, pgx.ErrNoRows) {
		return fmt.Errorf("%w", newel.ErrNotFound)
	}
	if unreachable(err) {
		return fmt.Errorf("%w: %w", newel.ErrBusy, err)
	}
	return err
}

// unreachable reports whether the database could not be reached or the
// connection broke. The commit may have happened anyway, so anything that is
// retried must be idempotent.
func unreachable(err error) bool {
	var connect *pgconn.ConnectError
	var network net.Error
	switch code := errorCode(err); {
	case code == "57P01", code == "57P02", code == "57P03", strings.HasPrefix(code, "08"): // shutting down, crashed, starting up, connection lost
		return true
	case errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		return false
	}
	return errors.As(err, &connect) || errors.As(err, &network) || errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) ||
		pgconn.SafeToRetry(err)
}

func errorCode(err error) string {
	var pg *pgconn.PgError
	if errors.As(err, &pg) {
		return pg.Code
	}
	return ""
}

// violates reports whether err is a violation of the named constraint.
func violates(err error, constraint string) bool {
	var pg *pgconn.PgError
	return errors.As(err, &pg) && strings.EqualFold(pg.ConstraintName, constraint)
}
