package main

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"testing/fstest"
	"time"

	"newel/internal/pgtest"
	"newel/web"
)

// asMain makes this test binary act as newel, so that the tests below can
// start, kill and restart what a clinic runs.
const asMain = "NEWEL_TEST_AS_MAIN"

func TestMain(m *testing.M) {
	if os.Getenv(asMain) != "" {
		loadAssets = func() (*web.Assets, error) {
			return web.LoadFrom(fstest.MapFS{web.ManifestName: {Data: []byte("{}")}})
		}
		main()
	}
	code := m.Run()
	_ = os.RemoveAll(filled.dir) // "" removes nothing
	os.Exit(code)
}

// process is a running newel.
type process struct {
	cmd  *exec.Cmd
	base string
	dir  string

	mu  sync.Mutex
	out strings.Builder
	eof chan struct{}
}

// patience limits every wait. No wait is a fixed delay: each ends when what it
// waits for happens.
const patience = 2 * time.Minute

// folder creates a data folder that the database's account can reach.
func folder(t *testing.T) string {
	t.Helper()
	dir := keptFolder(t)
	t.Cleanup(func() { _ = os.RemoveAll(dir) })
	return dir
}

// demoFolder creates a data folder with the invented clinic. newel itself fills
// the clinic once; each test gets a copy.
func demoFolder(t *testing.T) string {
	t.Helper()
	filled.once.Do(func() {
		filled.dir = keptFolder(t)
		p := start(t, filled.dir, nil, "--demo")
		_ = p.cmd.Process.Signal(syscall.SIGTERM)
		if code := p.end(t); code != 0 {
			t.Fatalf("status %d after filling the demo:\n%s", code, p.text())
		}
		filled.done = true
	})
	if !filled.done {
		t.Fatal("the demo could not be filled; another test reports why")
	}
	dir := folder(t)
	// cp keeps the owner, which the database requires; os.CopyFS does not.
	if out, err := exec.Command("cp", "-a", filled.dir+"/.", dir).CombinedOutput(); err != nil {
		t.Fatalf("copy the demo: %v: %s", err, out)
	}
	return dir
}

var filled struct {
	once sync.Once
	dir  string
	done bool
}

// keptFolder creates a folder that outlives the test, in memory if possible;
// TestMain removes it.
func keptFolder(t *testing.T) string {
	t.Helper()
	return newFolder(t, pgtest.InMemory())
}

func newFolder(t *testing.T, base string) string {
	t.Helper()
	dir, err := os.MkdirTemp(base, "newel-run-")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	return dir
}

func freeAddress(t *testing.T) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	return l.Addr().String()
}

// begin starts newel run in a data folder without waiting.
func begin(t *testing.T, dir string, change func(*exec.Cmd), args ...string) *process {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	p := &process{dir: dir, eof: make(chan struct{})}
	p.cmd = exec.Command(self, append([]string{"run"}, args...)...)
	p.cmd.Env = append(os.Environ(), asMain+"=1", "NEWEL_DATA_DIR="+dir, "NEWEL_LISTEN="+freeAddress(t), "DATABASE_URL=", "NEWEL_OWNER_URL=")
	if change != nil {
		change(p.cmd)
	}
	out, err := p.cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	p.cmd.Stderr = p.cmd.Stdout
	if err := p.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	go p.read(out)
	t.Cleanup(func() { _ = p.cmd.Process.Kill(); <-p.eof; waitGone(t, dir) })
	return p
}

func (p *process) read(out io.Reader) {
	defer close(p.eof)
	lines := bufio.NewScanner(out)
	for lines.Scan() {
		p.mu.Lock()
		p.out.WriteString(lines.Text() + "\n")
		p.mu.Unlock()
	}
}

func (p *process) text() string {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.out.String()
}

// until waits for cond. The test fails with the process's output if the process
// ends first or patience runs out.
func until(t *testing.T, p *process, what string, cond func() bool) {
	t.Helper()
	deadline := time.Now().Add(patience)
	for !cond() {
		if time.Now().After(deadline) {
			t.Fatalf("timed out waiting for %s; output:\n%s", what, p.text())
		}
		select {
		case <-p.eof:
			if !cond() {
				t.Fatalf("ended before %s; output:\n%s", what, p.text())
			}
		case <-time.After(20 * time.Millisecond):
		}
	}
}

var answers = regexp.MustCompile(`Newel is running at (\S+)`)

// start starts newel and waits until it is ready.
func start(t *testing.T, dir string, change func(*exec.Cmd), args ...string) *process {
	t.Helper()
	p := begin(t, dir, change, args...)
	until(t, p, "ready", func() bool {
		m := answers.FindStringSubmatch(p.text())
		if m == nil {
			return false
		}
		p.base = m[1]
		resp, err := http.Get(p.base + "/readyz")
		if err != nil {
			return false
		}
		defer resp.Body.Close()
		return resp.StatusCode == http.StatusOK
	})
	return p
}

