//go:build unix

package embeddedpg

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"runtime"
	"sync/atomic"
	"time"
)

// child is a started program with a goroutine waiting for it.
type child struct {
	cmd  *exec.Cmd
	done chan struct{}
	err  error // what Wait returned; read after done is closed
}

// startChild starts c and waits for it in the background. Start and Wait share
// one locked thread: the parent-death signal is tied to the thread that forked,
// and the runtime may end an unlocked thread at any time.
func startChild(c *exec.Cmd) (*child, error) {
	p := &child{cmd: c, done: make(chan struct{})}
	started := make(chan error, 1)
	go func() {
		runtime.LockOSThread()
		defer runtime.UnlockOSThread()
		err := c.Start()
		started <- err
		if err == nil {
			p.err = c.Wait()
			close(p.done)
		}
	}()
	if err := <-started; err != nil {
		return nil, fmt.Errorf("start %s: %w", c.Path, err)
	}
	return p, nil
}

// runToFile runs c until it ends, with its output in an unnamed file. With a
// pipe, Wait would not return while any grandchild holds it open.
func runToFile(ctx context.Context, c *exec.Cmd) (output string, err error) {
	f, err := os.CreateTemp("", "newel-output-")
	if err != nil {
		return "", fmt.Errorf("make a file for the output of %s: %w", c.Path, err)
	}
	defer f.Close()
	if err := os.Remove(f.Name()); err != nil {
		return "", fmt.Errorf("hide the output of %s: %w", c.Path, err)
	}
	c.Stdout, c.Stderr = f, f
	p, err := startChild(c)
	if err != nil {
		return "", err
	}
	var cut atomic.Bool
	stop := context.AfterFunc(ctx, func() { cut.Store(true); _ = c.Process.Kill() })
	<-p.done
	stop()
	output = readFrom(f, 0)
	if cut.Load() {
		return output, ctx.Err()
	}
	return output, p.err
}

// readFrom returns the content of f from offset on, at most the last 16 KiB.
func readFrom(f *os.File, offset int64) string {
	const most = 16 << 10
	st, err := f.Stat()
	if err != nil {
		return ""
	}
	offset = max(offset, st.Size()-most)
	b := make([]byte, st.Size()-offset)
	n, _ := f.ReadAt(b, offset)
	return string(b[:n])
}

// within reports whether p ended in time.
func (p *child) within(d time.Duration) bool {
	t := time.NewTimer(d)
	defer t.Stop()
	select {
	case <-p.done:
		return true
	case <-t.C:
		return false
	}
}
