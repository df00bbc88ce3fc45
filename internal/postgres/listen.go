package postgres

import (
	"context"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
)

// The channel for change notifications, and the application name of the
// connection that listens.
const (
	channel  = "newel_changes"
	Listener = "newel listener"
)

// Delays of a listener: how long until it checks a silent connection, and how
// long it waits before reconnecting.
const (
	listenQuiet = 20 * time.Second
	listenFirst = 100 * time.Millisecond
	listenMax   = 5 * time.Second
)

// Hearing holds the callbacks of a listener.
type Hearing struct {
	Told func(payload string)
	// Missed is called after each connect, because earlier notifications are
	// lost.
	Missed func()
	// Lost is called with the reason when the connection breaks.
	Lost func(error)
}

// Listen receives change notifications on its own connection until ctx ends. It
// reconnects when the connection breaks.
func (db *DB) Listen(ctx context.Context, h Hearing) {
	conf := db.pool.Config().ConnConfig.Copy()
	conf.RuntimeParams["application_name"] = Listener
	delete(conf.RuntimeParams, "idle_in_transaction_session_timeout")
	wait := listenFirst
	for ctx.Err() == nil {
		err := listen(ctx, conf, h, func() { wait = listenFirst })
		if ctx.Err() != nil {
			return
		}
		h.Lost(err)
		select {
		case <-ctx.Done():
		case <-time.After(wait):
		}
		wait = min(2*wait, listenMax)
	}
}

func listen(ctx context.Context, conf *pgx.ConnConfig, h Hearing, connected func()) error {
	conn, err := pgx.ConnectConfig(ctx, conf)
	if err != nil {
		return fmt.Errorf("connect the listener: %w", err)
	}
	defer func() { _ = conn.Close(context.WithoutCancel(ctx)) }() // the connection may be broken already
	if _, err := conn.Exec(ctx, "listen "+channel); err != nil {
		return fmt.Errorf("listen: %w", err)
	}
	connected()
	h.Missed()
	for {
		n, err := hear(ctx, conn)
		if err != nil {
			return fmt.Errorf("listen: %w", err)
		}
		if n != nil {
			h.Told(n.Payload)
		}
	}
}

// hear waits for a notification. After a long silence it checks that the
// connection is still alive and returns nil.
func hear(ctx context.Context, conn *pgx.Conn) (*pgconn.Notification, error) {
	quiet, cancel := context.WithTimeout(ctx, listenQuiet)
	defer cancel()
	n, err := conn.WaitForNotification(quiet)
	if err == nil || ctx.Err() != nil || quiet.Err() == nil {
		return n, err
	}
	alive, end := context.WithTimeout(ctx, listenMax)
	defer end()
	return nil, conn.Ping(alive)
}
