package embeddedpg

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5/pgconn"
)

func TestSecondStartKeepsData(t *testing.T) {
	t.Parallel()
	dir := newHome(t)
	s := start(t, dir)
	write(t, s.URL(RoleOwner, Database))
	stop(t, s)
	if err := s.Err(); err != nil {
		t.Error("a clean stop is reported as an error:", err)
	}
	read(t, start(t, dir).URL(RoleOwner, Database))
}

func TestRoles(t *testing.T) {
	t.Parallel()
	s := start(t, usedHome(t))
	super := connect(t, s.URL(RoleSuper, Database))
	for role, bypass := range map[string]bool{RoleOwner: false, RoleApp: false, RoleBackup: true} {
		var login, root, db, roles, got bool
		if err := super.QueryRow(t.Context(), `SELECT rolcanlogin, rolsuper, rolcreatedb, rolcreaterole, rolbypassrls FROM pg_roles WHERE rolname = $1`, role).
			Scan(&login, &root, &db, &roles, &got); err != nil {
			t.Fatal(err)
		}
		if !login || root || db || roles || got != bypass {
			t.Errorf("%s: login %t super %t createdb %t createrole %t bypass %t", role, login, root, db, roles, got)
		}
	}
	var ctype, encoding, zone string
	if err := super.QueryRow(t.Context(), `SELECT datctype, pg_encoding_to_char(encoding), current_setting('TimeZone') FROM pg_database WHERE datname = 'newel'`).Scan(&ctype, &encoding, &zone); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(ctype, "UTF") || encoding != "UTF8" || zone != "UTC" {
		t.Errorf("ctype %s, encoding %s, zone %s", ctype, encoding, zone)
	}

	exec1(t, connect(t, s.URL(RoleOwner, Database)), `CREATE TABLE thing (n int); INSERT INTO thing VALUES (1)`)
	for _, tc := range []struct{ role, sql string }{
		{RoleApp, `CREATE TABLE mine (n int)`},
		{RoleApp, `SELECT n FROM thing`},
		{RoleApp, `CREATE TEMPORARY TABLE mine (n int)`},
		{RoleBackup, `INSERT INTO thing VALUES (2)`},
	} {
		if _, err := connect(t, s.URL(tc.role, Database)).Exec(t.Context(), tc.sql); err == nil {
			t.Errorf("%s may %s", tc.role, tc.sql)
		}
	}
	exec1(t, connect(t, s.URL(RoleBackup, Database)), `SELECT n FROM thing`)
}

func TestInterruptedProvisioningRecovers(t *testing.T) {
	t.Parallel()
	dir := newHome(t)
	s := start(t, dir)
	super := connect(t, s.URL(RoleSuper, "postgres"))
	for _, sql := range []string{`DROP DATABASE newel`, `DROP ROLE newel_app`, `ALTER ROLE newel_owner SUPERUSER`, `DROP ROLE newel_backup`} {
		exec1(t, super, sql)
	}
	stop(t, s)
	s = start(t, dir)
	for _, role := range []string{RoleOwner, RoleApp, RoleBackup} {
		exec1(t, connect(t, s.URL(role, Database)), `SELECT 1`)
	}
	var root bool
	if err := connect(t, s.URL(RoleOwner, Database)).QueryRow(t.Context(), `SELECT rolsuper FROM pg_roles WHERE rolname = current_user`).Scan(&root); err != nil || root {
		t.Errorf("the owner is still a superuser: %t, %v", root, err)
	}
}

func TestSecondInstanceIsRefused(t *testing.T) {
	t.Parallel()
	dir := usedHome(t)
	start(t, dir)
	_, err := Start(t.Context(), Config{Dir: dir, Log: quiet()})
	if !errors.Is(err, ErrInUse) || !strings.Contains(err.Error(), fmt.Sprintf("process %d", os.Getpid())) || !strings.Contains(err.Error(), "NEWEL_DATA_DIR") {
		t.Errorf("got %v", err)
	}
}