// end waits for the process to end and returns its exit status.
func (p *process) end(t *testing.T) int {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), patience)
	defer cancel()
	select {
	case <-p.eof:
	case <-ctx.Done():
		t.Fatalf("does not end; output:\n%s", p.text())
	}
	_ = p.cmd.Wait()
	return p.cmd.ProcessState.ExitCode()
}

// inside lists the live processes that work in a folder, the database's main
// process first.
func inside(dir string) []int {
	links, _ := filepath.Glob("/proc/[0-9]*/cwd")
	var pids []int
	for _, link := range links {
		at, err := os.Readlink(link)
		if err != nil || at != dir && !strings.HasPrefix(at, dir+"/") {
			continue
		}
		if pid, err := strconv.Atoi(strings.Split(link, "/")[2]); err == nil {
			pids = append(pids, pid)
		}
	}
	return pids
}

func waitGone(t *testing.T, dir string) {
	t.Helper()
	deadline := time.Now().Add(patience)
	for len(inside(dir)) > 0 {
		if time.Now().After(deadline) {
			t.Errorf("still running: %v", inside(dir))
			return
		}
		time.Sleep(20 * time.Millisecond)
	}
}

// families signs in with the printed link and returns the families page.
func (p *process) families(t *testing.T) string {
	t.Helper()
	jar, _ := cookiejar.New(nil)
	client := &http.Client{Jar: jar}
	link := regexp.MustCompile(`http://\S+/demo/\w+/supervisor`).FindString(p.text())
	if link == "" {
		t.Fatalf("no link printed:\n%s", p.text())
	}
	page := read(t, client, func() (*http.Response, error) { return client.Get(link) })
	token := regexp.MustCompile(`name="(\w+)" value="([0-9a-f-]{36})"`).FindStringSubmatch(page)
	form := url.Values{}
	if token != nil {
		form.Set(token[1], token[2])
	}
	read(t, client, func() (*http.Response, error) { return client.PostForm(link, form) })
	return read(t, client, func() (*http.Response, error) { return client.Get(p.base + "/families") })
}

func read(t *testing.T, _ *http.Client, do func() (*http.Response, error)) string {
	t.Helper()
	resp, err := do()
	if err != nil {
		t.Fatal(err)
	}
	defer resp.Body.Close()
	b, err := io.ReadAll(resp.Body)
	if err != nil || resp.StatusCode != http.StatusOK {
		t.Fatalf("%s: %d, %v", resp.Request.URL, resp.StatusCode, err)
	}
	return string(b)
}

// TestProcessLifecycle starts and stops newel, starts it again with the same
// data, kills either process, and checks that a second instance is refused.
func TestProcessLifecycle(t *testing.T) {
	t.Parallel()
	dir := demoFolder(t)
	p := start(t, dir, nil, "--demo")
	before := withoutTokens(p.families(t))
	if !strings.Contains(before, "Arunadi") {
		t.Fatalf("the invented families are missing:\n%s", before)
	}

	t.Log("a second instance on the same data is refused with a message")
	second := begin(t, dir, nil, "--demo")
	if code := second.end(t); code != 1 || !strings.Contains(second.text(), "in use") {
		t.Errorf("second: status %d:\n%s", code, second.text())
	}

	t.Log("SIGTERM ends it cleanly, with nothing left running")
	_ = p.cmd.Process.Signal(syscall.SIGTERM)
	if code := p.end(t); code != 0 {
		t.Errorf("status %d after SIGTERM:\n%s", code, p.text())
	}
	if left := inside(dir); len(left) > 0 {
		t.Errorf("left running: %v", left)
	}

	t.Log("kill -9 of newel takes the database down with it")
	p = start(t, dir, nil, "--demo")
	if again := withoutTokens(p.families(t)); again != before {
		t.Errorf("the data changed between two starts")
	}
	_ = p.cmd.Process.Kill()
	p.end(t)
	waitGone(t, dir)

	t.Log("kill -9 of the database is reported, and the next start recovers")
	p = start(t, dir, nil, "--demo")
	main, err := postmaster(dir)
	if err != nil {
		t.Fatal(err)
	}
	_ = syscall.Kill(main, syscall.SIGKILL)
	if code := p.end(t); code != 1 || !strings.Contains(p.text(), "the database stopped unexpectedly") {
		t.Errorf("status %d:\n%s", code, p.text())
	}
	p = start(t, dir, nil, "--demo")
	if again := withoutTokens(p.families(t)); again != before {
		t.Errorf("the data changed after the kills")
	}

	t.Log("Ctrl-C ends it as well")
	_ = p.cmd.Process.Signal(syscall.SIGINT)
	if code := p.end(t); code != 0 {
		t.Errorf("status %d after SIGINT:\n%s", code, p.text())
	}
}

