package embeddedpg

import (
	"errors"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
)

// dieWithParent makes the kernel send sig when the thread that started the
// process ends, so that the database shuts down cleanly if Newel is killed.
func dieWithParent(attr *syscall.SysProcAttr, sig syscall.Signal) { attr.Pdeathsig = sig }

// processesIn lists the PostgreSQL processes whose working folder is dir, which
// is the cluster for all of them. It compares folders by device and inode,
// because paths can contain links. sure is false if some process of the
// database's account could not be inspected; an empty list then proves nothing.
func processesIn(dir string, uid uint32) (pids []int, sure bool) {
	want, err := os.Stat(dir)
	if err != nil {
		return nil, errors.Is(err, os.ErrNotExist)
	}
	if _, err := os.Stat("/proc/self/cwd"); err != nil {
		return nil, false
	}
	entries, err := os.ReadDir("/proc")
	if err != nil {
		return nil, false
	}
	sure = true
	for _, e := range entries {
		pid, err := strconv.Atoi(e.Name())
		if err != nil {
			continue
		}
		proc := filepath.Join("/proc", e.Name())
		if !isPostgres(proc) {
			continue
		}
		got, err := os.Stat(proc + "/cwd")
		switch {
		case err == nil && os.SameFile(want, got):
			pids = append(pids, pid)
		case errors.Is(err, os.ErrPermission):
			if owner, _, ok, err := ownerOf(proc); err != nil || ok && owner == uid {
				sure = false
			}
		}
	}
	return pids, sure
}

func isPostgres(proc string) bool {
	b, err := os.ReadFile(proc + "/comm")
	name := strings.TrimSpace(string(b))
	return err == nil && (name == "postgres" || name == "postmaster")
}

// isPostmaster reports whether pid is a live database process working in cluster.
func isPostmaster(pid int, cluster string) bool {
	want, err := os.Stat(cluster)
	if err != nil {
		return false
	}
	proc := filepath.Join("/proc", strconv.Itoa(pid))
	got, err := os.Stat(proc + "/cwd")
	return err == nil && os.SameFile(want, got) && isPostgres(proc)
}
