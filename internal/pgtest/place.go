//go:build unix

package pgtest

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"syscall"
	"time"
)

// place is where the test server of one account and checkout is.
type place struct {
	Dir    string        // the locks and the report
	Data   string        // the server's files
	BinDir string        // PostgreSQL's programs
	Idle   time.Duration // how long the server outlives its last user
}

// roomNeeded is the free space in bytes above which data is kept in memory.
const roomNeeded = 2 << 30

// InMemory returns a folder in memory with plenty of room, or "" if there is
// none. It may not allow programs to run.
func InMemory() string {
	if roomIn("/dev/shm") > roomNeeded {
		return "/dev/shm"
	}
	return ""
}

// findPlace chooses the folders for the checkout that dir is in.
func findPlace(dir string) (place, error) {
	root, err := moduleRoot(dir)
	if err != nil {
		return place{}, err
	}
	h := sha256.Sum256([]byte(root))
	name := fmt.Sprintf("newel-pgtest-%d-%x", os.Geteuid(), h[:5])
	p := place{Dir: filepath.Join(os.TempDir(), name), Idle: idle}
	p.Data = filepath.Join(p.Dir, "data")
	if base := InMemory(); base != "" {
		p.Data = filepath.Join(base, name)
	}
	return p, ownDir(p.Dir)
}

// moduleRoot returns the folder above dir that holds go.mod. Tests run in the
// folder of their package.
func moduleRoot(dir string) (string, error) {
	for d := dir; ; d = filepath.Dir(d) {
		if _, err := os.Stat(filepath.Join(d, "go.mod")); err == nil {
			return d, nil
		}
		if d == filepath.Dir(d) {
			return "", fmt.Errorf("no go.mod above %s", dir)
		}
	}
}

// ownDir creates the folder, or makes sure that it belongs to this account: in
// a shared place someone else may have created it first. Root leaves it
// passable, because the server runs as another account and its files may be
// inside.
func ownDir(dir string) error {
	mode := os.FileMode(0o700)
	if os.Geteuid() == 0 {
		mode = 0o711
	}
	if err := os.Mkdir(dir, mode); err != nil && !errors.Is(err, os.ErrExist) {
		return fmt.Errorf("make a folder for the test server: %w", err)
	}
	st, err := os.Lstat(dir)
	if err != nil {
		return fmt.Errorf("look at the test server's folder: %w", err)
	}
	sys, ok := st.Sys().(*syscall.Stat_t)
	if !ok || !st.IsDir() || sys.Uid != uint32(os.Geteuid()) || st.Mode().Perm()&0o022 != 0 {
		return fmt.Errorf("%s is not a folder of this account alone: remove it", dir)
	}
	return nil
}

// roomIn returns the free space in bytes of the file system that holds dir, or
// 0 if dir does not exist.
func roomIn(dir string) uint64 {
	var st syscall.Statfs_t
	if err := syscall.Statfs(dir, &st); err != nil {
		return 0
	}
	return st.Bavail * uint64(st.Bsize)
}
