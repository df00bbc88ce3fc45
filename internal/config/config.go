// Package config holds every setting of a Newel server in one struct, read from
// flags and the matching environment variables. Only commands call Load;
// everything else receives the values it needs.
package config

import (
	"flag"
	"fmt"
	"path/filepath"
	"strconv"
	"strings"
	"time"
)

// Config holds what an operator can set. The tags are the only place that
// defines a setting's names, default and description; flags, the environment,
// Print and Table all read them.
type Config struct {
	Listen      string        `flag:"listen" env:"NEWEL_LISTEN" default:"127.0.0.1:8080" help:"Address and port to listen on. Put a TLS proxy in front before phones use it: offline recording needs https everywhere except on this machine."`
	BaseURL     string        `flag:"base-url" env:"NEWEL_BASE_URL" shown:"http:// and the listen address" help:"Public address of Newel, without a path. Used in links."`
	Proxies     string        `flag:"trusted-proxies" env:"NEWEL_TRUSTED_PROXIES" default:"127.0.0.1/32,::1/128" help:"Networks of the proxies in front, separated by commas. Newel trusts the client address they report (X-Forwarded-For) and uses it for rate limits."`
	DataDir     string        `flag:"data-dir" env:"NEWEL_DATA_DIR" default:"./.data" help:"Folder for the built-in database, its log and the database backups."`
	DatabaseURL string        `flag:"database-url" env:"DATABASE_URL" secret:"true" shown:"the built-in database" help:"Connection to your own PostgreSQL (15 or newer) as the app role. Set it in the environment: other users of the machine can see flags."`
	OwnerURL    string        `flag:"owner-url" env:"NEWEL_OWNER_URL" secret:"true" shown:"the built-in database" help:"Connection as the owner role, used only for migrations. Required when DATABASE_URL is set."`
	BackupURL   string        `flag:"backup-url" env:"NEWEL_BACKUP_URL" secret:"true" shown:"the built-in database" help:"Connection as the backup role. With your own PostgreSQL, Newel makes database backups only if this is set."`
	PGBinDir    string        `flag:"pg-bindir" env:"NEWEL_PG_BINDIR" shown:"found automatically" help:"Folder with the programs postgres, initdb and pg_dump."`
	DumpDir     string        `flag:"dump-dir" env:"NEWEL_DUMP_DIR" shown:"dumps in the data folder" help:"Folder for the scheduled database backups. Put it on another disk, or copy it to one."`
	DumpEvery   time.Duration `flag:"dump-every" env:"NEWEL_DUMP_EVERY" default:"24h" help:"Time between database backups, for example 6h; 0 turns the schedule off. Newel still makes one before each migration."`
	WorkerOff   bool          `flag:"worker-off" env:"NEWEL_WORKER_OFF" default:"false" help:"Remove the service worker and its stored pages from every phone that connects; pages then need a connection. Use it if a broken release keeps phones from updating. Sessions waiting on phones are kept."`
	DumpKeep    int           `flag:"dump-keep" env:"NEWEL_DUMP_KEEP" default:"14" help:"Number of database backups to keep; Newel deletes older ones."`
}

// Load registers every setting on fs and parses args. Settings without a flag
// come from environ ("NAME=value" entries, as os.Environ returns them) or else
// from the defaults. Positional arguments stay in fs.Args. The error is a
// sentence for the operator; flag.ErrHelp is returned unchanged.
func Load(fs *flag.FlagSet, args, environ []string) (Config, error) {
	env := environment(environ)
	raw := make(map[string]*string)
	for _, s := range settings() {
		raw[s.flag] = fs.String(s.flag, "", s.usage())
	}
	if err := fs.Parse(args); err != nil {
		return Config{}, err
	}
	set := make(map[string]bool)
	fs.Visit(func(f *flag.Flag) { set[f.Name] = true })

	var c Config
	for _, s := range settings() {
		value, source := s.def, "the default of -"+s.flag
		if v := env[s.env]; v != "" {
			value, source = v, s.env
		}
		if set[s.flag] {
			value, source = *raw[s.flag], "-"+s.flag
		}
		if err := s.set(&c, value); err != nil {
			return Config{}, fmt.Errorf("%s: %w", source, err)
		}
	}
	return c.complete()
}

// complete derives settings that depend on others and rejects contradictions.
func (c Config) complete() (Config, error) {
	if c.DataDir == "" {
		return c, fmt.Errorf("no data folder is set: set NEWEL_DATA_DIR to a folder, for example ./.data")
	}
	dir, err := filepath.Abs(c.DataDir)
	if err != nil {
		return c, fmt.Errorf("find the data folder %s: %w", c.DataDir, err)
	}
	c.DataDir = dir
	if c.DumpDir == "" {
		c.DumpDir = filepath.Join(c.DataDir, "dumps")
	}
	if c.DumpDir, err = filepath.Abs(c.DumpDir); err != nil {
		return c, fmt.Errorf("find the folder for database backups: %w", err)
	}
	if err := checkListen(c.Listen); err != nil {
		return c, err
	}
	if c.BaseURL == "" {
		c.BaseURL = BaseURLFor(c.Listen)
	}
	c.BaseURL = strings.TrimSuffix(c.BaseURL, "/")
	if err := checkBaseURL(c.BaseURL); err != nil {
		return c, err
	}
	if err := c.checkProxies(); err != nil {
		return c, err
	}
	if err := c.checkDatabase(); err != nil {
		return c, err
	}
	return c, c.checkDumps()
}

// Embedded reports whether the built-in database is used.
func (c Config) Embedded() bool { return c.DatabaseURL == "" }

// String lists all effective settings, one per line. It shows only whether
// connections are set, because they may hold passwords.
func (c Config) String() string {
	var b strings.Builder
	for _, s := range settings() {
		v := s.get(&c)
		switch {
		case s.secret && v != "":
			v = "(set, not shown)"
		case v == "":
			v = "(" + s.shown + ")"
		}
		fmt.Fprintf(&b, "%s=%s\n", s.env, v)
	}
	return b.String()
}

func environment(environ []string) map[string]string {
	m := make(map[string]string, len(environ))
	for _, e := range environ {
		if k, v, ok := strings.Cut(e, "="); ok {
			m[k] = v
		}
	}
	return m
}

// UnknownNames returns the names in environ that begin with NEWEL_ but are not
// settings, probably misspelled ones. The command warns about them.
func UnknownNames(environ []string) []string {
	known := make(map[string]bool)
	for _, s := range settings() {
		known[s.env] = true
	}
	var unknown []string
	for _, e := range environ {
		k, _, _ := strings.Cut(e, "=")
		if strings.HasPrefix(k, "NEWEL_") && !known[k] {
			unknown = append(unknown, strconv.Quote(k))
		}
	}
	return unknown
}
