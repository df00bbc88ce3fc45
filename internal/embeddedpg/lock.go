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

// tryLock takes the lock file, or reports that another process holds it. The
// kernel releases the lock when the last process that holds the descriptor
// ends, however it ends.
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

// unlock releases a lock at once. Closing alone would not: a program that this
// process is just starting holds a copy of the descriptor until it runs.
func unlock(f *os.File) {
	_ = syscall.Flock(int(f.Fd()), syscall.LOCK_UN)
	_ = f.Close()
}

// lockHome claims the data folder for this process.
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

// patience is how long an earlier database may take to stop on its own before
// it is told to stop immediately. Crash recovery repairs whatever that leaves
// unfinished.
const patience = 30 * time.Second

// settle waits until no process of an earlier run is left and returns the lock
// for the new processes to inherit. It waits as long as ctx allows, because
// starting next to a live database would destroy the data.
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
// really names one.
func signalPostmaster(cluster string, sig syscall.Signal) bool {
	pid := readPIDFile(cluster).pid
	return pid > 1 && isPostmaster(pid, cluster) && syscall.Kill(pid, sig) == nil
}

// signalOrphans ends the processes that a killed main process left behind.
func signalOrphans(cluster string, acct account) {
	pids, _ := processesIn(cluster, acct.uid)
	for _, pid := range pids {
		_ = syscall.Kill(pid, syscall.SIGQUIT)
	}
}

// clearStale removes the pid file and the socket locks of a killed run.
// PostgreSQL refuses to start while their pid is in use, even by another
// program or a zombie of the same account. Call it only while holding
// postgres.lock. Where processes cannot be seen it deletes nothing and leaves
// the decision to PostgreSQL's own check.
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

// pidFile is the content of postmaster.pid.
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
