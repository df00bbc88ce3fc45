//go:build unix

package embeddedpg

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"maps"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"sync"
	"sync/atomic"
	"syscall"
	"time"
)

// Config says where and how to run the database.
type Config struct {
	Dir     string            // data folder; created if missing
	BinDir  string            // folder of PostgreSQL's programs; "" to search
	DumpDir string            // named in the error when the data's version is not installed; "" for Dir/dumps
	Extra   map[string]string // further server settings, which override ours
	Log     *slog.Logger      // nil for slog.Default
}

// Server is a running database. Its methods are safe for concurrent use.
type Server struct {
	bin                 binaries
	acct                account
	log                 *slog.Logger
	home, cluster, sock string
	extra               map[string]string

	homeLock, clusterLock, logFile *os.File
	logStart                       int64
	postgres                       *child

	stopping atomic.Bool
	stop     sync.Once
	stopErr  error
}

// Start runs the database in cfg.Dir, creates it on the first start, and
// returns when it accepts connections and has its roles. Crash recovery can
// take long: Start waits as long as the database lives and ctx allows, and logs
// its progress. The error is a sentence for the operator; it may wrap
// ErrNoBinaries, ErrInUse, ErrOtherMajor or ErrClosed.
func Start(ctx context.Context, cfg Config) (*Server, error) {
	s := &Server{extra: cfg.Extra, log: cfg.Log}
	if s.log == nil {
		s.log = slog.Default()
	}
	if err := s.start(ctx, cfg); err != nil {
		return nil, errors.Join(err, s.Stop())
	}
	return s, nil
}

func (s *Server) start(ctx context.Context, cfg Config) error {
	if err := s.openHome(cfg.Dir); err != nil {
		return err
	}
	major, err := clusterMajor(s.cluster)
	if err != nil {
		return err
	}
	dumps := cfg.DumpDir
	if dumps == "" {
		dumps = filepath.Join(s.home, "dumps")
	}
	if s.bin, err = find(cfg.BinDir, s.home, major, dumps); err != nil {
		return err
	}
	if s.acct, err = chooseAccount(s.home, s.cluster); err != nil {
		return err
	}
	for _, dir := range []string{s.home, s.bin.dir} {
		if err := s.acct.checkReach(dir); err != nil {
			return err
		}
	}
	if s.clusterLock, err = settle(ctx, s.log, s.home, s.cluster, s.acct); err != nil {
		return err
	}
	if err := s.ensureCluster(ctx); err != nil {
		return err
	}
	if s.sock, err = socketDir(s.home, s.acct); err != nil {
		return err
	}
	if err := clearStale(s.cluster, s.sock, s.acct); err != nil {
		return err
	}
	if err := s.launch(); err != nil {
		return err
	}
	if err := s.awaitReady(ctx); err != nil {
		return err
	}
	return s.provision(ctx)
}

// openHome creates the data folder, resolves links and locks it.
func (s *Server) openHome(dir string) error {
	if dir == "" {
		return errors.New("no data folder is set: set NEWEL_DATA_DIR")
	}
	abs, err := filepath.Abs(dir)
	if err != nil {
		return fmt.Errorf("find the data folder %s: %w", dir, err)
	}
	if err := makeHome(abs); err != nil {
		return err
	}
	if s.home, err = filepath.EvalSymlinks(abs); err != nil {
		return fmt.Errorf("find the data folder %s: %w", abs, err)
	}
	s.cluster = filepath.Join(s.home, clusterName)
	if _, err := os.Lstat(s.cluster); err == nil {
		// A link that leads nowhere may be a disk that is not mounted: starting
		// empty in its place would hide the data.
		if s.cluster, err = filepath.EvalSymlinks(s.cluster); err != nil {
			return fmt.Errorf("the database folder is a broken link: %w; mount its target and start Newel again", err)
		}
	}
	s.homeLock, err = lockHome(s.home)
	return err
}

// makeHome creates a missing data folder, closed to others. Root leaves it
// passable for the database's account.
func makeHome(dir string) error {
	if _, err := os.Stat(dir); err == nil {
		return nil
	}
	mode := os.FileMode(0o700)
	if os.Geteuid() == 0 {
		mode = 0o711
	}
	if err := os.MkdirAll(filepath.Dir(dir), 0o755); err != nil {
		return fmt.Errorf("create the data folder: %w", err)
	}
	if err := os.Mkdir(dir, mode); err != nil && !errors.Is(err, os.ErrExist) {
		return fmt.Errorf("create the data folder: %w; set NEWEL_DATA_DIR to a folder that the account %s can write to", err, accountName(uint32(os.Geteuid())))
	}
	if err := os.Chmod(dir, mode); err != nil { // regardless of the umask
		return fmt.Errorf("set the mode of the data folder: %w", err)
	}
	return nil
}

// settings returns the server settings; cfg.Extra overrides them.
func (s *Server) settings() map[string]string {
	m := map[string]string{
		"listen_addresses":        "",
		"unix_socket_directories": s.sock,
		"unix_socket_permissions": "0700",
		"port":                    "5432",
		"timezone":                "UTC",
		"log_timezone":            "UTC",
		"max_connections":         "120",
		// Error details quote rows, and rows are about learners.
		"log_error_verbosity":     "terse",
		"log_min_error_statement": "panic",
	}
	maps.Copy(m, s.extra)
	return m
}

