package embeddedpg

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"time"

	"github.com/jackc/pgx/v5"
)

// DumpName is the file name of a dump made at the given instant. Names sort by age.
func DumpName(at time.Time) string {
	return "newel-" + at.UTC().Format("20060102T150405Z") + ".dump"
}

var (
	dumpName    = regexp.MustCompile(`^newel-\d{8}T\d{6}Z\.dump$`)
	partialName = regexp.MustCompile(`^newel-\d{8}T\d{6}Z\.dump\.partial$`)
)

// Dump writes the whole database at connURL to file in pg_dump's custom format,
// readable only by this account. The role must bypass row-level security, as
// newel_backup does. The file gets its final name only when it is complete and
// on disk. Dump looks for pg_dump in binDir first. The error wraps
// ErrNoDumpTool if no pg_dump can read this server.
func Dump(ctx context.Context, binDir, connURL, file string) error {
	tool, err := dumpTool(ctx, "pg_dump", binDir, connURL)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Dir(file), 0o700); err != nil {
		return fmt.Errorf("create the backup folder: %w", err)
	}
	partial := file + ".partial"
	f, err := os.OpenFile(partial, os.O_CREATE|os.O_TRUNC|os.O_WRONLY, 0o600)
	if err != nil {
		return fmt.Errorf("create the backup file: %w", err)
	}
	err = runTool(ctx, tool, connURL, f, "--format=custom", "--no-password")
	if err == nil {
		err = f.Sync()
	}
	if cerr := f.Close(); err == nil {
		err = cerr
	}
	if err == nil {
		err = os.Rename(partial, file)
	}
	if err != nil {
		return errors.Join(fmt.Errorf("back up the database to %s: %w", file, err), os.Remove(partial))
	}
	return syncDir(filepath.Dir(file))
}

// Restore reads a file written by Dump into the database at connURL, which must
// be empty. The role must own the database. Restore restores everything or
// nothing.
func Restore(ctx context.Context, binDir, connURL, file string) error {
	tool, err := dumpTool(ctx, "pg_restore", binDir, connURL)
	if err != nil {
		return err
	}
	if err := runTool(ctx, tool, connURL, nil, "--single-transaction", "--exit-on-error", "--no-owner", "--no-password", file); err != nil {
		return fmt.Errorf("restore the database from %s: %w", file, err)
	}
	return nil
}

// dumpTool finds pg_dump or pg_restore: next to the server, or else any
// installed one that is at least as new as the server.
func dumpTool(ctx context.Context, name, binDir, connURL string) (string, error) {
	var num int
	err := withConn(ctx, connURL, func(c *pgx.Conn) error {
		return c.QueryRow(ctx, `SELECT current_setting('server_version_num')::int`).Scan(&num)
	})
	if err != nil {
		return "", fmt.Errorf("ask the database for its version: %w", err)
	}
	var candidates []string
	if binDir != "" {
		candidates = append(candidates, filepath.Join(binDir, name))
	}
	for _, pattern := range usualPlaces {
		found, _ := filepath.Glob(filepath.Join(pattern, name)) // constant patterns
		candidates = append(candidates, found...)
	}
	if p, err := exec.LookPath(name); err == nil {
		candidates = append(candidates, p)
	}
	return chooseTool(name, candidates, num/10000)
}

// chooseTool returns the first candidate that is at least as new as the server.
func chooseTool(name string, candidates []string, server int) (string, error) {
	newest := 0
	for _, p := range candidates {
		major, err := programMajor(p)
		if err == nil && major >= server {
			return p, nil
		}
		newest = max(newest, major)
	}
	if newest == 0 {
		return "", fmt.Errorf("%w: %s is not installed, so Newel cannot make database backups; install it (Debian, Ubuntu: apt-get install postgresql-client) or set NEWEL_PG_BINDIR to its folder", ErrNoDumpTool, name)
	}
	return "", fmt.Errorf("%w: the newest %s found is from PostgreSQL %d but the server is %d, so Newel cannot make database backups; install postgresql-client-%[4]d or newer", ErrNoDumpTool, name, newest, server)
}

// runTool runs pg_dump or pg_restore. It passes the password in the
// environment, because everyone on the machine can read the arguments.
func runTool(ctx context.Context, path, connURL string, stdout *os.File, args ...string) error {
	conn, password := splitPassword(connURL)
	c := exec.CommandContext(ctx, path, append([]string{"--dbname=" + conn}, args...)...)
	c.Env = append(os.Environ(), "LC_ALL=C")
	if password != "" {
		c.Env = append(c.Env, "PGPASSWORD="+password)
	}
	var said bytes.Buffer
	c.Stderr = &said
	if stdout != nil {
		c.Stdout = stdout
	}
	c.WaitDelay = 5 * time.Second
	if err := c.Run(); err != nil {
		return fmt.Errorf("%s: %w: %s", filepath.Base(path), err, lastLines(said.String(), 4))
	}
	return nil
}

var passwordWord = regexp.MustCompile(`(^|\s)password\s*=\s*('(?:[^'\\]|\\.)*'|\S+)`)

// splitPassword removes the password from a connection string of either form.
func splitPassword(conn string) (rest, password string) {
	if u, err := url.Parse(conn); err == nil && (u.Scheme == "postgres" || u.Scheme == "postgresql") {
		if p, ok := u.User.Password(); ok {
			u.User = url.User(u.User.Username())
			return u.String(), p
		}
		q := u.Query()
		password = q.Get("password")
		q.Del("password")
		u.RawQuery = q.Encode()
		return u.String(), password
	}
	m := passwordWord.FindStringSubmatch(conn)
	if m == nil {
		return conn, ""
	}
	password = m[2]
	if len(password) > 1 && password[0] == '\'' {
		password = password[1 : len(password)-1]
	}
	return passwordWord.ReplaceAllString(conn, "$1"), unescape.ReplaceAllString(password, "$1")
}

var unescape = regexp.MustCompile(`\\(.)`)

// Dumps lists the complete dumps in dir, newest first. It returns none if the
// folder is missing.
func Dumps(dir string) ([]string, error) {
	entries, err := os.ReadDir(dir)
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		return nil, fmt.Errorf("list the database backups: %w", err)
	}
	var out []string
	for _, e := range entries {
		if dumpName.MatchString(e.Name()) {
			out = append(out, filepath.Join(dir, e.Name()))
		}
	}
	slices.Sort(out)
	slices.Reverse(out)
	return out, nil
}

// Prune deletes all but the newest keep dumps in dir, and partial files of
// interrupted dumps. It touches only files that Dump has named. Do not run it
// while a dump is in progress. keep must be at least 1.
func Prune(dir string, keep int) error {
	if keep < 1 {
		return errors.New("keep at least 1 database backup, not " + strconv.Itoa(keep))
	}
	all, err := Dumps(dir)
	if err != nil {
		return err
	}
	old := all[min(keep, len(all)):]
	entries, err := os.ReadDir(dir)
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		return fmt.Errorf("list the database backups: %w", err)
	}
	for _, e := range entries {
		if partialName.MatchString(e.Name()) {
			old = append(old, filepath.Join(dir, e.Name()))
		}
	}
	var errs []error
	for _, p := range old {
		errs = append(errs, os.Remove(p))
	}
	if err := errors.Join(errs...); err != nil {
		return fmt.Errorf("delete old database backups: %w", err)
	}
	return nil
}
