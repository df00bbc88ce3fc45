package main

import (
	"context"
	"io"
	"os"
	"os/exec"
	"strings"
	"syscall"
	"testing"
)

// TestComputeEndsAtSignal checks that the first SIGTERM or SIGINT ends newel
// compute, whether it waits for input or computes.
func TestComputeEndsAtSignal(t *testing.T) {
	t.Parallel()
	for _, sig := range []syscall.Signal{syscall.SIGTERM, syscall.SIGINT} {
		t.Run("waiting "+sig.String(), func(t *testing.T) {
			t.Parallel()
			cmd, in := beginCompute(t, "trend")
			write(t, in, " ")
			endsBy(t, cmd, sig)
		})
		t.Run("computing "+sig.String(), func(t *testing.T) {
			t.Parallel()
			cmd, in := beginCompute(t, "trend", "--lines")
			const line = `{"y": [1, 2, 3]}` + "\n"
			write(t, in, line)
			go func() { // lines without end
				for _, err := io.WriteString(in, line); err == nil; {
					_, err = io.WriteString(in, line)
				}
			}()
			endsBy(t, cmd, sig)
		})
	}
}

// write writes more than a pipe holds: when it returns, the process has begun
// to read, and whatever it does about signals has been set up.
func write(t *testing.T, in io.Writer, text string) {
	t.Helper()
	if _, err := io.WriteString(in, strings.Repeat(text, 1<<18/len(text))); err != nil {
		t.Fatal(err)
	}
}

// endsBy checks that the signal ends the process, whose input stays open.
func endsBy(t *testing.T, cmd *exec.Cmd, sig syscall.Signal) {
	t.Helper()
	if err := cmd.Process.Signal(sig); err != nil {
		t.Fatal(err)
	}
	err := cmd.Wait()
	status, ok := cmd.ProcessState.Sys().(syscall.WaitStatus)
	if !ok || !status.Signaled() || status.Signal() != sig {
		t.Errorf("ended by %v (%v), not by the first %v", cmd.ProcessState, err, sig)
	}
}

// beginCompute starts newel with its input open. It is killed if it outlives
// patience, and so is one that ignores a signal.
func beginCompute(t *testing.T, args ...string) (*exec.Cmd, io.Writer) {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithTimeout(t.Context(), patience)
	t.Cleanup(cancel)
	cmd := exec.CommandContext(ctx, self, append([]string{"compute"}, args...)...)
	cmd.Env = append(os.Environ(), asMain+"=1")
	cmd.Stdout, cmd.Stderr = io.Discard, io.Discard
	in, err := cmd.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = cmd.Process.Kill() })
	return cmd, in
}
