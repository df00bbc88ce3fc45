//go:build unix

package embeddedpg

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
)

// clusterName is the cluster's folder inside the data folder. The name has no
// version, so that a newer PostgreSQL finds the older data instead of creating
// an empty cluster next to it.
const clusterName = "postgres"

// ensureCluster creates the cluster on a first start. It builds it in a
// temporary folder and renames that when complete, so that an interrupted start
// leaves something that the next one can delete.
func (s *Server) ensureCluster(ctx context.Context) error {
	entries, err := os.ReadDir(s.cluster)
	switch {
	case err == nil && len(entries) == 0:
		if err := os.Remove(s.cluster); err != nil {
			return fmt.Errorf("remove the empty folder %s: %w", s.cluster, err)
		}
	case err == nil:
		if _, err := os.Stat(filepath.Join(s.cluster, "PG_VERSION")); err != nil {
			return fmt.Errorf("%s exists but holds no database (it has no PG_VERSION). Nothing was changed. Move it aside and start Newel again", s.cluster)
		}
		return nil
	case !errors.Is(err, os.ErrNotExist):
		return fmt.Errorf("look at the database folder: %w", err)
	}

	fresh := s.cluster + ".new"
	if err := os.RemoveAll(fresh); err != nil {
		return fmt.Errorf("remove an incomplete database: %w", err)
	}
	if err := os.Mkdir(fresh, 0o700); err != nil {
		return fmt.Errorf("create the database folder: %w", err)
	}
	if err := s.acct.give(fresh); err != nil {
		return err
	}
	s.log.Info("creating a new database", "folder", s.cluster, "postgres", s.bin.major)
	if err := s.initdb(ctx, fresh); err != nil {
		return err
	}
	if err := os.Rename(fresh, s.cluster); err != nil {
		return fmt.Errorf("move the new database into place: %w", err)
	}
	return syncDir(s.home)
}

func (s *Server) initdb(ctx context.Context, dir string) error {
	args := []string{
		"-D", dir, "-U", RoleSuper, "--encoding=UTF8", "--data-checksums",
		"--auth-local=trust", "--auth-host=reject",
	}
	c := s.acct.command(syscall.SIGKILL, filepath.Join(s.bin.dir, "initdb"), append(args, localeArgs(runtime.GOOS, s.bin.major)...)...)
	// The processes of initdb hold the lock too, so a start that follows a
	// killed one waits for them before it removes their folder.
	c.ExtraFiles = []*os.File{s.clusterLock}
	out, err := runToFile(ctx, c)
	if err != nil {
		return fmt.Errorf("create a new database with initdb: %w: %s", err, lastLines(out, 8))
	}
	return nil
}

// localeArgs selects plain code point order and Unicode character classes. The
// C library of macOS has no C.UTF-8; PostgreSQL has its own from version 17.
func localeArgs(goos string, major int) []string {
	switch {
	case goos == "linux":
		return []string{"--locale=C.UTF-8"}
	case major >= 17:
		return []string{"--locale=C", "--locale-provider=builtin", "--builtin-locale=C.UTF-8"}
	}
	return []string{"--locale=C", "--lc-ctype=UTF-8"}
}

// syncDir makes a rename in dir survive a power failure.
func syncDir(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return fmt.Errorf("open %s to sync it: %w", dir, err)
	}
	defer d.Close()
	if err := d.Sync(); err != nil {
		return fmt.Errorf("sync %s: %w", dir, err)
	}
	return nil
}

// lastLines returns the last n lines of text, joined for an error message.
func lastLines(text string, n int) string {
	lines := strings.Split(strings.TrimSpace(text), "\n")
	return strings.Join(lines[max(0, len(lines)-n):], " / ")
}
