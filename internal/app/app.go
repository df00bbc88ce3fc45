// Package app has one method for each thing a person does with Newel. Each
// asks for the permission, opens one transaction, lets the pure packages
// compute and the store write. It is the only place where these meet.
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

// App does what people ask, on one database.
type App struct {
	db  *postgres.DB
	log *slog.Logger
	now func() time.Time

	evaluate reading.Evaluator // criterion.EvaluateEach

	hasher   *account.Hasher
	throttle *account.Throttle

	phoneKeys sync.Map // phoneKeyOf to *ecdh.PrivateKey; they never change
	curves    writing.Curves
}

// New makes an App. The clock is the same that the database handle was given.
func New(db *postgres.DB, log *slog.Logger, now func() time.Time) *App {
	return &App{
		db: db, log: log, now: now, evaluate: criterion.EvaluateEach,
		hasher: account.NewHasher(account.DefaultCost), throttle: account.NewThrottle(),
	}
}

// Ready reports whether the database answers with the schema wanted.
func (a *App) Ready(ctx context.Context, schema int64) error { return a.db.Ready(ctx, schema) }

// act runs fn in a transaction of the scope that the permission gives the
// actor, if the actor has it.
func (a *App) act(ctx context.Context, actor newel.Actor, p newel.Permission, fn func(*postgres.Tx) error) error {
	if err := actor.Require(p); err != nil {
		return fmt.Errorf("%s: %w", p, err)
	}
	return a.db.InScope(ctx, actor.Scope(p), fn)
}

// Form is the token of one rendered form. Sending the form again with the
// same token leads to the same place and does nothing else. The zero Form
// (a form without a token) is refused.
type Form struct{ Token uuid.UUID }

// NewForm makes a token for a form about to be rendered.
func NewForm() Form { return Form{uuid.Must(uuid.NewV7())} }

// ParseForm reads a token as the browser sent it back.
func ParseForm(text string) (Form, error) {
	u, err := uuid.Parse(text)
	if err != nil {
		return Form{}, &newel.Invalid{Problems: []newel.Problem{{Field: "form", Key: "form.missing_token"}}}
	}
	return Form{u}, nil
}

// once is act for a form: fn does the deed and says where it leads. If the
// form was sent before, its old location is returned and fn does not run. Two
// at once: one waits for the other and then finds it done.
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
	return location, tx.KeepForm(ctx, form.Token, location)
}
