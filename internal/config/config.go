// Package config holds every setting of a Newel server in one struct, read from
// flags and their environment twins. Only commands call Load; everything else is
// handed the values it needs.
package config

import (
	"flag"
	"fmt"
	"path/filepath"
	"strconv"
	"strings"
	"time"
)

// Config is what an operator can set. The tags are the only place where a
// setting's names, default and explanation are written; flags, the environment,
// Print and Table all read them.
type Config struct {
	Listen      string        `flag:"listen" env:"NEWEL_LISTEN" default:"127.0.0.1:8080" help:"Address and port to answer on. Put a TLS proxy in front before phones use it: offline recording needs https on anything but this machine itself."`
	BaseURL     string        `flag:"base-url" env:"NEWEL_BASE_URL" shown:"http:// and the listen address" help:"Address people type, as it is seen from outside, without a path. Used in mails, links and passkeys."`
	Proxies     string        `flag:"trusted-proxies" env:"NEWEL_TRUSTED_PROXIES" default:"127.0.0.1/32,::1/128" help:"Addresses of the proxies in front, as networks with commas between. What they say of a client's address (X-Forwarded-For) is believed; it is what rates are limited by."`
	DataDir     string        `flag:"data-dir" env:"NEWEL_DATA_DIR" default:"./.data" help:"Folder for the built-in database, its log and the dumps."`
	DatabaseURL string        `flag:"database-url" env:"DATABASE_URL" secret:"true" shown:"the built-in database" help:"Connection of the app role to a PostgreSQL of your own (15 or newer). Prefer the environment: flags are visible to others on the machine."`
	OwnerURL    string        `flag:"owner-url" env:"NEWEL_OWNER_URL" secret:"true" shown:"the built-in database" help:"Connection of the owner role, used for migrations only. Needed whenever DATABASE_URL is set."`
	BackupURL   string        `flag:"backup-url" env:"NEWEL_BACKUP_URL" secret:"true" shown:"the built-in database" help:"Connection of the back-up role. With a PostgreSQL of your own, dumps are made only when this is set."`
	PGBinDir    string        `flag:"pg-bindir" env:"NEWEL_PG_BINDIR" shown:"searched for" help:"Folder holding the programs postgres, initdb and pg_dump."`
	DumpDir     string        `flag:"dump-dir" env:"NEWEL_DUMP_DIR" shown:"dumps inside the data folder" help:"Folder for the scheduled dumps. Put it on another disk, or copy it to one."`
	DumpEvery   time.Duration `flag:"dump-every" env:"NEWEL_DUMP_EVERY" default:"24h" help:"Time between dumps, for example 6h; 0 switches the schedule off. One is made before every migration all the same."`
	WorkerOff   bool          `flag:"worker-off" env:"NEWEL_WORKER_OFF" default:"false" help:"Take the service worker off every phone that comes by, with the pages it keeps; pages then need signal. For a release whose pages are broken and will not go away. Recordings that wait on phones stay."`
	DumpKeep    int           `flag:"dump-keep" env:"NEWEL_DUMP_KEEP" default:"14" help:"How many dumps to keep; older ones are deleted."`
}

// Load registers every setting on fs, parses args, and fills what was not given
// as a flag from environ ("NAME=value" entries, as os.Environ returns them) and
// then from the defaults. Positional arguments stay in fs.Args. The error is a
// sentence for the operator; flag.ErrHelp is returned as it is.
func Load(fs *flag.FlagSet, args, environ []string) (Config, error) {
	env := environment(environ)
	raw := make(map[string]*string)
	for _, s := range settings() {
		raw[s.flag] = fs.String(s.flag, "", s.usage())
	}
	if err := fs.Parse(args); err != nil {
		return Config{}, err
	}
	given := make(map[string]bool)
	fs.Visit(func(f *flag.Flag) { given[f.Name] = true })

	var c Config
	for _, s := range settings() {
		value, source := s.def, "the default of -"+s.flag
		if v := env[s.env]; v != "" {
			value, source = v, s.env
		}
		if given[s.flag] {
			value, source = *raw[s.flag], "-"+s.flag
		}
		if err := s.set(&c, value); err != nil {
			return Config{}, fmt.Errorf("%s: %w", source, err)
		}
	}
	return c.complete()
}

// complete fills what depends on other settings and refuses contradictions.
func (c Config) complete() (Config, error) {
	if c.DataDir == "" {
		return c, fmt.Errorf("the data folder is empty: set NEWEL_DATA_DIR to a folder, for example ./.data")
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
		return c, fmt.Errorf("find the dump folder: %w", err)
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

// String lists every setting, one a line, as it was understood. Connections are
// only said to be set, since they may carry passwords.
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

// UnknownNames returns the names in environ that begin with NEWEL_ and are no
// setting: most likely misspelt. The command warns about them.
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
