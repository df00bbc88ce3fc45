package embeddedpg

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
)

// childVar makes the test program run a database in the folder that it names,
// as Newel would, instead of the tests.
const childVar = "NEWEL_EMBEDDEDPG_CHILD"

func TestMain(m *testing.M) {
	if dir := os.Getenv(childVar); dir != "" {
		os.Exit(runChild(dir))
	}
	code := m.Run()
	_ = os.RemoveAll(used.dir)
	os.Exit(code)
}

func runChild(dir string) int {
	ctx, stop := signal.NotifyContext(context.Background(), syscall.SIGTERM)
	defer stop()
	s, err := Start(ctx, Config{Dir: dir})
	if err != nil {
		fmt.Println("error", err)
		return 1
	}
	fmt.Println("ready", s.URL(RoleOwner, Database))
	select {
	case <-ctx.Done():
	case <-s.Done():
	}
	if err := s.Stop(); err != nil {
		fmt.Println("error", err)
		return 1
	}
	return 0
}

// inMemory returns a folder in memory with plenty of room, or "".
func inMemory() string {
	var st syscall.Statfs_t
	if err := syscall.Statfs("/dev/shm", &st); err != nil || st.Bavail*uint64(st.Bsize) < 2<<30 {
		return ""
	}
	return "/dev/shm"
}

// newHome returns a data folder that the database's account can reach, in
// memory if possible. t.TempDir is closed to other accounts.
func newHome(t *testing.T) string {
	t.Helper()
	dir, err := os.MkdirTemp(inMemory(), "newel-embeddedpg-")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := os.RemoveAll(dir); err != nil {
			t.Error(err)
		}
	})
	if err := os.Chmod(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	return filepath.Join(dir, "data")
}

// usedHome returns a copy of a data folder that has been started and stopped
// before. Each initdb takes half a second of processor time, and only the tests
// of first starts need their own.
func usedHome(t *testing.T) string {
	t.Helper()
	used.once.Do(func() {
		var err error
		if used.dir, err = os.MkdirTemp(inMemory(), "newel-embeddedpg-"); err != nil {
			t.Fatal(err)
		}
		if err := os.Chmod(used.dir, 0o755); err != nil {
			t.Fatal(err)
		}
		s, err := Start(t.Context(), Config{Dir: filepath.Join(used.dir, "data"), Log: quiet()})
		if err != nil {
			t.Fatal(err)
		}
		stop(t, s)
		used.made = true
	})
	if !used.made {
		t.Fatal("there is no used folder to copy; another test reports why")
	}
	dir := newHome(t)
	// cp keeps the owner; os.CopyFS does not.
	if out, err := exec.Command("cp", "-a", filepath.Join(used.dir, "data"), dir).CombinedOutput(); err != nil {
		t.Fatalf("copy a used folder: %v: %s", err, out)
	}
	return dir
}

var used struct {
	once sync.Once
	dir  string
	made bool
}

func quiet() *slog.Logger { return slog.New(slog.NewTextHandler(io.Discard, nil)) }

func start(t *testing.T, dir string) *Server {
	t.Helper()
	s, err := Start(t.Context(), Config{Dir: dir, Log: quiet()})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = s.Stop() })
	return s
}

func stop(t *testing.T, s *Server) {
	t.Helper()
	if err := s.Stop(); err != nil {
		t.Fatal(err)
	}
}

func connect(t *testing.T, url string) *pgx.Conn {
	t.Helper()
	c, err := pgx.Connect(t.Context(), url)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = c.Close(context.Background()) })
	return c
}

func exec1(t *testing.T, c *pgx.Conn, sql string, args ...any) {
	t.Helper()
	if _, err := c.Exec(t.Context(), sql, args...); err != nil {
		t.Fatalf("%s: %v", sql, err)
	}
}

// write stores a row that must still exist later.
func write(t *testing.T, url string) {
	t.Helper()
	c := connect(t, url)
	exec1(t, c, `CREATE TABLE IF NOT EXISTS kept (n int)`)
	exec1(t, c, `INSERT INTO kept VALUES (42)`)
	if err := c.Close(t.Context()); err != nil {
		t.Fatal(err)
	}
}

func read(t *testing.T, url string) {
	t.Helper()
	c := connect(t, url)
	var n int
	if err := c.QueryRow(t.Context(), `SELECT n FROM kept`).Scan(&n); err != nil || n != 42 {
		t.Fatalf("the row is lost: %d, %v", n, err)
	}
}

// await waits for a condition, with a generous limit.
func await(t *testing.T, what string, cond func() bool) {
	t.Helper()
	for deadline := time.Now().Add(2 * time.Minute); !cond(); {
		if time.Now().After(deadline) {
			t.Fatalf("timed out waiting for %s", what)
		}
		time.Sleep(5 * time.Millisecond)
	}
}

// process is a second Newel in its own process.
type process struct {
	cmd *exec.Cmd
	out *bufio.Scanner
}

func spawn(t *testing.T, dir string, cred *syscall.Credential) *process {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	if cred != nil { // other accounts cannot enter the test program's folder
		b, err := os.ReadFile(self)
		if err != nil {
			t.Fatal(err)
		}
		self = filepath.Join(filepath.Dir(dir), "child.test")
		if err := os.WriteFile(self, b, 0o755); err != nil {
			t.Fatal(err)
		}
	}
	c := exec.Command(self)
	c.Env = append(os.Environ(), childVar+"="+dir)
	c.Dir = "/"
	c.SysProcAttr = &syscall.SysProcAttr{Credential: cred}
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		_ = c.Process.Kill()
		_ = c.Wait()
	})
	return &process{cmd: c, out: bufio.NewScanner(out)}
}

// ready waits until the process has a database and returns its URL.
func (p *process) ready(t *testing.T) string {
	t.Helper()
	if !p.out.Scan() {
		t.Fatal("the child printed nothing:", p.out.Err())
	}
	url, ok := strings.CutPrefix(p.out.Text(), "ready ")
	if !ok {
		t.Fatal(p.out.Text())
	}
	return url
}

func (p *process) end(t *testing.T, sig syscall.Signal) error {
	t.Helper()
	if err := p.cmd.Process.Signal(sig); err != nil {
		t.Fatal(err)
	}
	for p.out.Scan() {
		t.Log(p.out.Text())
	}
	return p.cmd.Wait()
}

func dbAccount(t *testing.T, dir string) account {
	t.Helper()
	a, err := chooseAccount(dir, filepath.Join(dir, clusterName))
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// freeLock reports whether no database process holds the folder.
func freeLock(t *testing.T, dir string) bool {
	t.Helper()
	f, taken, err := tryLock(filepath.Join(dir, "postgres.lock"))
	if err != nil {
		t.Fatal(err)
	}
	if taken {
		unlock(f)
	}
	return taken
}

// fakePrograms writes shell scripts that only print a version.
func fakePrograms(t *testing.T, dir string, major int, names ...string) string {
	t.Helper()
	if err := os.MkdirAll(dir, 0o755); err != nil && !errors.Is(err, os.ErrExist) {
		t.Fatal(err)
	}
	for _, n := range names {
		script := fmt.Sprintf("#!/bin/sh\necho '%s (PostgreSQL) %d.1'\n", n, major)
		if err := os.WriteFile(filepath.Join(dir, n), []byte(script), 0o755); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}
