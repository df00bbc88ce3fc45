package embeddedpg

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func TestClosedParentIsNamed(t *testing.T) {
	t.Parallel()
	dir := newHome(t)
	closed := filepath.Dir(dir)
	if err := os.MkdirAll(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(closed, 0o700); err != nil {
		t.Fatal(err)
	}
	stranger := account{name: "stranger", uid: 1 << 30, gid: 1 << 30, drop: true}
	if got := stranger.closedParent(dir); got != closed+" (mode 0700)" {
		t.Errorf("closedParent: %s", got)
	}
	self := account{uid: uint32(os.Geteuid())}
	if got := self.closedParent(dir); got != dir {
		t.Errorf("closed to its own account: %s", got)
	}
	if os.Geteuid() != 0 {
		return // only root drops to another account, so only root can be refused
	}
	_, err := Start(t.Context(), Config{Dir: dir, Log: quiet()})
	if !errors.Is(err, ErrClosed) || !strings.Contains(err.Error(), closed+" (mode 0700)") || !strings.Contains(err.Error(), "NEWEL_DATA_DIR") {
		t.Errorf("got %v", err)
	}
	if err := os.Chmod(closed, 0o755); err != nil {
		t.Fatal(err)
	}
	start(t, dir)
}

func TestOwnerOfTheFolderRunsTheDatabase(t *testing.T) {
	t.Parallel()
	dir := newHome(t)
	if err := os.Mkdir(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	want := uint32(os.Geteuid())
	if want == 0 {
		nobody, ok := lookupAccount("nobody")
		if !ok {
			t.Fatal("there is no account nobody")
		}
		if err := nobody.give(dir); err != nil {
			t.Fatal(err)
		}
		want = nobody.uid
	}
	s := start(t, dir)
	for _, p := range []string{s.cluster, s.sock} {
		if uid, _, _, err := ownerOf(p); err != nil || uid != want {
			t.Errorf("%s belongs to %d, want %d (%v)", p, uid, want, err)
		}
	}
	stop(t, s)
	if os.Geteuid() != 0 {
		return
	}
	// The data folder gets another owner; the cluster does not.
	if err := os.Chown(dir, 0, 0); err != nil {
		t.Fatal(err)
	}
	if s = start(t, dir); s.acct.uid != want {
		t.Errorf("runs as %s", s.acct.name)
	}
	stop(t, s)
	if err := os.Chown(s.cluster, 0, 0); err != nil {
		t.Fatal(err)
	}
	if _, err := Start(t.Context(), Config{Dir: dir, Log: quiet()}); err == nil || !strings.Contains(err.Error(), "belongs to root") {
		t.Errorf("got %v", err)
	}
}

func TestPrivateDir(t *testing.T) {
	t.Parallel()
	self := account{name: "self", uid: uint32(os.Geteuid()), gid: uint32(os.Getegid())}
	base := t.TempDir()
	dir := filepath.Join(base, "run")
	for range 2 { // created, then found
		if err := privateDir(dir, self); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Chmod(dir, 0o750); err != nil {
		t.Fatal(err)
	}
	if err := privateDir(dir, self); err == nil || !strings.Contains(err.Error(), "only you can use") {
		t.Errorf("open to a group: %v", err)
	}
	if err := os.Chmod(dir, 0o700); err != nil {
		t.Fatal(err)
	}
	if err := privateDir(dir, account{name: "other", uid: self.uid + 1}); err == nil || !strings.Contains(err.Error(), "belongs to") {
		t.Errorf("owned by another account: %v", err)
	}
	link := filepath.Join(base, "link")
	if err := os.Symlink(dir, link); err != nil {
		t.Fatal(err)
	}
	if err := privateDir(link, self); err == nil {
		t.Error("a link was accepted as a folder")
	}
}