// launch starts the database with its output in a file and lets it inherit the
// lock.
func (s *Server) launch() error {
	if err := s.openLog(); err != nil {
		return err
	}
	args := []string{"-D", s.cluster}
	m := s.settings()
	for _, k := range slices.Sorted(maps.Keys(m)) {
		args = append(args, "-c", k+"="+m[k])
	}
	c := s.acct.command(syscall.SIGINT, filepath.Join(s.bin.dir, "postgres"), args...)
	c.Stdout, c.Stderr = s.logFile, s.logFile
	c.ExtraFiles = []*os.File{s.clusterLock}
	p, err := startChild(c)
	if err != nil {
		return err
	}
	s.postgres = p
	// From here on only the database's processes hold the lock.
	err = s.clusterLock.Close()
	s.clusterLock = nil
	if err != nil {
		return fmt.Errorf("hand the lock over: %w", err)
	}
	return nil
}

// longestLog is the size in bytes above which the next start moves the log
// aside.
const longestLog = 10 << 20

func (s *Server) openLog() error {
	path := filepath.Join(s.home, "postgres.log")
	if st, err := os.Stat(path); err == nil && st.Size() > longestLog {
		if err := os.Rename(path, path+".1"); err != nil {
			return fmt.Errorf("move the database's old log aside: %w", err)
		}
	}
	f, err := os.OpenFile(path, os.O_CREATE|os.O_APPEND|os.O_RDWR, 0o600)
	if err != nil {
		return fmt.Errorf("open the database's log: %w", err)
	}
	s.logFile = f
	if st, err := f.Stat(); err == nil {
		s.logStart = st.Size()
	}
	return nil
}

// awaitReady polls the status that the database writes to its pid file. Polling
// by connecting would fill the log with rejections.
func (s *Server) awaitReady(ctx context.Context) error {
	tick := time.NewTicker(10 * time.Millisecond)
	defer tick.Stop()
	began, lastNote := time.Now(), time.Now()
	for {
		if p := readPIDFile(s.cluster); p.pid == s.postgres.cmd.Process.Pid && p.status == "ready" {
			return nil
		}
		if time.Since(lastNote) > 5*time.Second {
			lastNote = time.Now()
			s.log.Info("the database is still starting", "waited", time.Since(began).Round(time.Second),
				"says", lastLines(readFrom(s.logFile, s.logStart), 1))
		}
		select {
		case <-s.postgres.done:
			return fmt.Errorf("the database stopped while starting (%w): %s", exitError(s.postgres.err), lastLines(readFrom(s.logFile, s.logStart), 8))
		case <-ctx.Done():
			return fmt.Errorf("wait for the database to start: %w", ctx.Err())
		case <-tick.C:
		}
	}
}

// URL returns a connection string for a role and a database of this server.
func (s *Server) URL(role, db string) string {
	u := url.URL{Scheme: "postgres", User: url.User(role), Path: "/" + db, RawQuery: url.Values{
		"host": {s.sock}, "port": {"5432"}, "sslmode": {"disable"},
	}.Encode()}
	return u.String()
}

// BinDir returns the folder of the programs in use.
func (s *Server) BinDir() string { return s.bin.dir }

// Done returns a channel that is closed when the database has ended, expectedly
// or not.
func (s *Server) Done() <-chan struct{} { return s.postgres.done }

// Err returns why the database ended. It returns nil while the database runs
// and after a clean Stop.
func (s *Server) Err() error {
	select {
	case <-s.postgres.done:
	default:
		return nil
	}
	if s.stopping.Load() && s.postgres.err == nil {
		return nil
	}
	return fmt.Errorf("the database stopped unexpectedly (%w); its log is %s", exitError(s.postgres.err), s.logFile.Name())
}

// How long a database may take to shut down, first fast and then immediate.
const (
	fastPatience      = 60 * time.Second
	immediatePatience = 30 * time.Second
)

// Stop shuts the database down: it rolls back open transactions and writes
// everything committed. It returns when the main process has ended and the data
// folder is free. Later calls return the same error.
func (s *Server) Stop() error {
	s.stop.Do(func() {
		s.stopping.Store(true)
		if s.postgres != nil {
			s.stopErr = s.shutDown()
		}
		for _, f := range []*os.File{s.clusterLock, s.logFile} {
			if f != nil {
				_ = f.Close() // nothing of ours is buffered in them
			}
		}
		if s.homeLock != nil {
			unlock(s.homeLock)
		}
	})
	return s.stopErr
}

func (s *Server) shutDown() error {
	select {
	case <-s.postgres.done: // it had ended before; Err reports why
		return nil
	default:
	}
	_ = s.postgres.cmd.Process.Signal(syscall.SIGINT) // fails only if it has just ended
	if !s.postgres.within(fastPatience) {
		s.log.Warn("the database has not stopped; stopping it immediately")
		_ = s.postgres.cmd.Process.Signal(syscall.SIGQUIT)
		if !s.postgres.within(immediatePatience) {
			return fmt.Errorf("the database (process %d) did not stop within %s; it is still running", s.postgres.cmd.Process.Pid, fastPatience+immediatePatience)
		}
	}
	if s.postgres.err != nil {
		return fmt.Errorf("the database stopped with an error: %w; its log is %s", s.postgres.err, s.logFile.Name())
	}
	return nil
}

func exitError(err error) error {
	if err == nil {
		return errors.New("exit status 0")
	}
	return err
}
