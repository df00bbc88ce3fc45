//go:build unix

package embeddedpg

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"time"
)

// tryLock takes the lock file, or reports that somebody holds it. The kernel
// gives the lock back when the last process holding the descriptor ends, however
// it ends.
func tryLock(path string) (f *os.File, taken bool, err error) {
	f, err = os.OpenFile(path, os.O_CREATE|os.O_RDWR, 0o600)
	if err != nil {
		return nil, false, fmt.Errorf("open the lock file: %w; the account %s must be able to write to %s", err, accountName(uint32(os.Geteuid())), filepath.Dir(path))
	}
	err = syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
	if err == nil {
		return f, true, nil
	}
	_ = f.Close()
	if errors.Is(err, syscall.EWOULDBLOCK) {
		return nil, false, nil
	}
	return nil, false, fmt.Errorf("lock %s: %w; the data folder must be on a file system that supports locks", path, err)
}

// unlock gives a lock back at once. Closing alone would not: a program that this
// process is just starting holds a copy of the descriptor until it runs.
func unlock(f *os.File) {
	_ = syscall.Flock(int(f.Fd()), syscall.LOCK_UN)
	_ = f.Close()
}

// lockHome makes the data folder this process's own.
func lockHome(home string) (*os.File, error) {
	path := filepath.Join(home, "lock")
	f, taken, err := tryLock(path)
	if err != nil {
		return nil, err
	}
	if !taken {
		who := ""
		if b, err := os.ReadFile(path); err == nil && len(b) > 0 {
			who = " (process " + strings.TrimSpace(string(b)) + ")"
		}
		return nil, fmt.Errorf("%w: another Newel%s already uses %s; stop it first, or set NEWEL_DATA_DIR to a different folder", ErrInUse, who, home)
	}
	if err := f.Truncate(0); err == nil {
		_, _ = f.WriteAt([]byte(strconv.Itoa(os.Getpid())+"\n"), 0) // only for the message above
	}
	return f, nil
}

// patience is how long an earlier database gets to stop by itself before it is
// told to stop at once. Crash recovery makes up for what that leaves undone.
const patience = 30 * time.Second

// settle waits until no process of an earlier run is left and returns the lock
// that the new processes will inherit. It takes as long as ctx allows: starting
// beside a living database would destroy the data.
func settle(ctx context.Context, log *slog.Logger, home, cluster string, acct account) (*os.File, error) {
	began, lastNote := time.Now(), time.Time{}
	asked, pressed := false, false
	for {
		f, taken, err := tryLock(filepath.Join(home, "postgres.lock"))
		if err != nil {
			return nil, err
		}
		if taken {
			if pids, _ := processesIn(cluster, acct.uid); len(pids) > 0 {
				unlock(f)
				return nil, fmt.Errorf("%w: a PostgreSQL that Newel did not start (process %d) uses %s; stop it first", ErrInUse, pids[0], cluster)
			}
			return f, nil
		}
		if time.Since(lastNote) > 5*time.Second {
			lastNote = time.Now()
			log.Info("waiting for the database of an earlier run to stop", "waited", time.Since(began).Round(time.Second))
		}
		if !asked {
			asked = signalPostmaster(cluster, syscall.SIGINT)
		}
		if !pressed && time.Since(began) > patience {
			pressed = true
			signalPostmaster(cluster, syscall.SIGQUIT)
			signalOrphans(cluster, acct)
		}
		select {
		case <-ctx.Done():
			return nil, fmt.Errorf("wait for the database of an earlier run to stop: %w", ctx.Err())
		case <-time.After(50 * time.Millisecond):
		}
	}
}

// signalPostmaster signals the main process of an earlier run, if the pid file
// names one that is really it.
func signalPostmaster(cluster string, sig syscall.Signal) bool {
	pid := readPIDFile(cluster).pid
	return pid > 1 && isPostmaster(pid, cluster) && syscall.Kill(pid, sig) == nil
}

// signalOrphans ends what a killed main process left behind.
func signalOrphans(cluster string, acct account) {
	pids, _ := processesIn(cluster, acct.uid)
	for _, pid := range pids {
		_ = syscall.Kill(pid, syscall.SIGQUIT)
	}
}

// clearStale removes the pid file and the socket locks of a run that was killed.
// PostgreSQL refuses to start when the pid in them is alive again, even as
// another program or a zombie of the same account. It may be called only while
// postgres.lock is held, and it deletes nothing where processes cannot be seen:
// there PostgreSQL's own check decides.
func clearStale(cluster, sock string, acct account) error {
	if pids, sure := processesIn(cluster, acct.uid); len(pids) > 0 || !sure {
		return nil
	}
	stale, err := filepath.Glob(filepath.Join(sock, ".s.PGSQL.*"))
	if err != nil {
		return fmt.Errorf("look for old sockets: %w", err)
	}
	for _, p := range append(stale, filepath.Join(cluster, "postmaster.pid")) {
		if err := os.Remove(p); err != nil && !errors.Is(err, os.ErrNotExist) {
			return fmt.Errorf("clean up after a killed database: %w", err)
		}
	}
	return nil
}

// pidFile is what PostgreSQL writes about itself into postmaster.pid.
type pidFile struct {
	pid    int
	status string // "starting", "ready", "stopping"
}

func readPIDFile(cluster string) pidFile {
	b, err := os.ReadFile(filepath.Join(cluster, "postmaster.pid"))
	if err != nil {
		return pidFile{}
	}
	lines := strings.Split(string(b), "\n")
	pid, err := strconv.Atoi(strings.TrimSpace(lines[0]))
	if err != nil {
		return pidFile{}
	}
	p := pidFile{pid: pid}
	// The status is the eighth line: LOCK_FILE_LINE_PM_STATUS in PostgreSQL's
	// src/include/utils/pidfile.h, where pg_ctl reads it too.
	if len(lines) >= 8 {
		p.status = strings.TrimSpace(lines[7])
	}
	return p
}