func TestFailedStartReleasesTheFolder(t *testing.T) {
	t.Parallel()
	dir := newHome(t)
	_, err := Start(t.Context(), Config{Dir: dir, Log: quiet(), Extra: map[string]string{"shared_buffers": "much"}})
	if err == nil || !strings.Contains(err.Error(), "shared_buffers") {
		t.Fatalf("the error does not quote the log: %v", err)
	}
	start(t, dir)
}

func TestCancelledStart(t *testing.T) {
	t.Parallel()
	dir := newHome(t)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := Start(ctx, Config{Dir: dir, Log: quiet()}); !errors.Is(err, context.Canceled) {
		t.Fatalf("got %v", err)
	}
	start(t, dir)
}

func TestKilledPostmasterIsNoticed(t *testing.T) {
	t.Parallel()
	dir := usedHome(t)
	s := start(t, dir)
	write(t, s.URL(RoleOwner, Database))
	if err := syscall.Kill(readPIDFile(s.cluster).pid, syscall.SIGKILL); err != nil {
		t.Fatal(err)
	}
	<-s.Done()
	if err := s.Err(); err == nil || !strings.Contains(err.Error(), "killed") {
		t.Errorf("Err: %v", err)
	}
	stop(t, s)
	read(t, start(t, dir).URL(RoleOwner, Database))
}

func TestKilledNewelTakesTheDatabaseDown(t *testing.T) {
	t.Parallel()
	dir := usedHome(t)
	p := spawn(t, dir, nil)
	write(t, p.ready(t))
	if err := p.end(t, syscall.SIGKILL); err == nil {
		t.Fatal("a killed process reported success")
	}
	// The next start comes immediately, while the old database is still
	// stopping.
	read(t, start(t, dir).URL(RoleOwner, Database))
}

func TestBothKilledAtOnce(t *testing.T) {
	t.Parallel()
	dir := usedHome(t)
	p := spawn(t, dir, nil)
	write(t, p.ready(t))
	pid := readPIDFile(filepath.Join(dir, clusterName)).pid
	if err := syscall.Kill(p.cmd.Process.Pid, syscall.SIGSTOP); err != nil {
		t.Fatal(err)
	}
	if err := syscall.Kill(pid, syscall.SIGKILL); err != nil {
		t.Fatal(err)
	}
	_ = p.end(t, syscall.SIGKILL)
	read(t, start(t, dir).URL(RoleOwner, Database))
}

func TestStalePIDFileNamingALiveProcess(t *testing.T) {
	t.Parallel()
	dir := usedHome(t)
	s := start(t, dir)
	write(t, s.URL(RoleOwner, Database))
	file := filepath.Join(s.cluster, "postmaster.pid")
	stale, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	stop(t, s)
	// Another program of the same account now has that pid.
	other := s.acct.command(syscall.SIGKILL, "/bin/sleep", "600")
	c, err := startChild(other)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = other.Process.Kill(); <-c.done })
	_, rest, _ := strings.Cut(string(stale), "\n")
	body := fmt.Sprintf("%d\n%s", other.Process.Pid, rest)
	for _, p := range []string{file, filepath.Join(s.sock, ".s.PGSQL.5432.lock")} {
		if err := os.WriteFile(p, []byte(body), 0o600); err != nil {
			t.Fatal(err)
		}
		if err := s.acct.give(p); err != nil {
			t.Fatal(err)
		}
	}
	read(t, start(t, dir).URL(RoleOwner, Database))
}

func TestForeignServerBehindALinkIsSeen(t *testing.T) {
	t.Parallel()
	dir := usedHome(t)
	s := start(t, dir)
	stop(t, s)
	link := filepath.Join(filepath.Dir(dir), "link")
	if err := os.Symlink(dir, link); err != nil {
		t.Fatal(err)
	}
	// Start a server by hand, through the link.
	byHand := s.acct.command(syscall.SIGINT, filepath.Join(s.bin.dir, "postgres"), "-D", filepath.Join(link, clusterName),
		"-c", "listen_addresses=", "-c", "unix_socket_directories="+s.sock)
	logFile, err := os.Create(filepath.Join(filepath.Dir(dir), "log"))
	if err != nil {
		t.Fatal(err)
	}
	defer logFile.Close()
	byHand.Stderr = logFile
	c, err := startChild(byHand)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = byHand.Process.Signal(syscall.SIGINT); <-c.done })
	await(t, "the server started by hand", func() bool { return readPIDFile(s.cluster).status == "ready" })
	for _, d := range []string{dir, link} {
		_, err := Start(t.Context(), Config{Dir: d, Log: quiet()})
		if !errors.Is(err, ErrInUse) || !strings.Contains(err.Error(), "did not start") {
			t.Errorf("%s: got %v", d, err)
		}
	}
	if p := readPIDFile(s.cluster); p.pid != byHand.Process.Pid {
		t.Errorf("its pid file was touched: %+v", p)
	}
}

