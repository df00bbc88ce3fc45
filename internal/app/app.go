// Package app has one method for each thing a person does with Newel. Each
// checks permission, opens a transaction, computes in the pure packages and
// writes to the store. Only this package brings these together.
package app

import (
	"context"
	"fmt"
	"log/slog"
	"sync"
	"time"

	"github.com/google/uuid"

	"newel/internal/account"
	"newel/internal/criterion"
	"newel/internal/newel"
	"newel/internal/postgres"
	"newel/internal/reading"
	"newel/internal/writing"
)

// App carries out what people ask for, on one database.
type App struct {
	db  *postgres.DB
	log *slog.Logger
	now func() time.Time

	evaluate reading.Evaluator // criterion.EvaluateEach

	hasher   Hasher
	throttle *account.Throttle

	phoneKeys sync.Map // phoneKeyOf to *ecdh.PrivateKey; they never change
	curves    writing.Curves
}

// New returns an App. now must be the clock of the database handle.
func New(db *postgres.DB, log *slog.Logger, now func() time.Time) *App {
	return &App{
		db: db, log: log, now: now, evaluate: criterion.EvaluateEach,
		hasher: account.NewHasher(account.DefaultCost), throttle: account.NewThrottle(),
	}
}

// Hasher hashes and checks passwords as account.Hasher does.
type Hasher interface {
	Hash(ctx context.Context, password string) (string, error)
	Check(ctx context.Context, hash, password string) (ok, outdated bool, err error)
}

// WithHasher returns the App with another hasher.
func (a *App) WithHasher(h Hasher) *App {
	return &App{db: a.db, log: a.log, now: a.now, evaluate: a.evaluate, hasher: h, throttle: a.throttle}
}

// Ready reports whether the database answers and has the given schema version.
func (a *App) Ready(ctx context.Context, schema int64) error { return a.db.Ready(ctx, schema) }

// act runs fn in a transaction with the scope that the permission grants the
// actor. It fails if the actor lacks the permission.
func (a *App) act(ctx context.Context, actor newel.Actor, p newel.Permission, fn func(*postgres.Tx) error) error {
	if err := actor.Require(p); err != nil {
		return fmt.Errorf("%s: %w", p, err)
	}
	return a.db.InScope(ctx, actor.Scope(p), fn)
}

// Form is the token of one rendered form. Submitting it again returns the same
// location and does nothing else. Methods reject the zero Form (a form without
// a token).
type Form struct{ Token uuid.UUID }

// NewForm returns a token for a new form.
func NewForm() Form { return Form{uuid.Must(uuid.NewV7())} }

// ParseForm parses a token from the browser.
func ParseForm(text string) (Form, error) {
	u, err := uuid.Parse(text)
	if err != nil {
		return Form{}, &newel.Invalid{Problems: []newel.Problem{{Field: "form", Key: "form.missing_token"}}}
	}
	return Form{u}, nil
}

// once is act for a form. fn does the work and returns a location. If the form
// was sent before, once returns its old location without calling fn. Of two
// concurrent calls, one waits for the other.
func (a *App) once(ctx context.Context, actor newel.Actor, p newel.Permission, form Form, fn func(*postgres.Tx) (string, error)) (location string, err error) {
	err = a.act(ctx, actor, p, func(tx *postgres.Tx) error {
		location, err = onceIn(ctx, tx, form, fn)
		return err
	})
	return location, err
}

func onceIn(ctx context.Context, tx *postgres.Tx, form Form, fn func(*postgres.Tx) (string, error)) (string, error) {
	if form.Token == uuid.Nil {
		return "", &newel.Invalid{Problems: []newel.Problem{{Field: "form", Key: "form.missing_token"}}}
	}
	before, err := tx.FormSent(ctx, form.Token)
	if err != nil {
		return "", err
	}
	if before != "" {
		return before, nil
	}
	location, err := fn(tx)
	if err != nil {
		return "", err
	}
	return location, tx.SaveForm(ctx, form.Token, location)
}
