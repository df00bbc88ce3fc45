package worker

import (
	"context"
	"errors"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"testing"
	"time"

	"newel/internal/embeddedpg"
)

// TestRunContinuesAfterFailures checks that a task that fails or panics runs again, and that
// Run returns once the context ends.
func TestRunContinuesAfterFailures(t *testing.T) {
	t.Parallel()
	ctx, cancel := context.WithCancel(t.Context())
	failed, panicked := make(chan struct{}, 8), make(chan struct{}, 8)
	done := make(chan struct{})
	go func() {
		defer close(done)
		Run(ctx, slog.New(slog.NewTextHandler(io.Discard, nil)),
			Task{Name: "fails", Every: time.Millisecond, Do: func(context.Context) error { signal(failed); return errors.New("no") }},
			Task{Name: "panics", Every: time.Millisecond, Do: func(context.Context) error { signal(panicked); panic("no") }},
		)
	}()
	for range 3 {
		<-failed
		<-panicked
	}
	cancel()
	<-done
}

func signal(c chan struct{}) {
	select {
	case c <- struct{}{}:
	default:
	}
}

func TestDue(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC)
	for name, tc := range map[string]struct {
		newest time.Duration // age of the newest dump; 0 for none
		want   time.Duration
	}{
		"none yet":   {0, settle},
		"fresh":      {time.Hour, 23 * time.Hour},
		"overdue":    {48 * time.Hour, settle},
		"almost due": {24*time.Hour - time.Second, settle},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			dir := t.TempDir()
			if tc.newest > 0 {
				at := now.Add(-tc.newest)
				file := filepath.Join(dir, embeddedpg.DumpName(at))
				if err := os.WriteFile(file, []byte("x"), 0o600); err != nil {
					t.Fatal(err)
				}
				if err := os.Chtimes(file, at, at); err != nil {
					t.Fatal(err)
				}
			}
			d := Dumper{Dir: dir, Now: func() time.Time { return now }}
			if got := d.due(24 * time.Hour); got != tc.want {
				t.Errorf("due in %v, want %v", got, tc.want)
			}
		})
	}
}
