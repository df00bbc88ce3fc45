//go:build unix

package pgtest

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"time"

	"github.com/jackc/pgx/v5/pgxpool"

	"newel/internal/embeddedpg"
)

// server is this process's connection to the shared server.
type server struct {
	report report
	place  place
	admin  *pgxpool.Pool // as superuser, on the maintenance database
	lease  *os.File      // kept open until the process ends
}

// shared joins the server once in each test process.
var shared = sync.OnceValues(func() (*server, error) {
	wd, err := os.Getwd()
	if err != nil {
		return nil, fmt.Errorf("find the package's folder: %w", err)
	}
	p, err := findPlace(wd)
	if err != nil {
		return nil, err
	}
	root, err := moduleRoot(wd)
	if err != nil {
		return nil, err
	}
	// deploy/ensure-postgres.sh may have downloaded programs to the data
	// folder.
	if p.BinDir, err = embeddedpg.FindBinDir(os.Getenv("NEWEL_PG_BINDIR"), filepath.Join(root, ".data")); err != nil && !errors.Is(err, embeddedpg.ErrOtherMajor) {
		return nil, err
	}
	return join(p)
})

// join takes a lease on the server and starts one if none is running.
func join(p place) (*server, error) {
	gate, _, err := flock(p.file("gate"), syscall.LOCK_EX)
	if err != nil {
		return nil, err
	}
	defer gate.Close()
	s := &server{place: p}
	if s.lease, _, err = flock(p.file("lease"), syscall.LOCK_SH); err != nil {
		return nil, err
	}
	alive, dead, err := flock(p.file("alive"), syscall.LOCK_EX|syscall.LOCK_NB)
	if err != nil {
		return nil, err
	}
	if dead {
		_ = syscall.Flock(int(alive.Fd()), syscall.LOCK_UN)
		_ = alive.Close()
		if err := startKeeper(p); err != nil {
			return nil, err
		}
	}
	b, err := os.ReadFile(p.file("server"))
	if err == nil {
		err = json.Unmarshal(b, &s.report)
	}
	if err != nil {
		return nil, fmt.Errorf("read about the test server: %w", err)
	}
	conf, err := pgxpool.ParseConfig(s.report.Super)
	if err != nil {
		return nil, fmt.Errorf("read the test server's address: %w", err)
	}
	conf.MaxConns = 4
	if s.admin, err = pgxpool.NewWithConfig(context.Background(), conf); err != nil {
		return nil, fmt.Errorf("connect to the test server: %w", err)
	}
	return s, s.sweep(context.Background())
}

// startKeeper runs this test program again as the detached keeper and waits
// until it has a server. The keeper's output goes to a file, because go test
// waits for every process that holds its pipes.
func startKeeper(p place) error {
	for _, name := range []string{"server", "keep"} {
		if err := os.Remove(p.file(name)); err != nil && !errors.Is(err, os.ErrNotExist) {
			return fmt.Errorf("remove an old report: %w", err)
		}
	}
	spec, err := json.Marshal(p)
	if err != nil {
		return fmt.Errorf("write the keeper's task: %w", err)
	}
	self, err := os.Executable()
	if err != nil {
		return fmt.Errorf("find the test program: %w", err)
	}
	out, err := os.Create(p.file("keeper.log"))
	if err != nil {
		return fmt.Errorf("open the keeper's log: %w", err)
	}
	defer out.Close()
	c := exec.Command(self)
	c.Env = append(keeperEnv(), keeperVar+"="+string(spec))
	c.Dir, c.Stdout, c.Stderr = "/", out, out
	c.SysProcAttr = &syscall.SysProcAttr{Setsid: true}
	if err := c.Start(); err != nil {
		return fmt.Errorf("start the keeper: %w", err)
	}
	ended := make(chan struct{})
	go func() { _ = c.Wait(); close(ended) }()
	return awaitReport(p, ended)
}

// keeperEnv omits variables that make a test program write profiles, and the
// TMPDIR of a finished test.
func keeperEnv() []string {
	var env []string
	for _, e := range os.Environ() {
		if !strings.HasPrefix(e, "GOCOVERDIR=") {
			env = append(env, e)
		}
	}
	return env
}

func awaitReport(p place, ended <-chan struct{}) error {
	tick := time.NewTicker(10 * time.Millisecond)
	defer tick.Stop()
	for over := false; ; {
		b, err := os.ReadFile(p.file("server"))
		if err == nil {
			var r report
			if err := json.Unmarshal(b, &r); err != nil {
				return fmt.Errorf("read about the test server: %w", err)
			}
			if r.Error != "" {
				return errors.New(r.Error)
			}
			return nil
		}
		if over {
			said, _ := os.ReadFile(p.file("keeper.log"))
			return fmt.Errorf("the test server's keeper ended immediately: %s", said)
		}
		select {
		case <-ended:
			over = true // it may have reported just before ending
		case <-tick.C:
		}
	}
}