func TestLinkedFolders(t *testing.T) {
	t.Parallel()
	dir := newHome(t)
	link := filepath.Join(filepath.Dir(dir), "link")
	if err := os.Mkdir(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(dir, link); err != nil {
		t.Fatal(err)
	}
	s := start(t, link)
	write(t, s.URL(RoleOwner, Database))
	if _, err := Start(t.Context(), Config{Dir: dir, Log: quiet()}); !errors.Is(err, ErrInUse) {
		t.Errorf("the same folder under another path: %v", err)
	}
	stop(t, s)

	// Move the cluster itself to another disk.
	cluster, away := filepath.Join(dir, clusterName), filepath.Join(filepath.Dir(dir), "away")
	if err := os.Rename(cluster, away); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(away, cluster); err != nil {
		t.Fatal(err)
	}
	s = start(t, dir)
	read(t, s.URL(RoleOwner, Database))
	stop(t, s)

	// Take that disk away.
	if err := os.Rename(away, away+"2"); err != nil {
		t.Fatal(err)
	}
	if _, err := Start(t.Context(), Config{Dir: dir, Log: quiet()}); err == nil || !strings.Contains(err.Error(), "broken link") {
		t.Errorf("got %v", err)
	}
}

func TestLongPath(t *testing.T) {
	t.Parallel()
	dir := filepath.Join(newHome(t), strings.Repeat("long", 20), "data")
	s := start(t, dir)
	if !strings.HasPrefix(s.sock, "/tmp/newel-") {
		t.Errorf("socket in %s", s.sock)
	}
	t.Cleanup(func() { _ = os.RemoveAll(s.sock) })
	write(t, s.URL(RoleOwner, Database))
	stop(t, s)
	read(t, start(t, dir).URL(RoleOwner, Database))
}

func TestCleanStopLeavesNothing(t *testing.T) {
	t.Parallel()
	dir := usedHome(t)
	p := spawn(t, dir, nil)
	write(t, p.ready(t))
	if err := p.end(t, syscall.SIGTERM); err != nil {
		t.Fatal(err)
	}
	cluster := filepath.Join(dir, clusterName)
	if !freeLock(t, dir) {
		t.Error("a database process still holds the lock")
	}
	if pids, _ := processesIn(cluster, dbAccount(t, dir).uid); len(pids) != 0 {
		t.Errorf("processes are left: %v", pids)
	}
	if pid := readPIDFile(cluster).pid; pid != 0 {
		t.Errorf("the pid file of %d still exists", pid)
	}
}

func TestInterruptedFirstStart(t *testing.T) {
	t.Parallel()
	dir := newHome(t)
	p := spawn(t, dir, nil)
	await(t, "a partial database", func() bool {
		_, err := os.Stat(filepath.Join(dir, clusterName+".new", "PG_VERSION"))
		return err == nil
	})
	_ = p.end(t, syscall.SIGKILL)
	exec1(t, connect(t, start(t, dir).URL(RoleApp, Database)), `SELECT 1`)
	if _, err := os.Stat(filepath.Join(dir, clusterName+".new")); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("the partial database still exists: %v", err)
	}
}

