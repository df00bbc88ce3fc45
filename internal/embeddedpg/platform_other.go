//go:build unix && !linux

package embeddedpg

import (
	"os/exec"
	"strconv"
	"strings"
	"syscall"
)

// dieWithParent does nothing: only Linux can tie a child's life to its parent's.
// A database that outlives a killed Newel keeps postgres.lock, and the next start
// stops it.
func dieWithParent(*syscall.SysProcAttr, syscall.Signal) {}

// processesIn cannot tell here which processes work in a folder.
func processesIn(string, uint32) (pids []int, sure bool) { return nil, false }

// isPostmaster reports whether pid runs postgres on cluster, as its command line says.
func isPostmaster(pid int, cluster string) bool {
	out, err := exec.Command("ps", "-o", "command=", "-p", strconv.Itoa(pid)).Output()
	return err == nil && strings.Contains(string(out), "postgres") && strings.Contains(string(out), cluster)
}