var token = regexp.MustCompile(`value="[0-9a-f-]{36}"`)

func withoutTokens(page string) string { return token.ReplaceAllString(page, "") }

func postmaster(dir string) (int, error) {
	b, err := os.ReadFile(filepath.Join(dir, "postgres", "postmaster.pid"))
	if err != nil {
		return 0, err
	}
	line, _, _ := strings.Cut(string(b), "\n")
	return strconv.Atoi(strings.TrimSpace(line))
}

// TestAddressInUse checks that an address in use gives one sentence, and that
// no database is started.
func TestAddressInUse(t *testing.T) {
	t.Parallel()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	dir := folder(t)
	p := begin(t, dir, func(c *exec.Cmd) { c.Env = append(c.Env, "NEWEL_LISTEN="+l.Addr().String()) })
	if code := p.end(t); code != 1 || !strings.Contains(p.text(), "NEWEL_LISTEN") {
		t.Errorf("status %d:\n%s", code, p.text())
	}
	if _, err := os.Stat(filepath.Join(dir, "postgres")); err == nil {
		t.Error("a database was created nevertheless")
	}
}

// TestExternalServer checks that newel uses the server in DATABASE_URL and starts
// none, and that two processes can share it.
func TestExternalServer(t *testing.T) {
	t.Parallel()
	dir := demoFolder(t)
	p := start(t, dir, nil, "--demo")
	server := func(role string) string {
		return fmt.Sprintf("host=%s port=5432 user=%s dbname=newel sslmode=disable", filepath.Join(dir, "run"), role)
	}
	other := folder(t)
	q := start(t, other, func(c *exec.Cmd) {
		c.Env = append(c.Env, "DATABASE_URL="+server("newel_app"), "NEWEL_OWNER_URL="+server("newel_owner"), "NEWEL_BACKUP_URL="+server("newel_backup"))
	})
	if strings.Contains(q.text(), "/setup/") {
		t.Errorf("it found no clinic:\n%s", q.text())
	}
	if _, err := os.Stat(filepath.Join(other, "postgres")); err == nil {
		t.Error("it created its own database")
	}
	_ = q.cmd.Process.Signal(syscall.SIGTERM)
	if code := q.end(t); code != 0 {
		t.Errorf("status %d:\n%s", code, q.text())
	}
	if !strings.Contains(p.families(t), "Arunadi") {
		t.Error("the first process lost its database")
	}
}

// TestFirstStart checks that newel prints a link for the first administrator,
// and a new one at each start until it is used.
func TestFirstStart(t *testing.T) {
	t.Parallel()
	dir := folder(t)
	link := regexp.MustCompile(`http://\S+/setup/\S+`)
	var links []string
	for range 2 {
		p := start(t, dir, nil)
		links = append(links, link.FindString(p.text()))
		_ = p.cmd.Process.Signal(syscall.SIGTERM)
		if code := p.end(t); code != 0 {
			t.Fatalf("status %d:\n%s", code, p.text())
		}
	}
	if links[0] == "" || path(links[0]) == path(links[1]) {
		t.Errorf("links %q", links)
	}
}

func path(link string) string {
	_, p, _ := strings.Cut(link, "/setup/")
	return p
}

// TestOrdinaryUser checks that root is not needed. As root, the test drops to
// another account; otherwise it already runs as one.
func TestOrdinaryUser(t *testing.T) {
	t.Parallel()
	dir := folder(t)
	p := start(t, dir, func(c *exec.Cmd) {
		if os.Geteuid() != 0 {
			return
		}
		const nobody = 65534
		if err := os.Chown(dir, nobody, nobody); err != nil {
			t.Fatal(err)
		}
		c.Path = copyBinary(t, c.Path)
		c.Dir = "/"
		c.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: nobody, Gid: nobody}}
	})
	_ = p.cmd.Process.Signal(syscall.SIGTERM)
	if code := p.end(t); code != 0 {
		t.Errorf("status %d:\n%s", code, p.text())
	}
}

// copyBinary copies the test binary to where any account can run it.
func copyBinary(t *testing.T, from string) string {
	t.Helper()
	dir := newFolder(t, "") // folders in memory may not allow programs to run
	t.Cleanup(func() { _ = os.RemoveAll(dir) })
	to := filepath.Join(dir, "newel")
	b, err := os.ReadFile(from)
	if err == nil {
		err = os.WriteFile(to, b, 0o755)
	}
	if err != nil {
		t.Fatal(err)
	}
	return to
}
