package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"net/url"
	"os"
	"time"

	"github.com/alexedwards/scs/pgxstore"

	"newel/internal/app"
	"newel/internal/config"
	"newel/internal/httpd"
	"newel/internal/live"
	"newel/internal/message"
	"newel/internal/postgres"
	"newel/internal/worker"
	"newel/migrations"
	"newel/web"
)

// Limits of the HTTP server. A phone on a slow connection can send a recording
// of some kilobytes within the body limit. Requests whose headers take over ten
// seconds are dropped.
const (
	headerTimeout  = 10 * time.Second
	requestTimeout = 60 * time.Second
	idleTimeout    = 2 * time.Minute
	drainTimeout   = 15 * time.Second
)

// loadAssets returns the client files built into the binary. Tests replace it,
// because they must work without Node.
var loadAssets = web.Load

// runServer starts everything and returns after a clean stop.
func runServer(ctx context.Context, io stdio, args []string) error {
	fs := flag.NewFlagSet("run", flag.ContinueOnError)
	fs.SetOutput(io.err)
	demo := fs.Bool("demo", false, "use an invented clinic and print sign-in links; for trying out Newel, never for real data")
	cfg, err := config.Load(fs, args, os.Environ())
	if err != nil {
		return err
	}
	log := logger(io)
	for _, warning := range append(cfg.Warnings(), misspelt()...) {
		log.WarnContext(ctx, warning)
	}
	assets, err := loadAssets()
	if err != nil {
		return err
	}
	// Listen first: an address in use is the most common error and should not
	// cost a database start.
	listener, err := listen(ctx, cfg.Listen)
	if err != nil {
		return err
	}
	defer listener.Close()
	db, err := openDatabase(ctx, cfg, log)
	if err != nil {
		return err
	}
	err = (&instance{io, cfg, log, assets, listener, db, *demo}).serve(ctx)
	return errors.Join(err, db.stop())
}

func misspelt() []string {
	var warnings []string
	for _, name := range config.UnknownNames(os.Environ()) {
		warnings = append(warnings, name+" is set but is not a setting of Newel: newel config lists the settings")
	}
	return warnings
}

func listen(ctx context.Context, address string) (net.Listener, error) {
	var lc net.ListenConfig
	l, err := lc.Listen(ctx, "tcp", address)
	if err != nil {
		return nil, fmt.Errorf("cannot listen on %s, probably because another program (or another Newel) uses it: stop that program, or choose another address with NEWEL_LISTEN: %w", address, err)
	}
	return l, nil
}

// instance is a server about to run, and what it runs with.
type instance struct {
	io       stdio
	cfg      config.Config
	log      *slog.Logger
	assets   *web.Assets
	listener net.Listener
	db       *database
	demo     bool // with an invented clinic
}

// serve migrates, prepares the clinic and handles requests until ctx or the
// database ends.
func (n *instance) serve(ctx context.Context) error {
	if err := n.db.migrate(ctx, n.cfg, n.log); err != nil {
		return err
	}
	store, err := postgres.Open(ctx, n.db.app, time.Now)
	if err != nil {
		return err
	}
	defer store.Close()
	application := app.New(store, n.log, time.Now)
	base, err := baseURL(n.cfg, n.listener)
	if err != nil {
		return err
	}
	access, err := prepare(ctx, n.io, application, base, n.demo)
	if err != nil {
		return err
	}
	messages, err := message.Load()
	if err != nil {
		return err
	}
	hub := live.New()
	signIns := pgxstore.NewWithCleanupInterval(store.Pool(), 0) // no cleanup here: a worker task deletes expired rows
	site := httpd.New(httpd.Options{
		App: application, Store: signIns, Messages: messages, Assets: n.assets, Log: n.log, Base: base,
		Schema: migrations.Latest(), Demo: access, Now: time.Now, Proxies: n.cfg.TrustedProxies(), WorkerOff: n.cfg.WorkerOff, Hub: hub,
	})

	work, endWork := context.WithCancel(ctx)
	worked := make(chan struct{})
	go func() { defer close(worked); worker.Run(work, n.log, n.tasks(store, application)...) }()
	defer func() { endWork(); <-worked }()
	heard := make(chan struct{})
	go func() { defer close(heard); store.Listen(work, hearing(work, n.log, hub)) }()
	defer func() { endWork(); <-heard }()
	return n.answer(ctx, site.Handler(), hub)
}

// hearing forwards database notifications to open pages.
func hearing(ctx context.Context, log *slog.Logger, hub *live.Hub) postgres.Hearing {
	return postgres.Hearing{
		Told: func(payload string) {
			change, err := live.ParseChange(payload)
			if err != nil {
				log.WarnContext(ctx, "ignoring a database notification that is not a change", "error", err)
				return
			}
			hub.Publish(change)
		},
		Missed: hub.Missed,
		Lost: func(err error) {
			log.WarnContext(ctx, "lost the connection that updates open pages; reconnecting", "error", err)
		},
	}
}

// tasks lists the background tasks.
func (n *instance) tasks(store *postgres.DB, application *app.App) []worker.Task {
	list := []worker.Task{
		{Name: "read again", First: 5 * time.Second, Every: 30 * time.Second, Do: application.EvaluateStale},
		{Name: "advance by rule", First: 20 * time.Second, Every: time.Minute, Do: application.AdvanceByRule},
		{Name: "clear sign-ins", First: time.Minute, Every: 10 * time.Minute, Do: store.UnscopedClearSignIns},
		{Name: "clear pictures", First: time.Hour, Every: 24 * time.Hour, Do: application.ClearPictures},
	}
	if n.db.backup != "" && n.cfg.DumpEvery > 0 {
		list = append(list, n.db.dumper(n.cfg, n.log).Task(n.cfg.DumpEvery))
	}
	return list
}

// answer serves until ctx or the database ends, then lets running requests
// finish.
func (n *instance) answer(ctx context.Context, handler http.Handler, hub *live.Hub) error {
	server := &http.Server{
		Handler: handler, ReadHeaderTimeout: headerTimeout, ReadTimeout: requestTimeout, WriteTimeout: requestTimeout,
		IdleTimeout: idleTimeout, ErrorLog: slog.NewLogLogger(n.log.Handler(), slog.LevelWarn),
		// The signal must not cancel requests: they are drained.
		BaseContext: func(net.Listener) context.Context { return context.WithoutCancel(ctx) },
	}
	server.RegisterOnShutdown(hub.Close) // open pages reconnect when the server is back
	failed := make(chan error, 1)
	go func() { failed <- server.Serve(n.listener) }()
	var cause error
	select {
	case <-ctx.Done():
		n.log.InfoContext(ctx, "stopping")
	case <-n.db.ended:
		cause = fmt.Errorf("the database stopped unexpectedly; start Newel again to recover it: %w", n.db.failure())
	case cause = <-failed:
	}
	drain, cancel := context.WithTimeout(context.WithoutCancel(ctx), drainTimeout)
	defer cancel()
	if err := server.Shutdown(drain); err != nil {
		_ = server.Close()
	}
	return cause
}

// baseURL returns the server's public URL. If the system chose the port, it is
// known only now.
func baseURL(cfg config.Config, listener net.Listener) (*url.URL, error) {
	raw := cfg.BaseURL
	if _, port, err := net.SplitHostPort(cfg.Listen); err == nil && port == "0" {
		raw = config.BaseURLFor(listener.Addr().String())
	}
	return url.Parse(raw)
}
