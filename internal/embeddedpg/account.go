//go:build unix

package embeddedpg

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"strconv"
	"syscall"
)

// account is the account that the database runs as. PostgreSQL refuses to run
// as root, so a root process drops to another account.
type account struct {
	name     string
	uid, gid uint32
	drop     bool
}

// chooseAccount returns the owner of the cluster if there is one. On a first
// start as root it returns the owner of the data folder, or else the account
// postgres, or else the account nobody.
func chooseAccount(home, cluster string) (account, error) {
	self := uint32(os.Geteuid())
	uid, gid, exists, err := ownerOf(cluster)
	if err != nil {
		return account{}, err
	}
	switch {
	case self != 0 && exists && uid != self:
		return account{}, fmt.Errorf("%s belongs to the account %s, and Newel runs as %s: start it as %[2]s (or as root), or change the folder's owner with chown -R", cluster, accountName(uid), accountName(self))
	case self != 0:
		return account{name: accountName(self), uid: self, gid: uint32(os.Getegid())}, nil
	case exists && uid == 0:
		return account{}, fmt.Errorf("%s belongs to root, and PostgreSQL refuses to run as root: return it to the account that created it, for example chown -R postgres %[1]s", cluster)
	case exists:
		return account{name: accountName(uid), uid: uid, gid: gid, drop: true}, nil
	}
	if uid, gid, _, err = ownerOf(home); err != nil {
		return account{}, err
	} else if uid != 0 {
		return account{name: accountName(uid), uid: uid, gid: gid, drop: true}, nil
	}
	for _, name := range []string{"postgres", "nobody"} {
		if a, ok := lookupAccount(name); ok {
			return a, nil
		}
	}
	return account{}, errors.New("PostgreSQL refuses to run as root, and there is no account postgres or nobody to run it as: start Newel as an ordinary user")
}

func lookupAccount(name string) (account, bool) {
	u, err := user.Lookup(name)
	if err != nil {
		return account{}, false
	}
	uid, err1 := strconv.ParseUint(u.Uid, 10, 32)
	gid, err2 := strconv.ParseUint(u.Gid, 10, 32)
	return account{name: name, uid: uint32(uid), gid: uint32(gid), drop: true}, err1 == nil && err2 == nil && uid != 0
}

func ownerOf(path string) (uid, gid uint32, exists bool, err error) {
	st, err := os.Stat(path)
	if errors.Is(err, os.ErrNotExist) {
		return 0, 0, false, nil
	}
	if err != nil {
		return 0, 0, false, fmt.Errorf("look at %s: %w", path, err)
	}
	sys, ok := st.Sys().(*syscall.Stat_t)
	if !ok {
		return 0, 0, false, fmt.Errorf("the owner of %s cannot be read", path)
	}
	return sys.Uid, sys.Gid, true, nil
}

func accountName(uid uint32) string {
	id := strconv.FormatUint(uint64(uid), 10)
	if u, err := user.LookupId(id); err == nil {
		return u.Username
	}
	return id
}

// give makes the account the owner of path.
func (a account) give(path string) error {
	if !a.drop {
		return nil
	}
	if err := os.Lchown(path, int(a.uid), int(a.gid)); err != nil {
		return fmt.Errorf("give %s to the account %s: %w", path, a.name, err)
	}
	return nil
}

// command prepares a program to run as the account. It gets its own process
// group, so that a Ctrl-C meant for Newel does not reach it first, and none of
// Newel's environment.
func (a account) command(onParentDeath syscall.Signal, path string, args ...string) *exec.Cmd {
	c := exec.Command(path, args...)
	c.Dir = "/"
	c.Env = []string{"PATH=/usr/bin:/bin", "LC_ALL=C", "TZ=UTC"}
	c.SysProcAttr = &syscall.SysProcAttr{Setpgid: true}
	if a.drop {
		c.SysProcAttr.Credential = &syscall.Credential{Uid: a.uid, Gid: a.gid, Groups: []uint32{}}
	}
	dieWithParent(c.SysProcAttr, onParentDeath)
	return c
}

// checkReach makes sure that the account can enter dir. It actually tries,
// because mode bits do not show access control lists.
func (a account) checkReach(dir string) error {
	if !a.drop {
		return nil
	}
	c := a.command(syscall.SIGKILL, "/bin/sh", "-c", `cd "$1"`, "sh", dir)
	if err := c.Run(); err == nil {
		return nil
	}
	closed := a.closedParent(dir)
	return fmt.Errorf("%w: the database runs as the account %s because PostgreSQL refuses to run as root, but %s does not let that account through, so it cannot reach %s. Set NEWEL_DATA_DIR (or NEWEL_PG_BINDIR) to a folder it can reach, for example /var/lib/newel, or start Newel as an ordinary user",
		ErrClosed, a.name, closed, dir)
}

// closedParent returns the topmost folder above dir whose mode bits keep the
// account out. It is used only for the error message.
func (a account) closedParent(dir string) string {
	closed := dir
	for d := dir; ; d = filepath.Dir(d) {
		if st, err := os.Stat(d); err == nil {
			if sys, ok := st.Sys().(*syscall.Stat_t); ok && !a.mayEnter(st.Mode(), sys) {
				closed = fmt.Sprintf("%s (mode %04o)", d, st.Mode().Perm())
			}
		}
		if d == filepath.Dir(d) {
			return closed
		}
	}
}

func (a account) mayEnter(mode os.FileMode, sys *syscall.Stat_t) bool {
	switch {
	case sys.Uid == a.uid:
		return mode&0o100 != 0
	case sys.Gid == a.gid:
		return mode&0o010 != 0
	}
	return mode&0o001 != 0
}
