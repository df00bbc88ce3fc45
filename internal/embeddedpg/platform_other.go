//go:build unix && !linux

package embeddedpg

import (
	"os/exec"
	"strconv"
	"strings"
	"syscall"
)

// dieWithParent does nothing, because only Linux can tie a child's life to its
// parent's. A database that outlives a killed Newel keeps postgres.lock, and
// the next start stops it.
func dieWithParent(*syscall.SysProcAttr, syscall.Signal) {}

// processesIn cannot find the processes of a folder on this platform.
func processesIn(string, uint32) (pids []int, sure bool) { return nil, false }

// isPostmaster reports whether the command line of pid runs postgres on
// cluster.
func isPostmaster(pid int, cluster string) bool {
	out, err := exec.Command("ps", "-o", "command=", "-p", strconv.Itoa(pid)).Output()
	return err == nil && strings.Contains(string(out), "postgres") && strings.Contains(string(out), cluster)
}