// TestOrdinaryAccount runs Newel as a non-root account.
func TestOrdinaryAccount(t *testing.T) {
	t.Parallel()
	dir := newHome(t)
	var cred *syscall.Credential
	if os.Geteuid() == 0 {
		nobody, ok := lookupAccount("nobody")
		if !ok {
			t.Fatal("there is no account nobody")
		}
		cred = &syscall.Credential{Uid: nobody.uid, Gid: nobody.gid, Groups: []uint32{}}
		if err := os.Mkdir(dir, 0o700); err != nil {
			t.Fatal(err)
		}
		if err := nobody.give(dir); err != nil {
			t.Fatal(err)
		}
	}
	p := spawn(t, dir, cred)
	write(t, p.ready(t))
	if err := p.end(t, syscall.SIGTERM); err != nil {
		t.Fatal(err)
	}
	st, err := os.Stat(filepath.Join(dir, "run"))
	if err != nil || st.Mode().Perm() != 0o700 {
		t.Errorf("the socket's folder: %v, %v", st, err)
	}
	p = spawn(t, dir, cred)
	read(t, p.ready(t))
}

func TestOtherMajorIsRefused(t *testing.T) {
	t.Parallel()
	dir := newHome(t)
	cluster := filepath.Join(dir, clusterName)
	dumps := filepath.Join(dir, "dumps")
	for _, d := range []string{cluster, dumps} {
		if err := os.MkdirAll(d, 0o700); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.WriteFile(filepath.Join(cluster, "PG_VERSION"), []byte("9\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	_, err := Start(t.Context(), Config{Dir: dir, Log: quiet()})
	if !errors.Is(err, ErrOtherMajor) || !strings.Contains(err.Error(), "no database backup was found in "+dumps) {
		t.Errorf("got %v", err)
	}
	dump := filepath.Join(dumps, DumpName(time.Date(2026, 1, 2, 3, 4, 5, 0, time.UTC)))
	if err := os.WriteFile(dump, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	_, err = Start(t.Context(), Config{Dir: dir, Log: quiet()})
	if !errors.Is(err, ErrOtherMajor) || !strings.Contains(err.Error(), "the newest database backup is "+dump) || !strings.Contains(err.Error(), "postgresql-9") {
		t.Errorf("got %v", err)
	}
	if entries, err := os.ReadDir(cluster); err != nil || len(entries) != 1 {
		t.Errorf("the old data was touched: %v, %v", entries, err)
	}
}

func TestFolderWithoutDatabaseIsNotTouched(t *testing.T) {
	t.Parallel()
	dir := newHome(t)
	if err := os.MkdirAll(filepath.Join(dir, clusterName, "photos"), 0o755); err != nil {
		t.Fatal(err)
	}
	acct, ok := lookupAccount("nobody")
	if os.Geteuid() == 0 && ok {
		if err := acct.give(filepath.Join(dir, clusterName)); err != nil {
			t.Fatal(err)
		}
	}
	_, err := Start(t.Context(), Config{Dir: dir, Log: quiet()})
	if err == nil || !strings.Contains(err.Error(), "holds no database") {
		t.Errorf("got %v", err)
	}
	if _, err := os.Stat(filepath.Join(dir, clusterName, "photos")); err != nil {
		t.Error(err)
	}
}

// TestLogHoldsNoRows proves that what people typed does not reach the log.
func TestLogHoldsNoRows(t *testing.T) {
	t.Parallel()
	dir := usedHome(t)
	s := start(t, dir)
	owner := connect(t, s.URL(RoleOwner, Database))
	exec1(t, owner, `CREATE TABLE learner (name text PRIMARY KEY); GRANT ALL ON learner TO newel_app`)
	app := connect(t, s.URL(RoleApp, Database))
	exec1(t, app, `INSERT INTO learner VALUES ('Tessera')`)
	_, err := app.Exec(t.Context(), `INSERT INTO learner VALUES ('Tessera')`)
	if pgErr := new(pgconn.PgError); !errors.As(err, &pgErr) || !strings.Contains(pgErr.Detail, "Tessera") {
		t.Fatalf("the application itself must see the error: %v", err)
	}
	if _, err := app.Exec(t.Context(), `SELECT 'Tessera'::int`); err == nil {
		t.Fatal("a name was accepted as a number")
	}
	stop(t, s)
	b, err := os.ReadFile(filepath.Join(dir, "postgres.log"))
	if err != nil || len(b) == 0 {
		t.Fatalf("no log: %v", err)
	}
	if strings.Contains(string(b), "Tessera") {
		t.Errorf("a name is in the log:\n%s", b)
	}
}
